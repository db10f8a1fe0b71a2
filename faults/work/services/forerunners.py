"""Which visits come before others: nobody opens ground, or mends, before the fault was located."""

from collections import defaultdict
from collections.abc import Collection, Iterable

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from faults.cases.engines.stages import Stage
from faults.cases.services.working_days import minute_of
from faults.models import OPEN_JOB_STATES, Job, JobKind
from faults.models.kind import looks_for_fault
from faults.work.engines.kinds import REPAIRS

# As long as nobody has found the fault: afterwards a search that is still open holds up nothing.
_SOUGHT = (Stage.REPORTED.value, Stage.SCHEDULED.value)


def waits_for_locate(job: Job) -> bool:
    """Whether a job opens ground or mends, for a fault that nobody has found yet.

    A repair that is itself the first look waits for no other.
    """
    if job.fault is None or job.fault.stage not in _SOUGHT or job.state not in OPEN_JOB_STATES:
        return False
    return (job.digs() or job.kind in REPAIRS) and not looks_for_fault(job.kind, job.fault)


def forerunners(jobs: Iterable[Job]) -> dict[int, list[Job]]:
    """Return the open locates that come before each of these jobs, by its key; none where none do.

    Two visits that name stations, and none in common, have nothing to do with each other. Jobs come
    with their fault.
    """
    rows = [job for job in jobs if waits_for_locate(job)]
    found: dict[int, list[Job]] = defaultdict(list)
    if not rows:
        return found
    locates = _open(rows).filter(kind=JobKind.LOCATE)
    by_fault = _by_fault(locates)
    rows = [job for job in rows if job.fault_id in by_fault]
    if not rows:
        return found
    named = _named([*rows, *(locate for some in by_fault.values() for locate in some)])
    for job in rows:
        for locate in by_fault[job.fault_id or 0]:
            both = named[job.pk], named[locate.pk]
            if not all(both) or both[0] & both[1]:
                found[job.pk].append(locate)
    return found


def followers(locates: Iterable[Job]) -> dict[int, list[Job]]:
    """Return the open jobs that wait for each of these locates, by its key."""
    rows = [job for job in locates if job.kind == JobKind.LOCATE and job.fault_id]
    found: dict[int, list[Job]] = defaultdict(list)
    if not rows:
        return found
    mine = {job.pk for job in rows}
    others = list(_open(rows).filter(Q(opens_ground=True) | Q(kind__in=REPAIRS)))
    firsts = forerunners(others)
    for job in others:
        for locate in firsts[job.pk]:
            if locate.pk in mine:
                found[locate.pk].append(job)
    return found


def _open(jobs: Collection[Job]) -> QuerySet[Job, Job]:
    faults = {job.fault_id for job in jobs}
    rows = Job.objects.open().filter(fault__in=faults)
    return rows.select_related("property", "fault", "crew").order_by("pk")


def _by_fault(jobs: Iterable[Job]) -> dict[int, list[Job]]:
    found: dict[int, list[Job]] = defaultdict(list)
    for job in jobs:
        found[job.fault_id or 0].append(job)
    return found


def _named(jobs: Iterable[Job]) -> dict[int, set[int]]:
    """Return the stations that each visit names, by its key."""
    found: dict[int, set[int]] = defaultdict(set)
    pairs = Job.stations.through.objects.filter(job__in={job.pk for job in jobs})
    for job, station in pairs.order_by("pk").values_list("job_id", "station_id"):
        found[job].add(station)
    return found


def is_before(first: Job, job: Job) -> bool:
    """Whether a visit is planned to be over before another one begins.

    Two of one crew and day without times are taken to be in their order; with another crew on one
    day only the times can say so. A visit without a day is before none.
    """
    if first.day is None or job.day is None or first.day != job.day:
        return first.day is not None and job.day is not None and first.day < job.day
    if first.crew_id == job.crew_id:
        timed = first.starts_at is not None and job.starts_at is not None
        return not timed or first.starts_at <= job.starts_at  # type: ignore[operator]
    if first.starts_at is None or job.starts_at is None:
        return False
    return minute_of(first.starts_at) + first.expected_minutes <= minute_of(job.starts_at)


def too_soon_words(job: Job, firsts: Iterable[Job]) -> list[str]:
    """Return which locates come before a job, and are planned later or on no day; in words."""
    found = []
    for first in firsts:
        if job.day is None or is_before(first, job):
            continue
        words = {"first": first, "day": first.day.isoformat() if first.day else ""}
        found.append(
            _("Its locate (%(first)s) is on %(day)s: this comes too soon. Move one of the two.")
            % words
            if first.day
            else _("Its locate (%(first)s) has no day yet. Plan that first.") % words
        )
    return found
