"""The step "schedule a visit": a locate job is planned and a crew is sent, all at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.utils.translation import gettext as _

from faults.engines.stages import Stage
from faults.models import Crew, Fault, FaultStation, JobKind
from faults.services.jobs.assigning import assign_job
from faults.services.jobs.defaults import facts_for
from faults.services.jobs.planning import plan_job
from faults.services.moves import move_stations
from faults.services.told import Told, UnableToMove
from sites.engines.roles import Action
from sites.models import User
from sites.services.verbs import verb


@dataclass(frozen=True)
class CrewVisit:
    """Which crew goes, on which day, from when on."""

    crew: Crew
    day: date
    starts_at: time | None = None


@verb(
    name="schedule a visit of a crew",
    action=Action.PLAN_JOBS,
    guard="as planning a locate job, assigning it, and moving its stations to scheduled",
    undo="withdraw the job: its stations go back to reported",
)
def schedule_visit(
    *,
    fault: Fault,
    stations: Sequence[FaultStation],
    visit: CrewVisit,
    on: date,
    by: User,
    at: datetime,
    today: date,
    why: str = "",
) -> None:
    """Plan a locate job for these stations of a fault and send a crew."""
    if not stations:
        raise UnableToMove(_("Choose at least one station."), field="stations")
    waiting = fault.stations.filter(stage=Stage.REPORTED.value)
    if waiting.filter(pk__in=[row.pk for row in stations]).count() < len(stations):
        raise UnableToMove(
            _("One of these stations is no longer reported. Open the fault again."),
            field="stations",
        )
    facts = facts_for(JobKind.LOCATE, fault)
    job = plan_job(
        place=fault.property,
        kind=JobKind.LOCATE,
        facts=facts,
        fault=fault,
        stations=[row.station for row in stations],
        by=by,
        today=today,
    )
    assign_job(
        job=job,
        crew=visit.crew,
        day=visit.day,
        starts_at=visit.starts_at,
        by=by,
        at=at,
        today=today,
        why=why,
        scheduled_on=on,
    )


def take_step(
    *,
    fault: Fault,
    stations: Sequence[FaultStation],
    to: Stage,
    on: date,
    by: User,
    at: datetime,
    today: date,
    why: str = "",
    told: Told | CrewVisit | None = None,
) -> None:
    """Move stations to a stage; where a crew goes, through the job that sends it."""
    how = {"on": on, "by": by, "at": at, "today": today, "why": why}
    if isinstance(told, CrewVisit):
        schedule_visit(fault=fault, stations=stations, visit=told, **how)  # type: ignore[arg-type]
    else:
        move_stations(fault=fault, stations=stations, to=to, told=told, **how)  # type: ignore[arg-type]
