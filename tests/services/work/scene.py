"""A small scene for verbs on jobs: one property with a fault, an office, a crew of two."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from faults.cases.engines.stages import Stage
from faults.models import Crew, Fault, FaultStation, Job, JobKind
from faults.work.services import JobFacts, assign_job, plan_job, start_job
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.models import Property, Station, User
from tests import make, make_jobs

TODAY = make.TODAY
TOMORROW = TODAY + timedelta(days=1)
LATER = TODAY + timedelta(days=3)


@dataclass
class Scene:
    """One property with two stations on one reported fault; the crew is a technician and tracer."""

    place: Property
    stations: list[Station]
    fault: Fault
    office: User
    technician: User
    tracer: User
    crew: Crew

    @property
    def how(self) -> dict[str, Any]:
        """By whom and when."""
        return {"by": self.office, "at": make.NOW, "today": TODAY}

    def stages(self) -> list[str]:
        """The stage of each station of the fault."""
        return [row.stage for row in self.fault.stations.order_by("station__number")]


@as_one_change()
def make_scene() -> Scene:
    """Make the scene."""
    place = make.place()
    clock = make.controller(property=place, name="B")
    stations = [make.station(controller=clock, number=number) for number in (7, 9)]
    technician = make.user(Role.TECHNICIAN)
    tracer = make.user(Role.TRACER, property=place)
    return Scene(
        place,
        stations,
        make.fault(*stations, key="B7"),
        make.user(Role.DISPATCHER),
        technician,
        tracer,
        make_jobs.crew(technician, tracer, name="North"),
    )


def planned(scene: Scene, kind: str = JobKind.LOCATE, **given: Any) -> Job:
    """Plan a job of the fault, or of none with `fault=None`."""
    told = {"expected_minutes": 60, **given.pop("facts", {})}
    of = {"fault": scene.fault, **given}
    return plan_job(
        place=scene.place,
        kind=kind,
        facts=JobFacts(**told),
        by=scene.office,
        today=TODAY,
        **of,
    )


def assigned(scene: Scene, job: Job | None = None, **given: Any) -> Job:
    """Assign a job to the crew for today."""
    told = {"crew": scene.crew, "day": TODAY, **given}
    return assign_job(job=job or planned(scene), **told, **scene.how)


def put_at(fault: Fault, stage: Stage) -> None:
    """Put all stations of the fault at a stage, whatever came before."""
    FaultStation.objects.filter(fault=fault).update(stage=stage.value)
    fault.stage = stage.value
    fault.save()


def start(scene: Scene, job: Job, on: date = TODAY) -> Job:
    """Start a job."""
    start_job(job=job, at=make.NOW, today=on, by=scene.technician)
    return job
