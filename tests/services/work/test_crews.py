"""Setting up crews: names, hours, people over days with their skill, days away, clashes."""

from datetime import date, time, timedelta
from typing import Any

import pytest

from faults.models import CrewAway, CrewMember, JobState
from faults.work.services.clashes import clashes_of
from faults.work.services.crew_facts import CrewFacts, UnableToSetUpCrew
from faults.work.services.crews import (
    add_away,
    add_crew,
    add_member,
    bring_crew_back,
    change_crew,
    change_skill,
    correct_away,
    correct_member,
    end_member,
    retire_crew,
    take_back_away,
)
from tests import make, make_jobs
from tests.services.work.scene import LATER, TODAY, TOMORROW, Scene

pytestmark = pytest.mark.django_db

START = date(2025, 1, 1)


def facts(**given: Any) -> CrewFacts:
    """A crew called South, from 7 to 15 o'clock."""
    return CrewFacts(**{"name": "South", "starts_at": time(7), "ends_at": time(15), **given})


def test_a_crew_is_added_and_changed() -> None:
    crew = add_crew(facts=facts(yard_latitude=40.5, yard_longitude=-3.7))
    change_crew(crew=crew, facts=facts(name=" South  2 ", vehicle="van"))
    assert (crew.name, crew.vehicle, crew.yard_latitude) == ("South 2", "van", None)
    assert crew.history.count() == 2


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": " "}, "name"),
        ({"name": "north"}, "name"),
        ({"ends_at": time(7)}, "ends_at"),
        ({"yard_latitude": 40.0}, "yard_longitude"),
    ],
)
def test_a_crew_that_cannot_be_is_refused(scene: Scene, given: dict[str, Any], field: str) -> None:
    with pytest.raises(UnableToSetUpCrew) as no:
        add_crew(facts=facts(**given))
    assert no.value.field == field


def test_a_crew_is_retired_when_it_has_nothing_left_to_do(scene: Scene) -> None:
    crew = scene.crew
    job = make_jobs.job(crew=crew, day=LATER)
    with pytest.raises(UnableToSetUpCrew, match="1 of its jobs"):
        retire_crew(crew=crew, on=TODAY)
    job.state = JobState.DONE
    job.save()
    retire_crew(crew=crew, on=TODAY)
    with pytest.raises(UnableToSetUpCrew, match="retired already"):
        retire_crew(crew=crew, on=TODAY)
    with pytest.raises(UnableToSetUpCrew, match="Bring it back first"):
        add_member(crew=crew, user=make.user(), skill=1, from_on=TODAY)
    bring_crew_back(crew=crew)
    assert crew.retired_on is None
    with pytest.raises(UnableToSetUpCrew, match="not retired"):
        bring_crew_back(crew=crew)


def test_a_person_is_in_one_crew_at_a_time(scene: Scene) -> None:
    other = make_jobs.crew()
    with pytest.raises(UnableToSetUpCrew, match="is in North on those days"):
        add_member(crew=other, user=scene.technician, skill=2, from_on=TODAY)
    end_member(member=scene.crew.members.get(user=scene.technician), on=TOMORROW)
    with pytest.raises(UnableToSetUpCrew, match="on those days"):
        add_member(crew=other, user=scene.technician, skill=2, from_on=TODAY)
    member = add_member(crew=other, user=scene.technician, skill=2, from_on=TOMORROW)
    assert member.to_on is None
    with pytest.raises(UnableToSetUpCrew, match="on those days"):
        add_member(
            crew=other, user=scene.technician, skill=2, from_on=START, to_on=START + timedelta(1)
        )


def test_a_membership_ends_once_and_not_before_it_began(scene: Scene) -> None:
    member = scene.crew.members.get(user=scene.tracer)
    with pytest.raises(UnableToSetUpCrew, match="before it began"):
        end_member(member=member, on=START - timedelta(days=1))
    member.refresh_from_db()
    end_member(member=member, on=TODAY)
    with pytest.raises(UnableToSetUpCrew, match="ended already"):
        end_member(member=member, on=TODAY)


def test_another_skill_holds_from_its_day_and_the_old_one_before(scene: Scene) -> None:
    member = scene.crew.members.get(user=scene.tracer)
    change_skill(member=member, skill=1, from_on=TODAY)
    held = CrewMember.objects.filter(user=scene.tracer)
    assert [one.skill for one in held.order_by("from_on")] == [3, 1]
    assert held.on(TODAY - timedelta(days=1)).get().skill == 3
    assert held.on(TODAY).get().skill == 1
    with pytest.raises(UnableToSetUpCrew, match="ended"):
        change_skill(member=member, skill=2, from_on=TOMORROW)


def test_the_same_skill_or_the_first_day_is_no_change(scene: Scene) -> None:
    member = scene.crew.members.get(user=scene.tracer)
    with pytest.raises(UnableToSetUpCrew, match="holds this skill already"):
        change_skill(member=member, skill=3, from_on=TODAY)
    with pytest.raises(UnableToSetUpCrew, match="Choose a later day"):
        change_skill(member=member, skill=2, from_on=START)


def test_a_membership_is_put_right_with_the_reason(scene: Scene) -> None:
    member = scene.crew.members.get(user=scene.tracer)
    correct_member(member=member, skill=2, from_on=TODAY, to_on=None, why="typo")
    assert (member.skill, member.from_on) == (2, TODAY)
    assert member.history.first().history_change_reason == "was wrong: typo"


def test_days_away_do_not_overlap_and_are_taken_back(scene: Scene) -> None:
    away = add_away(crew=scene.crew, from_on=TODAY, to_on=LATER, why="fair")
    with pytest.raises(UnableToSetUpCrew, match="away on some of those days"):
        add_away(crew=scene.crew, from_on=TOMORROW, to_on=LATER)
    correct_away(away=away, from_on=TOMORROW, to_on=LATER)
    with pytest.raises(UnableToSetUpCrew, match="before it begins"):
        correct_away(away=away, from_on=LATER, to_on=TODAY)
    away.refresh_from_db()
    take_back_away(away=away)
    with pytest.raises(UnableToSetUpCrew, match="taken back already"):
        take_back_away(away=away)
    assert add_away(crew=scene.crew, from_on=TODAY, to_on=LATER).pk
    with pytest.raises(UnableToSetUpCrew, match="no day"):
        add_away(crew=scene.crew, from_on=LATER, to_on=LATER)


def clash(job: Any) -> str:
    """All warnings of one job."""
    return " ".join(clashes_of([job], today=TODAY)[job.pk])


def test_a_job_that_fits_has_no_clash(scene: Scene) -> None:
    assert clash(make_jobs.job(crew=scene.crew, day=TODAY, starts_at=time(8))) == ""
    assert clashes_of([make_jobs.job(state=JobState.DONE)], today=TODAY) == {}


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"day": TODAY - timedelta(days=1)}, "day is over"),
        ({"due_on": TODAY - timedelta(days=1)}, "due by"),
        ({"earliest_on": TOMORROW}, "not to go before"),
        ({"expected_minutes": 541}, "9.02 h are planned for North that day, which has 9 h"),
        ({"starts_at": time(6, 59)}, "outside the crew's hours"),
        ({"starts_at": time(15, 1)}, "outside the crew's hours"),
    ],
)
def test_what_speaks_against_a_day_is_said(scene: Scene, given: dict[str, Any], words: str) -> None:
    job = make_jobs.job(**{"crew": scene.crew, "day": TODAY, **given})
    assert words in clash(job)


def test_a_clash_of_the_crew_is_said(scene: Scene) -> None:
    job = make_jobs.job(crew=scene.crew, day=TODAY, skill_needed=3)
    CrewMember.objects.update(skill=2)
    assert "the best in North that day is 2" in clash(job)
    CrewMember.objects.all().delete()
    assert "Nobody is in North" in clash(job)
    CrewAway.objects.create(crew=scene.crew, from_on=TODAY, to_on=TOMORROW)
    assert "away on that day" in clash(job)


def test_two_jobs_at_one_time_overlap_and_two_in_turn_do_not(scene: Scene) -> None:
    first = make_jobs.job(crew=scene.crew, day=TODAY, starts_at=time(8))
    second = make_jobs.job(crew=scene.crew, day=TODAY, starts_at=time(8, 59))
    assert "overlaps" in clash(first)
    second.starts_at = time(9)
    second.save()
    assert clash(first) == ""


def test_clashes_cost_as_few_queries_for_many_jobs_as_for_few(
    scene: Scene, django_assert_num_queries: Any
) -> None:
    jobs = [make_jobs.job(crew=scene.crew, day=TODAY) for _ in range(20)]
    for some in (jobs[:2], jobs):
        with django_assert_num_queries(7):
            clashes_of(some, today=TODAY)
