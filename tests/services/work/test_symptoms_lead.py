"""What the symptom makes of the first visit: its kind, skill, urgency, day and stage."""

from datetime import timedelta

import pytest

from faults.cases.engines.stages import Stage
from faults.cases.services.stays_on import stays_on_words
from faults.models import Job, JobKind, Symptom, Wait
from faults.models.kind import first_kinds, looks_for_fault
from faults.waits.services.waits import rebuild_waits
from faults.work.services.defaults import facts_for, kind_for
from faults.work.services.readiness import readiness_of
from faults.work.services.ready_lines import State, Subject
from faults.work.services.visits import CrewVisit, schedule_visit, waiting_jobs
from sites.models import StationFacts
from tests import make
from tests.services.work.scene import LATER, TODAY, Scene, assigned, planned, put_at

pytestmark = pytest.mark.django_db


def staying_on(scene: Scene) -> Scene:
    """The scene with a station that waters and cannot be stopped."""
    scene.fault.symptom = Symptom.STAYS_ON.value
    scene.fault.save()
    return scene


@pytest.mark.parametrize(
    ("symptom", "kind", "skill"),
    [
        ("stays on", JobKind.VALVE, 1),
        ("runs with another", JobKind.LOCATE, 3),
        ("several weak", JobKind.LOCATE, 2),
        ("open", JobKind.LOCATE, 2),
    ],
)
def test_the_first_visit_follows_the_symptom(symptom: str, kind: JobKind, skill: int) -> None:
    fault = make.fault(symptom=symptom)
    assert kind_for(fault) is kind
    assert facts_for(kind, fault).skill_needed == skill
    assert facts_for(kind, fault).expected_minutes == (60 if kind is JobKind.VALVE else 105)


@pytest.mark.parametrize(
    ("stage", "priority"),
    [
        (Stage.REPORTED, 4),
        (Stage.AGREED, 4),
        (Stage.MENDED, 2),
        (Stage.RETURNED, 2),
    ],
)
def test_wasted_water_goes_first_until_it_is_mended(
    scene: Scene, stage: Stage, priority: int
) -> None:
    put_at(staying_on(scene).fault, stage)
    assert facts_for(JobKind.VALVE, scene.fault).priority == priority
    scene.fault.symptom = Symptom.OPEN.value
    assert facts_for(JobKind.VALVE, scene.fault).priority == 2


def test_the_valves_visit_is_the_one_that_looks_for_it(scene: Scene) -> None:
    fault = staying_on(scene).fault
    fault.promised_on = LATER
    assert facts_for(JobKind.VALVE, fault).due_on == LATER
    assert facts_for(JobKind.LOCATE, fault).due_on == LATER
    assert facts_for(JobKind.DIG, fault).due_on is None
    fault.symptom = Symptom.OPEN.value
    assert facts_for(JobKind.VALVE, fault).due_on is None
    assert first_kinds("open") == {"locate"}
    assert first_kinds("stays on") == {"locate", "valve repair"}


def test_sending_somebody_to_the_valve_schedules_its_stations(scene: Scene) -> None:
    job = planned(staying_on(scene), JobKind.VALVE)
    assert looks_for_fault(job.kind, job.fault)
    assigned(scene, job)
    assert scene.stages() == ["scheduled", "scheduled"]
    scene.fault.refresh_from_db()
    put_at(scene.fault, Stage.FOUND)
    job = Job.objects.select_related("fault").get(pk=job.pk)
    assert not looks_for_fault(job.kind, job.fault)


def test_a_valve_visit_to_a_broken_wire_schedules_nothing(scene: Scene) -> None:
    assigned(scene, planned(scene, JobKind.VALVE))
    assert scene.stages() == ["reported", "reported"]


def test_the_step_schedules_by_the_proposed_kind_and_takes_what_waits(scene: Scene) -> None:
    fault = staying_on(scene).fault
    rows = list(fault.stations.order_by("pk"))
    waiting = planned(scene, JobKind.VALVE)
    assert waiting_jobs(fault, rows) == [waiting]
    schedule_visit(
        fault=fault, stations=rows, visit=CrewVisit(scene.crew, TODAY), on=TODAY, **scene.how
    )
    waiting.refresh_from_db()
    assert (waiting.crew, waiting.day) == (scene.crew, TODAY)
    assert Job.objects.filter(fault=fault).count() == 1


def test_nobody_asks_for_a_yes_to_a_repair_before_the_valve_was_looked_at(scene: Scene) -> None:
    job = planned(staying_on(scene), JobKind.VALVE)

    def consent() -> State:
        (found,) = readiness_of([job], today=TODAY).values()
        (line,) = [each for each in found.lines if each.subject is Subject.CONSENT]
        return line.state

    assert consent() is State.NOT_KNOWN
    put_at(scene.fault, Stage.FOUND)
    job.refresh_from_db()
    assert consent() is State.NOT_READY


def test_its_wait_is_for_the_day_of_the_valves_visit(scene: Scene) -> None:
    row = scene.stations[0]
    make.stopgap(station=row, on=TODAY - timedelta(days=3))
    assigned(scene, planned(staying_on(scene), JobKind.VALVE), day=LATER)
    rebuild_waits([row.pk], at=make.NOW)
    assert Wait.objects.get(station=row).waits_on == "visit day"


def test_the_caution_names_the_flow_only_where_that_of_each_is_known(scene: Scene) -> None:
    words = stays_on_words(staying_on(scene).fault)
    assert "flow control or the main by hand" in words
    assert "By the register" not in words
    one, other = scene.stations
    StationFacts.objects.create(station=one, flow_gpm=12.0)
    assert "By the register" not in stays_on_words(scene.fault)
    StationFacts.objects.create(station=other, flow_gpm=8.0)
    assert "it lets 20 gpm through" in stays_on_words(scene.fault)
