"""Planning a job, changing it, splitting it, withdrawing it and bringing it back."""

from datetime import timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.cases.engines.stages import Stage
from faults.models import JobKind, JobState
from faults.work.services import (
    JobFacts,
    UnableToPlan,
    UnableToSend,
    bring_job_back,
    change_job,
    join_part,
    split_job,
    withdraw_job,
)
from faults.work.services.defaults import facts_for, kind_for
from tests import make, make_jobs
from tests.services.work.scene import (
    LATER,
    TODAY,
    TOMORROW,
    Scene,
    assigned,
    make_scene,
    planned,
    put_at,
    start,
)

pytestmark = pytest.mark.django_db


def test_a_planned_job_has_nobody_who_goes(scene: Scene) -> None:
    job = planned(scene, stations=scene.stations, devices=[make.device(property=scene.place)])
    assert (job.state, job.crew, job.day) == ("planned", None, None)
    assert (job.stations.count(), job.devices.count()) == (2, 1)
    assert scene.stages() == ["reported", "reported"]
    assert job.history.get().history_user == scene.office


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"expected_minutes": 0}, "expected_minutes"),
        ({"earliest_on": LATER, "due_on": TOMORROW}, "due_on"),
        ({"planned_depth_in": 0}, "planned_depth_in"),
        ({"planned_depth_in": 241}, "planned_depth_in"),
    ],
)
def test_facts_that_cannot_be_are_refused(scene: Scene, facts: dict[str, Any], field: str) -> None:
    with pytest.raises(UnableToPlan) as no:
        planned(scene, JobKind.DIG, facts=facts)
    assert no.value.field == field


def test_a_dig_of_20_ft_is_planned_and_one_deeper_names_the_rule(scene: Scene) -> None:
    assert planned(scene, JobKind.DIG, facts={"planned_depth_in": 240}).planned_depth_in == 240
    with pytest.raises(UnableToPlan, match=r"1926\.652"):
        planned(scene, JobKind.DIG, facts={"planned_depth_in": 240.5})


def test_nothing_is_planned_on_a_retired_property_or_for_a_closed_or_strange_fault(
    scene: Scene,
) -> None:
    with pytest.raises(UnableToPlan, match="another property"):
        planned(scene, fault=make.fault())
    with pytest.raises(UnableToPlan, match="another property"):
        planned(scene, stations=[make.station()])
    put_at(scene.fault, Stage.WITHDRAWN)
    with pytest.raises(UnableToPlan, match="closed"):
        planned(scene)
    scene.place.retired_on = TODAY
    scene.place.save()
    with pytest.raises(UnableToPlan, match="retired"):
        planned(scene, fault=None)


@pytest.mark.parametrize(
    ("stage", "kind"),
    [
        (Stage.REPORTED, JobKind.LOCATE),
        (Stage.AGREED, JobKind.DIG),
        (Stage.PROVEN, JobKind.RETURN),
        (Stage.WITHDRAWN, JobKind.CHECK_UP),
    ],
)
def test_the_kind_proposed_follows_the_stage(scene: Scene, stage: Stage, kind: JobKind) -> None:
    put_at(scene.fault, stage)
    assert kind_for(scene.fault) is kind


@pytest.mark.parametrize(
    ("symptom", "skill"), [("leak to earth", 3), ("comes and goes", 3), ("open", 2), ("short", 2)]
)
def test_the_skill_proposed_follows_the_symptom(symptom: str, skill: int) -> None:
    assert facts_for(JobKind.LOCATE, make.fault(symptom=symptom)).skill_needed == skill


@pytest.mark.parametrize("kind", JobKind)
def test_every_kind_has_minutes_and_gear_of_its_own(kind: JobKind) -> None:
    facts = facts_for(kind)
    assert facts.expected_minutes > 0
    assert facts.equipment


def test_a_change_is_one_that_a_calendar_learns_of(scene: Scene) -> None:
    job = planned(scene)
    change_job(job=job, facts=JobFacts(90, skill_needed=2, notes=" gate 4 "))
    assert (job.expected_minutes, job.skill_needed, job.notes) == (90, 2, "gate 4")
    assert job.sequence == 1


def test_a_finished_or_withdrawn_job_does_not_change(scene: Scene) -> None:
    done = make_jobs.job(state=JobState.DONE)
    with pytest.raises(UnableToPlan, match="finished job does not change"):
        change_job(job=done, facts=JobFacts(10))
    gone = make_jobs.job(state=JobState.WITHDRAWN)
    with pytest.raises(UnableToPlan, match="Bring it back"):
        change_job(job=gone, facts=JobFacts(10))


@given(whole=st.integers(2, 2000), data=st.data())
def test_a_split_keeps_the_sum_of_minutes_and_joining_undoes_it(whole: int, data: Any) -> None:
    scene = make_scene_once()
    minutes = data.draw(st.integers(1, whole - 1))
    job = planned(scene, facts={"expected_minutes": whole})
    part = split_job(job=job, minutes=minutes, **scene.how)
    assert (part.expected_minutes, job.expected_minutes) == (minutes, whole - minutes)
    assert (part.split_from_id, part.fault, part.crew) == (job.pk, scene.fault, None)
    again = join_part(job=part, **scene.how)
    assert (again.pk, again.expected_minutes, part.state) == (job.pk, whole, "withdrawn")


def make_scene_once() -> Scene:
    """A new scene for each example: names of crews must differ."""
    scene = make_scene()
    scene.crew.name = f"North {scene.crew.pk}"
    scene.crew.save()
    return scene


@pytest.mark.parametrize("minutes", [0, 60, 61])
def test_a_part_takes_some_minutes_and_leaves_some(scene: Scene, minutes: int) -> None:
    with pytest.raises(UnableToPlan) as no:
        split_job(job=planned(scene), minutes=minutes, **scene.how)
    assert no.value.field == "minutes"


def test_a_part_with_a_day_goes_to_the_same_crew(scene: Scene) -> None:
    job = assigned(scene)
    part = split_job(job=job, minutes=20, day=TOMORROW, **scene.how)
    assert (part.crew, part.day, job.day) == (scene.crew, TOMORROW, TODAY)
    with pytest.raises(UnableToSend, match="Nobody is assigned"):
        split_job(job=planned(scene), minutes=20, day=TOMORROW, **scene.how)


def test_only_a_part_is_joined_and_not_one_with_lines(scene: Scene) -> None:
    job = planned(scene)
    with pytest.raises(UnableToPlan, match="not split"):
        join_part(job=job, **scene.how)
    part = split_job(job=job, minutes=20, **scene.how)
    make_jobs.line(job=part)
    with pytest.raises(UnableToPlan, match="lines already"):
        join_part(job=part, **scene.how)


def test_a_withdrawal_says_why_and_a_started_job_is_not_withdrawn(scene: Scene) -> None:
    job = assigned(scene)
    with pytest.raises(UnableToPlan) as no:
        withdraw_job(job=job, why=" ", **scene.how)
    assert no.value.field == "why"
    with pytest.raises(UnableToPlan, match="under way"):
        withdraw_job(job=start(scene, job), why="rain", **scene.how)


def test_withdrawing_the_only_visit_moves_its_stations_back_with_the_reason(scene: Scene) -> None:
    job = assigned(scene)
    assert scene.stages() == ["scheduled", "scheduled"]
    withdraw_job(job=job, why="runs again", **scene.how)
    assert scene.stages() == ["reported", "reported"]
    move = scene.fault.stations.first().moves.latest("pk")  # type: ignore[union-attr]
    assert (move.from_stage, move.to_stage, move.why) == ("scheduled", "reported", "runs again")
    assert not scene.fault.assignments.filter(to_on__isnull=True).exists()
    assert job.history.first().history_change_reason == "runs again"


def test_a_job_brought_back_waits_to_be_assigned_anew(scene: Scene) -> None:
    job = assigned(scene, day=TOMORROW)
    withdraw_job(job=job, why="rain", **scene.how)
    before = job.sequence
    bring_job_back(job=job)
    assert (job.state, job.crew, job.day, job.why_withdrawn) == ("planned", None, None, "")
    assert job.sequence == before + 1
    with pytest.raises(UnableToPlan, match="not withdrawn"):
        bring_job_back(job=job)


def test_a_job_of_a_closed_fault_is_not_brought_back(scene: Scene) -> None:
    job = planned(scene)
    withdraw_job(job=job, why="rain", **scene.how)
    put_at(scene.fault, Stage.WITHDRAWN)
    with pytest.raises(UnableToPlan, match="closed"):
        bring_job_back(job=job)
    assert TODAY + timedelta(days=1) == TOMORROW
