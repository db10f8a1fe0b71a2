"""How far visits have come: by what was recorded at their stations and timers, and nothing else.

What counts was recorded from the day on which the turn began until the visit ended. A start-up or
shut-down counts from the day on which its own visit was begun: that a station ran for another
crew the week before says nothing of it.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from faults.models import CLOSED_STAGES, Fault, Job, JobKind, JobState, LeftOut, WalkResult
from faults.rounds.services.recorded import Recorded, Span, Thing, recorded_of
from sites.models import Device, Station, today_at

SEASONAL = frozenset({JobKind.START_UP.value, JobKind.SHUT_DOWN.value})
STATION, DEVICE = "station", "device"
Named = tuple[str, int]


@dataclass(frozen=True)
class Target:
    """One station or timer of a visit: when it was done, or why it was left."""

    thing: Thing
    done_on: date | None
    left: LeftOut | None = None

    @property
    def is_done(self) -> bool:
        """Whether something was recorded of it."""
        return self.done_on is not None


@dataclass(frozen=True)
class Progress:
    """How far one visit has come, with the visits to what it left.

    Args:
        faults: those that were reported on its days at its stations.
        dead: seen not to work, and no fault of it is open.
    """

    job: Job
    targets: Sequence[Target]
    faults: Sequence[Fault] = ()
    dead: Sequence[Station] = ()
    # The days on which a record counts; None = none does yet.
    span: Span | None = None

    @property
    def total(self) -> int:
        """How many stations or timers it goes to."""
        return len(self.targets)

    @property
    def done(self) -> int:
        """How many are done."""
        return sum(each.is_done for each in self.targets)

    @property
    def left(self) -> list[Target]:
        """What is not done, in order."""
        return [each for each in self.targets if not each.is_done]

    @property
    def percent(self) -> int | None:
        """The share that is done."""
        return percent_of(self.done, self.total)

    @property
    def is_over(self) -> bool:
        """Whether the visit is done or withdrawn."""
        return self.job.state in (JobState.DONE, JobState.WITHDRAWN)

    @property
    def done_on(self) -> date | None:
        """The day on which the last of it was done; None while something is left."""
        days = [each.done_on for each in self.targets if each.done_on]
        return max(days) if days and len(days) == self.total else None


def percent_of(done: int, total: int) -> int | None:
    """Return a share in per cent, rounded down: 100 only where all is done; None of nothing."""
    return done * 100 // total if total else None


def named(thing: Thing) -> Named:
    """Return which kind of thing it is, and its key."""
    return (STATION if isinstance(thing, Station) else DEVICE, thing.pk)


def progress_of(
    jobs: Sequence[Job],
    begins: Mapping[int, date],
    things: Mapping[int, Sequence[Thing]] | None = None,
) -> dict[int, Progress]:
    """Return how far each of these visits has come, by its key.

    Args:
        jobs: with their property; visits to what another left count for that one.
        begins: on which day the turn of a visit begins, where a round has it.
        things: by job what it goes to, in order; else what it names.
    """
    families = _families(jobs)
    every = [one for several in families.values() for one in several]
    targets_of = things if things is not None else _named_by(jobs)
    recorded = recorded_of(
        _keys(targets_of, Station), _keys(targets_of, Device), since=_earliest(every, begins)
    )
    left = _left_out(every)
    found = {}
    for job in jobs:
        family = families[job.pk]
        span = _span(job, family, begins.get(job.pk))
        targets = [
            Target(
                thing,
                recorded.first_day(job.kind, thing, span),
                next((left[each.pk, named(thing)] for each in family[::-1]
                      if (each.pk, named(thing)) in left), None),
            )
            for thing in targets_of.get(job.pk, ())
        ]  # fmt: skip
        found[job.pk] = Progress(job, targets, *_trouble(targets, recorded, _visited(family)), span)
    return found


def _span(job: Job, family: Sequence[Job], begins: date | None) -> Span | None:
    """Return the days on which records count; None while nothing can."""
    visited = _visited(family)
    since = visited.since if visited else None
    if job.kind not in SEASONAL:
        since = min((day for day in (begins, since or job.day) if day), default=None)
    if since is None:
        return None
    return Span(since, visited.until if visited else None)


def _visited(family: Sequence[Job]) -> Span | None:
    """Return the days from the first start to the last end; None before anybody started."""
    started = [today_at(one.property, one.started_at) for one in family if one.started_at]
    if not started:
        return None
    going = [one for one in family if one.state != JobState.WITHDRAWN]
    ended = [today_at(one.property, one.ended_at) for one in going if one.ended_at]
    is_over = len(ended) == len(going) and bool(ended)
    return Span(min(started), max(ended) if is_over else None)


def _earliest(jobs: Iterable[Job], begins: Mapping[int, date]) -> date:
    days = [begins[job.pk] for job in jobs if job.pk in begins]
    days += [job.day for job in jobs if job.day]
    days += [today_at(job.property, job.started_at) for job in jobs if job.started_at]
    return min(days, default=date.max)


def _families(jobs: Sequence[Job]) -> dict[int, list[Job]]:
    """Return each job with the parts that were split from it, and theirs, a query a layer."""
    found = {job.pk: [job] for job in jobs}
    whole_of = {job.pk: job.pk for job in jobs}
    layer = set(whole_of)
    while layer:
        parts = Job.objects.filter(split_from__in=layer).exclude(pk__in=whole_of)
        layer = set()
        for part in parts.select_related("property").order_by("pk"):
            whole = whole_of[part.split_from_id or 0]
            whole_of[part.pk] = whole
            found[whole].append(part)
            layer.add(part.pk)
    return found


def _stations_of(jobs: Sequence[Job]) -> dict[int, list[Station]]:
    rows = Job.stations.through._default_manager.filter(job__in=[job.pk for job in jobs])
    pairs = list(rows.values_list("job_id", "station_id"))
    found = Station.objects.filter(pk__in={key for _job, key in pairs})
    found = found.select_related("controller__property", "valve_point")
    by_key = {row.pk: row for row in found.order_by("controller__name", "number", "pk")}
    wanted = _by_job(pairs)
    return {job: [row for key, row in by_key.items() if key in wanted[job]] for job in wanted}


def _devices_of(jobs: Sequence[Job]) -> dict[int, list[Device]]:
    rows = Job.devices.through._default_manager.filter(job__in=[job.pk for job in jobs])
    pairs = list(rows.values_list("job_id", "device_id"))
    found = Device.objects.filter(pk__in={key for _job, key in pairs})
    by_key = {row.pk: row for row in found.order_by("name", "pk")}
    wanted = _by_job(pairs)
    return {job: [row for key, row in by_key.items() if key in wanted[job]] for job in wanted}


def _by_job(pairs: Iterable[tuple[int, int]]) -> dict[int, set[int]]:
    wanted: dict[int, set[int]] = defaultdict(set)
    for job, key in pairs:
        wanted[job].add(key)
    return wanted


def _named_by(jobs: Sequence[Job]) -> dict[int, list[Thing]]:
    stations, devices = _stations_of(jobs), _devices_of(jobs)
    return {job.pk: [*stations.get(job.pk, ()), *devices.get(job.pk, ())] for job in jobs}


def _keys(things: Mapping[int, Sequence[Thing]], of: type[Thing]) -> Collection[int]:
    return {row.pk for rows in things.values() for row in rows if isinstance(row, of)}


def _left_out(jobs: Sequence[Job]) -> dict[tuple[int, Named], LeftOut]:
    rows = LeftOut.objects.filter(job__in=[job.pk for job in jobs], taken_back_on=None)
    return {
        (row.job_id, (STATION, row.station_id) if row.station_id else (DEVICE, row.device_id or 0)):
        row
        for row in rows.order_by("pk")
    }  # fmt: skip


def _trouble(
    targets: Sequence[Target], recorded: Recorded, visited: Span | None
) -> tuple[list[Fault], list[Station]]:
    """Return the faults reported on the days of the visit, and what is dead without one."""
    reported: dict[int, Fault] = {}
    dead: list[Station] = []
    for target in targets:
        station = target.thing
        if visited is None or isinstance(station, Device):
            continue
        known = recorded.faults.get(station.pk, [])
        reported |= {one.pk: one for one in known if visited.holds(one.reported_on)}
        is_dead = recorded.last_seen(station, visited) == WalkResult.DEAD
        if is_dead and all(fault.stage in CLOSED_STAGES for fault in known):
            dead.append(station)
    return list(reported.values()), dead
