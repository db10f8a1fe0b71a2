"""When somebody was promised to begin at a fault: for the board, the rota and who is sent."""

from collections.abc import Iterable
from datetime import date, time

from django.utils.translation import gettext as _

from faults.cases.engines.stages import Stage
from faults.cases.engines.working import WorkingDay
from faults.cases.services.working_days import minute_of
from faults.models import Fault, Job, JobState
from faults.models.kind import looks_for_fault
from faults.work.engines.arriving import Arrival, holds, let_in
from faults.work.services.told import UnableToSend

# Until then nobody has found it, and the caller still waits for the visit that was promised.
AWAITED = (Stage.REPORTED.value, Stage.SCHEDULED.value)


def awaited(jobs: Iterable[Job], *, today: date) -> dict[int, Fault]:
    """Return the faults of the planned first visits that somebody was promised, by the job's key;
    a day that is over binds nothing.

    Jobs come with their fault. Once a visit has begun somebody came: the next one is free.
    """
    bound = {}
    for job in jobs:
        fault = job.fault if job.state == JobState.PLANNED else None
        if fault is None or fault.promised_on is None or fault.promised_on < today:
            continue
        if fault.stage in AWAITED and looks_for_fault(job.kind, fault):
            bound[job.pk] = fault
    if not bound:
        return {}
    faults = {fault.pk for fault in bound.values()}
    begun = Job.objects.filter(fault__in=faults, started_at__isnull=False)
    came = set(begun.order_by().values_list("fault_id", flat=True))
    return {key: fault for key, fault in bound.items() if fault.pk not in came}


def arrivals(jobs: Iterable[Job], *, today: date) -> dict[int, Arrival]:
    """Return between which times of which day somebody was promised, by the key of the visit."""
    found = {key: arrival_at(fault) for key, fault in awaited(jobs, today=today).items()}
    return {key: arrival for key, arrival in found.items() if arrival is not None}


def arrival_at(fault: Fault) -> Arrival | None:
    """Return the promised times of a fault; None where none were promised."""
    since, until = fault.promised_from, fault.promised_until
    if fault.promised_on is None or since is None or until is None:
        return None
    return Arrival(fault.promised_on, minute_of(since), minute_of(until))


def arrival_words(fault: Fault | None) -> str:
    """Return the promised day and times in words; empty where no times were promised."""
    if fault is None or fault.promised_on is None or not fault.promised_hours():
        return ""
    words = {"day": fault.promised_on.isoformat(), "hours": fault.promised_hours()}
    return _("promised for %(day)s, %(hours)s") % words


def is_kept(
    arrival: Arrival | None, job: Job, day: date, starts_at: time | None, on: WorkingDay | None
) -> bool:
    """Return whether a visit on this day, from this time on, keeps what was promised."""
    start = None if starts_at is None else minute_of(starts_at)
    end, rests = None, on.rests if on else ()
    if start is not None:
        end = on.end_of(start, job.expected_minutes) if on else start + job.expected_minutes
    windows = let_in(None, arrival, day, job.expected_minutes, rests)
    return holds(windows, start, end, job.expected_minutes)


def refuse_unpromised(
    job: Job, day: date, starts_at: time | None, on: WorkingDay, *, why: str, today: date
) -> None:
    """Refuse a day or time other than was promised to the caller, unless a reason is given."""
    if why.strip() or is_kept(arrivals([job], today=today).get(job.pk), job, day, starts_at, on):
        return
    raise UnableToSend(
        _("Somebody was %s. Choose that, or tell the caller and say why it goes otherwise.")
        % arrival_words(job.fault),
        field="why",
    )
