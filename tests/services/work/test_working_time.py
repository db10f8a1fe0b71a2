"""Working time: what is planned outside it needs a reason, and who is ill makes a crew smaller."""

from collections.abc import Callable
from datetime import date, time, timedelta
from typing import Any

import pytest

from faults.cases.services.working_days import next_worked, off_words, working_on
from faults.models import ClosedDay, ClosedDays, Crew, CrewAway, PersonAway, WorkDay
from faults.work.services import UnableToSend, move_job, split_job
from faults.work.services.board import board_of
from faults.work.services.clashes import clashes_of
from faults.work.services.crew_facts import CrewFacts, UnableToSetUpCrew
from faults.work.services.crews import add_crew, change_crew
from faults.work.services.working_weeks import (
    add_person_away,
    set_crew_week,
    set_person_week,
    take_back_person_away,
)
from sites.kernel.engines.roles import Role
from tests import make, make_jobs
from tests.services.work.scene import TODAY, Scene, assigned, planned

pytestmark = pytest.mark.django_db

# make.TODAY is a Sunday.
MONDAY = TODAY + timedelta(days=1)
SATURDAY = TODAY + timedelta(days=6)
FACTS = {"name": "South", "starts_at": time(7), "ends_at": time(15, 30)}
DAYS: dict[int, tuple[time, time] | None] = dict.fromkeys(range(5))


def told(**given: Any) -> CrewFacts:
    """A crew called South, from 7 to half past 15."""
    return CrewFacts(**{**FACTS, **given})


@pytest.fixture
def weekly(scene: Scene) -> Crew:
    """The scene's crew, which works from Monday to Friday with a break at noon."""
    scene.crew.break_from, scene.crew.break_to = time(12), time(12, 30)
    scene.crew.save()
    set_crew_week(crew=scene.crew, week=DAYS)
    return scene.crew


def test_a_new_crew_works_from_monday_to_friday() -> None:
    crew = add_crew(facts=told(break_from=time(12), break_to=time(12, 30)))
    assert [row.weekday for row in crew.work_days.order_by("weekday")] == [0, 1, 2, 3, 4]
    assert next_worked(crew, TODAY) is None  # Nobody is in it.
    make_jobs.member(crew=crew, user=make.user(Role.TECHNICIAN))
    assert next_worked(crew, MONDAY + timedelta(days=4)) == MONDAY + timedelta(days=7)


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"break_from": time(12)}, "break_to"),
        ({"break_from": time(12), "break_to": time(12)}, "break_to"),
        ({"break_from": time(7), "break_to": time(8)}, "break_from"),
        ({"break_from": time(15), "break_to": time(15, 30)}, "break_from"),
    ],
)
def test_a_break_that_cannot_be_is_refused(given: dict[str, Any], field: str) -> None:
    with pytest.raises(UnableToSetUpCrew) as no:
        add_crew(facts=told(**given))
    assert no.value.field == field
    assert not Crew.objects.exists()


def test_a_week_needs_a_day_and_keeps_what_did_not_change(weekly: Crew) -> None:
    with pytest.raises(UnableToSetUpCrew, match="at least one day"):
        set_crew_week(crew=weekly, week={})
    with pytest.raises(UnableToSetUpCrew, match="end after it begins"):
        set_crew_week(crew=weekly, week={0: (time(9), time(9))})
    before = weekly.work_days.get(weekday=0).pk
    set_crew_week(crew=weekly, week={0: None, 5: (time(8), time(12))})
    assert [row.weekday for row in weekly.work_days.order_by("weekday")] == [0, 5]
    assert weekly.work_days.get(weekday=0).pk == before
    assert WorkDay.history.count() == 10  # Five days, four of them taken out, one added.


@pytest.mark.parametrize(
    ("day", "starts_at", "minutes", "words"),
    [
        (SATURDAY, None, 60, "does not work on 2025-06-21 .not worked on Saturday.*2025-06-23"),
        (MONDAY, time(6, 59), 60, "works from 07:00 to 16:00 that day, with a break from 12:00"),
        (MONDAY, time(12), 60, "this would be from 12:00 to 13:00"),
        (MONDAY, time(11), 271, "this would be from 11:00 to 16:01"),
    ],
)
def test_outside_working_time_a_reason_is_asked(
    scene: Scene, weekly: Crew, day: date, starts_at: time | None, minutes: int, words: str
) -> None:
    job = planned(scene, facts={"expected_minutes": minutes})
    with pytest.raises(UnableToSend, match=words) as no:
        assigned(scene, job, day=day, starts_at=starts_at)
    assert no.value.field == "why"
    job.refresh_from_db()
    assert job.crew is None
    assigned(scene, job, day=day, starts_at=starts_at, why="the client pays for it")
    assert job.history.first().history_change_reason == "the client pays for it"


@pytest.mark.parametrize(("starts_at", "minutes"), [(time(7), 510), (time(11), 270), (None, 600)])
def test_in_working_time_nobody_is_asked(
    scene: Scene, weekly: Crew, starts_at: time | None, minutes: int
) -> None:
    job = planned(scene, facts={"expected_minutes": minutes})
    assert assigned(scene, job, day=MONDAY, starts_at=starts_at).crew == weekly


def test_moving_and_splitting_ask_too(scene: Scene, weekly: Crew) -> None:
    job = assigned(scene, day=MONDAY)
    with pytest.raises(UnableToSend, match="does not work"):
        move_job(job=job, crew=weekly, day=SATURDAY, **scene.how)
    with pytest.raises(UnableToSend, match="does not work"):
        split_job(job=job, minutes=30, day=SATURDAY, **scene.how)
    part = split_job(job=job, minutes=30, day=SATURDAY, why="rain before", **scene.how)
    assert (part.day, part.history.first().history_change_reason) == (SATURDAY, "rain before")


def test_a_holiday_is_not_worked_and_an_unticked_one_is(scene: Scene, weekly: Crew) -> None:
    days = ClosedDays.objects.create(name="Ours")
    holiday = ClosedDay.objects.create(of=days, on=MONDAY, name="Fair day")
    facts = {name: getattr(weekly, name) for name in CrewFacts.__dataclass_fields__}
    change_crew(crew=weekly, facts=CrewFacts(**{**facts, "holidays": days}))
    assert off_words(working_on(weekly, MONDAY), MONDAY) == "holiday: Fair day"
    with pytest.raises(UnableToSend, match="holiday: Fair day"):
        assigned(scene, day=MONDAY)
    holiday.is_closed = False
    holiday.save()
    assigned(scene, day=MONDAY)


def test_less_skill_than_needed_asks_for_a_reason(scene: Scene) -> None:
    beginner = make_jobs.crew(make.user(Role.TECHNICIAN), skill=2)
    job = planned(scene, facts={"skill_needed": 3})
    with pytest.raises(UnableToSend, match=r"needs skill 3; the best .* is 2") as no:
        assigned(scene, job, crew=beginner)
    assert no.value.field == "why"
    assert assigned(scene, job, crew=beginner, why="the tracer comes along").crew == beginner


def test_a_person_ill_makes_the_crew_smaller_and_says_who_could_go(
    scene: Scene, weekly: Crew, django_assert_max_num_queries: Callable[..., Any]
) -> None:
    tracer = weekly.members.get(user=scene.tracer)
    tracer.skill = 1
    tracer.save()
    job = assigned(scene, planned(scene, facts={"skill_needed": 3}), day=MONDAY)
    other = make_jobs.crew(make.user(Role.TECHNICIAN), name="East")
    busy = make_jobs.crew(make.user(Role.TECHNICIAN), name="West")
    make_jobs.job(crew=busy, day=MONDAY, expected_minutes=481)
    member = weekly.members.get(user=scene.technician)
    away = add_person_away(member=member, from_on=MONDAY, to_on=MONDAY + timedelta(days=1))
    with pytest.raises(UnableToSetUpCrew, match="already"):
        add_person_away(member=member, from_on=MONDAY, to_on=SATURDAY)
    on = working_on(weekly, MONDAY)
    assert (on.skill, on.people) == (1, 1)
    assert working_on(weekly, MONDAY + timedelta(days=1)).skill == 3
    (told_on_page,) = [clashes_of([job], today=TODAY)[job.pk]]
    assert f"Not there: {scene.technician}." in told_on_page[0]
    assert told_on_page[1] == "Could take it that day: East (9 h free)."
    with django_assert_max_num_queries(60):
        board = board_of(scene.office, days=[MONDAY], today=TODAY)
    (card,) = [each for each in board.cards if each.job == job]
    assert card.against[-1] == "Could take it that day: East (9 h free)."
    (row,) = [each for each in board.rows if each.crew == weekly]
    assert row.cells[0].absent == str(scene.technician)
    take_back_person_away(away=away)
    assert clashes_of([job], today=TODAY)[job.pk] == []
    with pytest.raises(UnableToSetUpCrew, match="taken back already"):
        take_back_person_away(away=away)
    assert other.retired_on is None


def test_where_all_are_ill_nobody_is_sent_without_a_word(scene: Scene, weekly: Crew) -> None:
    for member in weekly.members.all():
        add_person_away(member=member, from_on=MONDAY, to_on=SATURDAY, kind="other", why="training")
    with pytest.raises(UnableToSend, match=r"Nobody of North is there on 2025-06-16: .*, "):
        assigned(scene, day=MONDAY)
    assigned(scene, day=MONDAY, why="a helper of the client goes")


def test_a_persons_own_days_hold_in_the_crew(scene: Scene, weekly: Crew) -> None:
    member = weekly.members.get(user=scene.technician)
    set_person_week(member=member, week={1: (time(8), time(11))})
    assert working_on(weekly, MONDAY).people == 1
    tuesday = working_on(weekly, MONDAY + timedelta(days=1))
    assert (tuesday.people, tuesday.start) == (2, 420)
    set_person_week(member=member, week={})
    assert working_on(weekly, MONDAY).people == 2


def test_the_board_shows_a_day_off_hours_and_what_is_next(scene: Scene, weekly: Crew) -> None:
    assigned(scene, day=MONDAY, starts_at=time(11, 30))
    board = board_of(scene.office, days=[TODAY, MONDAY], today=TODAY)
    (row,) = board.rows
    sunday, monday = row.cells
    assert (sunday.off, sunday.worked_h) == ("not worked on Sunday", "0")
    assert (monday.off, monday.planned_h, monday.worked_h) == ("", "1", "8.5")
    assert row.coming == f"next planned: Monday {MONDAY.isoformat()}"
    (card,) = monday.cards
    assert card.ends_at == time(13)
    assert not card.against
    monday_board = board_of(scene.office, days=[MONDAY], today=MONDAY)
    assert monday_board.rows[0].coming == ""


def test_a_crew_away_says_who_could_go_and_a_day_off_is_no_second_alarm(scene: Scene) -> None:
    job = assigned(scene, day=MONDAY)
    CrewAway.objects.create(crew=scene.crew, from_on=MONDAY, to_on=SATURDAY, why="truck")
    board = board_of(scene.office, days=[MONDAY], today=TODAY)
    (card,) = [each for each in board.cards if each.job == job]
    assert card.against == [
        "North is away on that day: truck. Move the job.",
        "No other crew has the skill, the people and the time for it that day.",
    ]
    assert PersonAway.objects.count() == 0


def test_a_break_of_one_weekday_for_the_crew_and_for_one_person(weekly: Crew) -> None:
    noon, late = (time(12), time(12, 30)), (time(13), time(14))
    set_crew_week(crew=weekly, week=DAYS, breaks={0: late})
    assert working_on(weekly, MONDAY).rests == ((780, 840),)
    assert working_on(weekly, MONDAY + timedelta(days=1)).rests == ((720, 750),)
    # A second one eats at the usual time on Mondays: they take turns, so the crew works on.
    second = make_jobs.member(crew=weekly, user=make.user(Role.TECHNICIAN))
    set_person_week(member=second, week=DAYS, breaks={0: noon})
    assert working_on(weekly, MONDAY).rests == ()
    for other in weekly.members.exclude(pk=second.pk):
        PersonAway.objects.create(user=other.user, from_on=MONDAY, to_on=MONDAY + timedelta(days=1))
    assert working_on(weekly, MONDAY).rests == ((720, 750),)
    # Taken out again, and nothing else is written.
    set_person_week(member=second, week=DAYS)
    assert working_on(weekly, MONDAY).rests == ((780, 840),)


@pytest.mark.parametrize(
    ("week", "pause", "field"),
    [
        (DAYS, (time(12), time(12)), "break_to_0"),
        (DAYS, (time(7), time(8)), "break_from_0"),
        ({**DAYS, 0: (time(8), time(12))}, (time(11), time(12)), "break_from_0"),
        ({1: None}, (time(12), time(13)), "works_0"),
    ],
)
def test_a_break_of_a_weekday_that_cannot_be_is_refused(
    weekly: Crew, week: Any, pause: tuple[time, time], field: str
) -> None:
    with pytest.raises(UnableToSetUpCrew) as no:
        set_crew_week(crew=weekly, week=week, breaks={0: pause})
    assert no.value.field == field
    assert not WorkDay.objects.filter(break_from__isnull=False).exists()


@pytest.mark.parametrize(
    ("second", "field"),
    [
        ((time(9), None), "second_break_to"),
        ((None, time(9)), "second_break_to"),
        ((time(9), time(9)), "second_break_to"),
        ((time(6), time(9)), "second_break_from"),
        ((time(12, 29), time(13)), "second_break_from"),
        ((time(11), time(12, 1)), "second_break_from"),
        ((time(12, 30), time(12, 45)), ""),
        ((time(9), time(9, 15)), ""),
        ((None, None), ""),
    ],
)
def test_a_second_break_beside_the_first(
    weekly: Crew, second: tuple[time | None, time | None], field: str
) -> None:
    facts = {name: getattr(weekly, name) for name in CrewFacts.__dataclass_fields__}
    facts |= {"break_from": time(12), "break_to": time(12, 30)}
    facts |= {"second_break_from": second[0], "second_break_to": second[1]}
    if field:
        with pytest.raises(UnableToSetUpCrew) as no:
            change_crew(crew=weekly, facts=CrewFacts(**facts))
        assert no.value.field == field
        return
    change_crew(crew=weekly, facts=CrewFacts(**facts))
    weekly.refresh_from_db()
    assert (weekly.second_break_from, weekly.second_break_to) == second
    rests = working_on(weekly, MONDAY).rests
    assert sum(end - start for start, end in rests) == {9: 45, 12: 45}.get(
        second[0].hour if second[0] else 0, 30
    )
