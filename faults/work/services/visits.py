"""The step "schedule a visit": a locate job is planned and a crew is sent, all at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.utils.translation import gettext as _

from faults.cases.engines.stages import Stage
from faults.cases.services.moves import move_stations
from faults.cases.services.told import StageFacts, UnableToMove
from faults.models import Crew, Fault, FaultStation, Job, JobState
from faults.models.kind import first_kind, first_kinds
from faults.work.services.assigning import assign_job
from faults.work.services.defaults import facts_for, search_time
from faults.work.services.planning import plan_job
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import verb
from sites.models import User


@dataclass(frozen=True)
class CrewVisit:
    """Which crew goes, on which day, from when on."""

    crew: Crew
    day: date
    starts_at: time | None = None


@verb(
    name="schedule a visit of a crew",
    action=Action.PLAN_JOBS,
    guard="as assigning the locate job that is planned for these stations, or as planning one, and "
    "moving its stations to scheduled",
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
    """Send a crew to these stations of a fault: by the job that is planned, else by a new one."""
    if not stations:
        raise UnableToMove(_("Choose at least one station."), field="stations")
    waiting = fault.stations.filter(stage=Stage.REPORTED.value)
    if waiting.filter(pk__in=[row.pk for row in stations]).count() < len(stations):
        raise UnableToMove(
            _("One of these stations is no longer reported. Open the fault again."),
            field="stations",
        )
    kind = first_kind(fault.symptom)
    job = _take_planned(fault, stations) or plan_job(
        place=fault.property,
        kind=kind,
        facts=facts_for(kind, fault, search_time(kind, fault, today)),
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


def waiting_jobs(fault: Fault, stations: Sequence[FaultStation]) -> list[Job]:
    """Return jobs that look for it at some of these stations and that nobody has yet."""
    chosen = {row.station_id for row in stations}
    kinds = first_kinds(fault.symptom)
    rows = Job.objects.filter(
        fault=fault, kind__in=kinds, state=JobState.PLANNED, crew__isnull=True
    )
    return [
        job
        for job in rows.prefetch_related("stations").order_by("pk")
        if (named := _named(job)) & chosen or not named
    ]


def _named(job: Job) -> set[int]:
    return {station.pk for station in job.stations.all()}


def _take_planned(fault: Fault, stations: Sequence[FaultStation]) -> Job | None:
    """Return the job that waits for exactly this visit, so that no second one is made.

    A job of fewer stations takes the others along. One of more keeps the rest, for a later visit.
    """
    waiting = waiting_jobs(fault, stations)
    if not waiting:
        return None
    if len(waiting) > 1:
        raise UnableToMove(
            _(
                "%(count)s jobs are planned for these stations and wait for a crew. Assign one of "
                "them from the fault's page, and withdraw what is too much."
            )
            % {"count": len(waiting)}
        )
    (job,) = waiting
    chosen = {row.station_id for row in stations}
    rows = fault.stations.filter(stage=Stage.REPORTED.value)
    reported = set(rows.values_list("station_id", flat=True))
    named = _named(job)
    goes_to = named & reported if named else reported
    if goes_to - chosen:
        job.stations.set(goes_to - chosen)
        return None
    if named:
        job.stations.add(*chosen)
    return job


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
    facts: StageFacts | CrewVisit | None = None,
) -> None:
    """Move stations to a stage; where a crew goes, through the job that sends it."""
    how = {"on": on, "by": by, "at": at, "today": today, "why": why}
    if isinstance(facts, CrewVisit):
        schedule_visit(fault=fault, stations=stations, visit=facts, **how)  # type: ignore[arg-type]
    else:
        move_stations(fault=fault, stations=stations, to=to, facts=facts, **how)  # type: ignore[arg-type]
