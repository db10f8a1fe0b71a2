"""Assigning, moving, calling back and locking: the guards, and what it does to the fault."""

from datetime import date, time, timedelta
from typing import Any

import pytest

from faults.access import crews_for, faults_for, jobs_for
from faults.cases.engines.stages import Stage
from faults.cases.services.assign import assign_fault
from faults.cases.services.moves import move_stations
from faults.cases.services.told import UnableToMove
from faults.models import CrewAway, JobKind
from faults.work.services import (
    UnableToSend,
    assign_job,
    lock_job,
    move_job,
    unassign_job,
    unlock_job,
    withdraw_job,
)
from faults.work.services.visits import CrewVisit, schedule_visit
from sites.kernel.engines.roles import Action, Role
from tests import make, make_jobs
from tests.services.work.scene import (
    LATER,
    TODAY,
    TOMORROW,
    Scene,
    assigned,
    planned,
    put_at,
    start,
)

pytestmark = pytest.mark.django_db


def test_assigning_a_locate_job_moves_its_stations_to_scheduled(scene: Scene) -> None:
    job = assigned(scene, day=TOMORROW, starts_at=time(8))
    assert scene.stages() == ["scheduled", "scheduled"]
    assert (job.crew, job.day, job.starts_at, job.sequence) == (scene.crew, TOMORROW, time(8), 1)
    move = scene.fault.stations.first().moves.latest("pk")  # type: ignore[union-attr]
    assert (move.on, move.why) == (TODAY, f"North, {TOMORROW.isoformat()}")


def test_the_crew_sees_the_fault_from_the_day_of_the_visit(scene: Scene) -> None:
    assert not faults_for(scene.tracer).exists()
    assigned(scene, day=TOMORROW)
    held = scene.fault.assignments.order_by("user")
    assert {one.user for one in held} == {scene.technician, scene.tracer}
    assert {one.from_on for one in held} == {TOMORROW}
    assert faults_for(scene.tracer).get() == scene.fault


def test_only_the_named_stations_are_scheduled(scene: Scene) -> None:
    assigned(scene, planned(scene, stations=scene.stations[:1]))
    assert scene.stages() == ["scheduled", "reported"]


def test_a_dig_leaves_the_stage_alone_and_lets_the_crew_see_the_fault(scene: Scene) -> None:
    put_at(scene.fault, Stage.AGREED)
    assigned(scene, planned(scene, JobKind.DIG))
    assert scene.stages() == ["agreed", "agreed"]
    assert faults_for(scene.tracer).exists()


def test_a_refused_assignment_leaves_nothing_behind(scene: Scene) -> None:
    job = planned(scene)
    technician = make.user(Role.TECHNICIAN)
    with pytest.raises(UnableToMove, match="Your role may not"):
        assign_job(
            job=job,
            crew=scene.crew,
            day=TODAY,
            by=technician,
            at=make.NOW,
            today=TODAY,
        )
    job.refresh_from_db()
    assert (job.crew, job.sequence, scene.stages()) == (None, 0, ["reported", "reported"])


@pytest.mark.parametrize(
    ("change", "words", "field"),
    [
        ({"day": TODAY - timedelta(days=1)}, "is over", "day"),
        ({"day": LATER}, "away on that day .training.", "day"),
        ({"day": TOMORROW, "why": ""}, "not to go before", "why"),
        ({"day": LATER + timedelta(days=4)}, "made by", "why"),
    ],
)
def test_a_day_that_cannot_be_is_refused(
    scene: Scene, change: dict[str, Any], words: str, field: str
) -> None:
    CrewAway.objects.create(
        crew=scene.crew, from_on=LATER, to_on=LATER + timedelta(days=1), why="training"
    )
    facts = {"earliest_on": TODAY + timedelta(days=2), "due_on": LATER + timedelta(days=1)}
    job = planned(scene, facts=facts)
    with pytest.raises(UnableToSend, match=words) as no:
        assigned(scene, job, **change)
    assert no.value.field == field


def test_a_day_outside_the_wished_ones_goes_with_a_reason_that_history_keeps(scene: Scene) -> None:
    job = planned(scene, facts={"earliest_on": LATER})
    assigned(scene, job, day=TOMORROW, why="the client asked")
    assert job.history.first().history_change_reason == "the client asked"


def test_a_retired_crew_is_not_sent(scene: Scene) -> None:
    scene.crew.retired_on = TOMORROW
    scene.crew.save()
    with pytest.raises(UnableToSend, match="retired"):
        assigned(scene, day=TOMORROW)
    assigned(scene, day=TODAY)


def test_an_assigned_job_is_moved_and_not_assigned_again(scene: Scene) -> None:
    with pytest.raises(UnableToSend, match="Move it instead"):
        assigned(scene, assigned(scene))
    with pytest.raises(UnableToSend, match="Assign it instead"):
        move_job(job=planned(scene), crew=scene.crew, day=TODAY, **scene.how)


def test_moving_gives_the_fault_to_the_new_crew_and_takes_it_from_the_old(scene: Scene) -> None:
    job = assigned(scene)
    other = make_jobs.crew(make.user(Role.TECHNICIAN))
    move_job(job=job, crew=other, day=TOMORROW, **scene.how)
    assert (job.crew, job.day, job.sequence) == (other, TOMORROW, 2)
    assert scene.stages() == ["scheduled", "scheduled"]
    open_ones = scene.fault.assignments.filter(to_on__isnull=True)
    assert [one.user for one in open_ones] == [other.members.get().user]
    assert not faults_for(scene.tracer).exists()


def test_moving_to_the_same_place_is_refused(scene: Scene) -> None:
    with pytest.raises(UnableToSend, match="there already"):
        move_job(job=assigned(scene), crew=scene.crew, day=TODAY, **scene.how)


def test_who_was_assigned_before_the_visit_keeps_the_fault_after_it(scene: Scene) -> None:
    assign_fault(fault=scene.fault, who=scene.tracer, from_on=date(2025, 5, 2))
    job = assigned(scene)
    unassign_job(job=job, why="rain", **scene.how)
    open_ones = scene.fault.assignments.filter(to_on__isnull=True)
    assert [one.user for one in open_ones] == [scene.tracer]


def test_taking_the_only_visit_from_its_crew_moves_the_stations_back(scene: Scene) -> None:
    job = assigned(scene)
    with pytest.raises(UnableToSend, match="few words"):
        unassign_job(job=job, why="", **scene.how)
    unassign_job(job=job, why="the truck broke", **scene.how)
    assert (job.crew, job.day, job.sequence) == (None, None, 2)
    assert scene.stages() == ["reported", "reported"]
    with pytest.raises(UnableToSend, match="Nobody has this job"):
        unassign_job(job=job, why="again", **scene.how)


def test_stations_that_another_visit_goes_to_stay_scheduled(scene: Scene) -> None:
    job = assigned(scene)
    assigned(scene, planned(scene, stations=scene.stations[:1]), day=TOMORROW)
    withdraw_job(job=job, why="one is enough", **scene.how)
    assert scene.stages() == ["scheduled", "reported"]
    assert faults_for(scene.tracer).exists()


def test_the_stage_is_not_moved_back_while_a_crew_is_to_go(scene: Scene) -> None:
    assigned(scene, day=TOMORROW)
    with pytest.raises(UnableToMove, match="North goes there"):
        move_stations(
            fault=scene.fault,
            stations=list(scene.fault.stations.all()),
            to=Stage.REPORTED,
            on=TODAY,
            why="ill",
            **scene.how,
        )


def test_a_locked_job_stays_where_it_is_until_it_is_unlocked(scene: Scene) -> None:
    job = assigned(scene)
    lock_job(job=job)
    for verb, told in (
        (move_job, {"crew": scene.crew, "day": TOMORROW}),
        (unassign_job, {"why": "x"}),
    ):
        with pytest.raises(UnableToSend, match="locked to North"):
            verb(job=job, **told, **scene.how)  # type: ignore[operator]
    with pytest.raises(UnableToSend, match="locked already"):
        lock_job(job=job)
    unlock_job(job=job)
    move_job(job=job, crew=scene.crew, day=TOMORROW, **scene.how)
    with pytest.raises(UnableToSend, match="not locked"):
        unlock_job(job=job)


def test_only_an_assigned_job_is_locked_and_a_withdrawal_lifts_the_lock(scene: Scene) -> None:
    with pytest.raises(UnableToSend, match="Assign it first"):
        lock_job(job=planned(scene))
    job = assigned(scene)
    lock_job(job=job)
    withdraw_job(job=job, why="cancelled", **scene.how)
    assert not job.is_locked


def test_a_job_under_way_is_neither_moved_nor_taken(scene: Scene) -> None:
    job = start(scene, assigned(scene))
    with pytest.raises(UnableToSend, match="under way"):
        move_job(job=job, crew=scene.crew, day=TOMORROW, **scene.how)


def test_nobody_goes_to_a_closed_fault(scene: Scene) -> None:
    job = planned(scene)
    put_at(scene.fault, Stage.GIVEN_UP)
    with pytest.raises(UnableToSend, match="closed"):
        assigned(scene, job)


def test_scheduling_a_visit_plans_and_assigns_a_locate_job(scene: Scene) -> None:
    rows = list(scene.fault.stations.filter(station=scene.stations[0]))
    visit = CrewVisit(scene.crew, TOMORROW, time(9))
    schedule_visit(fault=scene.fault, stations=rows, visit=visit, on=TODAY, **scene.how)
    job = scene.fault.jobs.get()
    assert (job.kind, job.crew, job.day) == ("locate", scene.crew, TOMORROW)
    assert list(job.stations.all()) == scene.stations[:1]
    assert scene.stages() == ["scheduled", "reported"]
    with pytest.raises(UnableToMove, match="no longer reported"):
        schedule_visit(fault=scene.fault, stations=rows, visit=visit, on=TODAY, **scene.how)
    assert scene.fault.jobs.count() == 1


def test_a_tracer_sees_the_jobs_of_its_faults_only_and_the_crews_that_it_goes_with(
    scene: Scene,
) -> None:
    mine = assigned(scene)
    make_jobs.job(property=scene.place)
    make_jobs.job(fault=make.fault(scene.stations[0]))
    strangers = make_jobs.crew()
    assert list(jobs_for(scene.tracer)) == [mine]
    assert list(crews_for(scene.tracer)) == [scene.crew]
    assert set(crews_for(scene.technician)) == {scene.crew, strangers}


def test_a_client_sees_no_job_and_no_crew(scene: Scene) -> None:
    client = make.user(Role.CLIENT, client=scene.place.client)
    assigned(scene)
    assert not jobs_for(client).exists()
    assert not crews_for(client).exists()


def test_crews_are_changed_by_those_whose_role_holds_everywhere(scene: Scene) -> None:
    limited = make.user(Role.DISPATCHER, client=scene.place.client)
    assert not crews_for(limited, Action.SET_UP_WORK).exists()
    assert crews_for(scene.office, Action.SET_UP_WORK).get() == scene.crew
