"""What a locate job does to its fault: who may see it, and whether its stations are scheduled."""

from collections.abc import Iterable
from datetime import date, datetime

from faults.cases.engines.stages import Stage
from faults.cases.services.assign import end_assignment, give_fault_to_crew
from faults.cases.services.moves import move_stations
from faults.cases.services.told import Visit
from faults.models import OPEN_JOB_STATES, CrewMember, FaultStation, Job
from faults.models.kind import first_kinds
from sites.models import User


def crew_on(job: Job) -> list[User]:
    """Return who goes: the members of the job's crew on its day."""
    if job.crew_id is None or job.day is None:
        return []
    members = CrewMember.objects.on(job.day).filter(crew=job.crew_id).select_related("user")
    return [member.user for member in members.order_by("user__username", "pk")]


def send_for_fault(job: Job, *, on: date, by: User, at: datetime, today: date) -> None:
    """Give the fault to the crew; a job that looks for it moves what is reported to scheduled."""
    fault = job.fault
    if fault is None or job.day is None:
        return
    looks = job.kind in first_kinds(fault.symptom)
    rows = _rows_of(job, Stage.REPORTED) if looks else []
    if rows:
        move_stations(
            fault=fault,
            stations=rows,
            to=Stage.SCHEDULED,
            on=on,
            by=by,
            at=at,
            today=today,
            facts=Visit(None, job.day, job),
        )
    elif job.crew is not None:
        give_fault_to_crew(fault, job.crew, job.day)


def call_back_from_fault(job: Job, *, why: str, by: User, at: datetime, today: date) -> None:
    """Move stations that no other visit is planned for back to reported.

    The job itself no longer counts: it has no crew or is withdrawn, and is saved.
    """
    if job.fault is None or job.kind not in (kinds := first_kinds(job.fault.symptom)):
        return
    others = list(
        Job.objects.open()
        .assigned()
        .filter(fault=job.fault_id, kind__in=kinds)
        .exclude(pk=job.pk)
        .prefetch_related("stations")
    )
    rows = [row for row in _rows_of(job, Stage.SCHEDULED) if not _covered(row, others)]
    if rows:
        move_stations(
            fault=job.fault,
            stations=rows,
            to=Stage.REPORTED,
            on=today,
            by=by,
            at=at,
            today=today,
            why=why,
        )


def release_crew(job: Job, crew_id: int | None, day: date | None, *, today: date) -> None:
    """End what people hold of the fault only because of this visit.

    That is an assignment which began on the day of the visit; who was assigned before keeps it.
    """
    if job.fault is None or crew_id is None or day is None:
        return
    still = set(_on_other_visits(job))
    members = CrewMember.objects.on(day).filter(crew=crew_id).values("user")
    held = job.fault.assignments.filter(to_on__isnull=True, from_on=day, user__in=members)
    for one in held.order_by("pk"):
        if one.user_id not in still:
            end_assignment(assignment=one, on=today)


def _on_other_visits(job: Job) -> Iterable[int]:
    assert job.fault is not None
    others = job.fault.jobs.filter(state__in=OPEN_JOB_STATES, crew__isnull=False, day__isnull=False)
    for other in others.exclude(pk=job.pk).order_by("pk"):
        yield from (user.pk for user in crew_on(other))


def _rows_of(job: Job, stage: Stage) -> list[FaultStation]:
    assert job.fault is not None
    rows = job.fault.stations.filter(stage=stage.value)
    named = list(job.stations.values_list("pk", flat=True))
    if named:
        rows = rows.filter(station__in=named)
    return list(rows.select_related("station__controller").order_by("station__number", "pk"))


def _covered(row: FaultStation, others: Iterable[Job]) -> bool:
    """Whether another planned visit goes to this station; one that names none goes to all."""
    for other in others:
        named = {station.pk for station in other.stations.all()}
        if not named or row.station_id in named:
            return True
    return False
