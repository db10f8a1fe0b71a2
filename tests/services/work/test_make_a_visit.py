"""Holding, starting and finishing a job, and what a dig must have before it starts and ends."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from faults.cases.engines.stages import Stage
from faults.models import Authority, DigOverride, Job, JobKind, JobState
from faults.work.engines.safety import PRIVATE, Prompt, Situation
from faults.work.services import (
    UnableToPlan,
    UnableToWork,
    finish_job,
    hold_job,
    load_vehicle,
    release_job,
    reopen_job,
    start_job,
    take_back_start,
)
from faults.work.services.doing import short_of_skill
from faults.work.services.safety import answer_safety, prompts_of
from sites.kernel.engines.roles import Role
from tests import make, make_jobs
from tests.services.work.scene import TODAY, TOMORROW, Scene, assigned, planned, put_at, start

pytestmark = pytest.mark.django_db


def finish(scene: Scene, job: Job, minutes: int = 55) -> Job:
    """Finish a job."""
    finish_job(job=job, actual_minutes=minutes, at=make.NOW, by=scene.technician)
    return job


def dig(scene: Scene, depth_in: float | None = 18, **given: Any) -> Job:
    """A dig of today that the client agreed to and that its notice does not hold back."""
    put_at(scene.fault, Stage.AGREED)
    facts = {"planned_depth_in": depth_in, **given}
    job = assigned(scene, planned(scene, JobKind.DIG, facts=facts))
    DigOverride.objects.create(job=job, reason="no lines here", by=scene.office, at=make.NOW)
    return make_jobs.private_lines_known(job)


def answer(scene: Scene, job: Job, depth_in: float = 18, **answers: str) -> None:
    """Answer prompts by their names."""
    answer_safety(
        job=job,
        depth_in=depth_in,
        situations=(),
        answers={Prompt[name.upper()]: words for name, words in answers.items()},
        by=scene.technician,
        at=make.NOW,
    )


def test_a_visit_is_started_and_finished_with_its_minutes(scene: Scene) -> None:
    job = start(scene, assigned(scene))
    assert (job.state, job.started_at) == ("started", make.NOW)
    finish(scene, job)
    assert (job.state, job.actual_minutes, job.ended_at) == ("done", 55, make.NOW)
    assert job.history.first().history_user == scene.technician


def test_a_visit_of_tomorrow_waits_and_a_late_one_starts(scene: Scene) -> None:
    job = assigned(scene, day=TOMORROW)
    with pytest.raises(UnableToWork, match="is for"):
        start(scene, job)
    assert start(scene, job, TOMORROW + timedelta(days=1)).state == "started"


def test_nobody_starts_what_nobody_has(scene: Scene) -> None:
    with pytest.raises(UnableToWork, match="Nobody has this job"):
        start(scene, planned(scene))


@pytest.mark.parametrize(("skill", "is_short"), [(1, True), (2, False), (3, False)])
def test_too_little_skill_is_said_and_stops_nobody_who_stands_there(
    scene: Scene, skill: int, is_short: bool
) -> None:
    crew = make_jobs.crew(make.user(Role.TECHNICIAN), skill=1)
    make_jobs.member(crew=crew, user=make.user(Role.TECHNICIAN), skill=skill)
    job = planned(scene, facts={"skill_needed": 2})
    assigned(scene, job, crew=crew, why="nobody else is near" if is_short else "")
    words = short_of_skill(job, TODAY)
    assert bool(words) is is_short
    assert not is_short or "the best in" in words
    assert start(scene, job).state == "started"


def test_a_skill_that_ended_yesterday_does_not_count(scene: Scene) -> None:
    crew = make_jobs.crew()
    make_jobs.member(crew=crew, user=make.user(Role.TECHNICIAN), to_on=TODAY)
    job = assigned(scene, crew=crew)
    assert "nobody at all" in short_of_skill(job, TODAY)
    assert start(scene, job).state == "started"


def test_a_held_job_starts_after_its_release(scene: Scene) -> None:
    job = assigned(scene)
    hold_job(job=job, held_for="weather", since=TODAY, today=TODAY)
    with pytest.raises(UnableToWork, match="held for the weather"):
        start(scene, job)
    with pytest.raises(UnableToWork, match="held already"):
        hold_job(job=job, held_for="parts", since=TODAY, today=TODAY)
    release_job(job=job)
    assert start(scene, job).state == "started"
    with pytest.raises(UnableToWork, match="not held"):
        release_job(job=job)


def test_a_job_is_held_for_something_that_we_know(scene: Scene) -> None:
    with pytest.raises(UnableToWork) as no:
        hold_job(job=planned(scene), held_for="mood", since=TODAY, today=TODAY)
    assert no.value.field == "held_for"


def test_what_is_on_the_vehicle_is_noted(scene: Scene) -> None:
    job = planned(scene)
    load_vehicle(job=job, parts_ready=True, batteries_ready=False)
    job.refresh_from_db()
    assert (job.parts_ready, job.batteries_ready) == (True, False)


@pytest.mark.parametrize("minutes", [0, -5])
def test_a_visit_takes_some_minutes(scene: Scene, minutes: int) -> None:
    with pytest.raises(UnableToWork) as no:
        finish(scene, start(scene, assigned(scene)), minutes)
    assert no.value.field == "actual_minutes"


def test_only_a_started_job_is_finished_and_a_finished_one_stays(scene: Scene) -> None:
    job = assigned(scene)
    with pytest.raises(UnableToWork, match="Start it first"):
        finish(scene, job)
    finish(scene, start(scene, job))
    with pytest.raises(UnableToWork, match="finished job does not change"):
        finish(scene, job)


def test_a_tap_by_mistake_is_taken_back(scene: Scene) -> None:
    job = start(scene, assigned(scene))
    take_back_start(job=job)
    assert (job.state, job.started_at) == ("planned", None)
    with pytest.raises(UnableToWork, match="not under way"):
        take_back_start(job=job)
    finish(scene, start(scene, job))
    with pytest.raises(UnableToWork) as no:
        reopen_job(job=job, why="")
    assert no.value.field == "why"
    reopen_job(job=job, why="the other valve too")
    assert (job.state, job.actual_minutes, job.ended_at) == ("started", None, None)


def test_a_dig_starts_when_all_is_there(scene: Scene) -> None:
    assert start(scene, dig(scene)).state == "started"


def test_a_dig_waits_for_its_notice_and_says_why(scene: Scene) -> None:
    job = dig(scene)
    DigOverride.objects.all().delete()
    with pytest.raises(UnableToWork, match="utility notice"):
        start(scene, job)


def test_a_dig_waits_for_the_yes(scene: Scene) -> None:
    job = dig(scene)
    put_at(scene.fault, Stage.FOUND)
    with pytest.raises(UnableToWork, match="Nobody has agreed"):
        start(scene, job)


@pytest.mark.parametrize(("minutes", "covered"), [(60, True), (61, False)])
def test_a_standing_authority_of_two_hours_covers_an_hour_of_two_people(
    scene: Scene, minutes: int, covered: bool
) -> None:
    job = dig(scene, expected_minutes=minutes)
    put_at(scene.fault, Stage.FOUND)
    make.authority(property=scene.place, up_to_hours=Decimal(2))
    assert not Authority.objects.exists()
    if covered:
        assert start(scene, job).state == "started"
    else:
        with pytest.raises(UnableToWork, match="up to 2 hours"):
            start(scene, job)


def test_a_dig_without_a_depth_does_not_start(scene: Scene) -> None:
    with pytest.raises(UnableToWork, match="How deep"):
        start(scene, dig(scene, None))


@pytest.mark.parametrize(("depth_in", "asked"), [(59, False), (60, True)])
def test_from_5_ft_on_the_system_and_the_competent_person_are_named_first(
    scene: Scene, depth_in: float, asked: bool
) -> None:
    job = dig(scene, depth_in)
    if not asked:
        assert start(scene, job).state == "started"
        return
    with pytest.raises(UnableToWork, match="protective system"):
        start(scene, job)
    answer(scene, job, depth_in, protective_system="shored")
    with pytest.raises(UnableToWork, match="competent person"):
        start(scene, job)
    answer(scene, job, depth_in, competent_person="Tessa")
    assert start(scene, job).state == "started"


def test_a_hole_that_became_deeper_is_not_finished_without_the_answers(scene: Scene) -> None:
    job = start(scene, dig(scene, 40))
    answer(scene, job, 60)
    with pytest.raises(UnableToWork, match="protective system"):
        finish(scene, job)
    answer(scene, job, 60, protective_system="sloped or benched", competent_person="Tessa")
    assert finish(scene, job).state == JobState.DONE


@pytest.mark.parametrize(
    ("depth_in", "new"), [(47, set()), (48, {Prompt.EGRESS, Prompt.AIR_TESTED})]
)
def test_the_prompts_step_at_exactly_4_ft(scene: Scene, depth_in: float, new: set[Prompt]) -> None:
    usual = {Prompt.UTILITIES_FOUND, *PRIVATE, Prompt.SPOIL_BACK}
    assert set(prompts_of(dig(scene, depth_in))) == usual | new


def test_what_is_around_the_hole_asks_more(scene: Scene) -> None:
    job = dig(scene)
    answer_safety(
        job=job,
        depth_in=18,
        situations={Situation.TRAFFIC, Situation.HEAT},
        answers={Prompt.TRAFFIC_GUARDED: "cones, two vests"},
        by=scene.technician,
        at=make.NOW,
    )
    assert job.situations == ["traffic", "heat"]
    kept = job.safety.get(prompt=Prompt.TRAFFIC_GUARDED.value)
    assert kept.answer == "cones, two vests"
    assert Prompt.WATER_REST_SHADE in prompts_of(job)


def test_an_answer_is_put_right_and_an_empty_one_changes_nothing(scene: Scene) -> None:
    job = dig(scene)
    answer(scene, job, spoil_back="yes")
    answer(scene, job, spoil_back="3 ft", utilities_found=" ")
    answer(scene, job, spoil_back="")
    kept = job.safety.get(prompt=Prompt.SPOIL_BACK.value)
    assert (kept.answer, kept.by, kept.history.count()) == ("3 ft", scene.technician, 2)


def test_a_protective_system_is_one_of_the_list(scene: Scene) -> None:
    with pytest.raises(UnableToWork) as no:
        answer(scene, dig(scene, 60), 60, protective_system="hope")
    assert no.value.field == "answer_protective_system"


def test_a_hole_deeper_than_20_ft_is_refused(scene: Scene) -> None:
    with pytest.raises(UnableToPlan, match="20 ft"):
        answer(scene, dig(scene), 241)


def test_nothing_is_answered_where_nothing_is_dug(scene: Scene) -> None:
    with pytest.raises(UnableToWork, match="Nothing is dug"):
        answer(scene, planned(scene), 18)


def test_the_technician_needs_no_office_to_start(scene: Scene) -> None:
    job = assigned(scene)
    start_job(job=job, at=make.NOW, today=TODAY, by=scene.tracer)
    assert job.history.first().history_user == scene.tracer
