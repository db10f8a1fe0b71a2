"""What was promised of the jobs of a rota, and what their waiting costs."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time

from django.db.models import prefetch_related_objects
from django.utils.translation import gettext as _

from faults.cases.engines.working import WorkingDay
from faults.models import FaultStation, Job
from faults.promises.services.parts import is_for
from faults.promises.services.standing import standing_promises
from faults.rota.engines.weighing import Waiting
from faults.work.engines.arriving import Arrival
from faults.work.services.arriving import arrival_at, arrival_words, awaited, is_kept
from sites.models import Meter


@dataclass(frozen=True)
class Promised:
    """By which day a visit was promised, or what it is for.

    Args:
        arrival: the times at which somebody was promised to begin; None = none were.
        words: what was promised.
    """

    by_on: date
    arrival: Arrival | None
    words: str

    def is_kept(
        self, job: Job, day: date | None, starts_at: time | None, on: WorkingDay | None
    ) -> bool:
        """Return whether a visit on this day, from this time on, keeps it; None = it has no day."""
        if day is None:
            return False
        if self.arrival is None:
            return day <= self.by_on
        return is_kept(self.arrival, job, day, starts_at, on)


def promised_of(jobs: Sequence[Job], *, today: date) -> dict[int, Promised]:
    """Return what was promised of each job, by its key: the earliest of all that still binds.

    A day by which a fault, or a station of it, is to be over binds each of its visits: none of
    them may come later.
    """
    found: dict[int, Promised] = {}
    for key, fault in awaited(jobs, today=today).items():
        assert fault.promised_on is not None  # awaited by it
        words = arrival_words(fault)
        if not words:
            words = _("visit promised by %s") % fault.promised_on.isoformat()
        found[key] = Promised(fault.promised_on, arrival_at(fault), words)
    of_fault = defaultdict(list)
    faults = {job.fault_id for job in jobs if job.fault_id is not None}
    for one in standing_promises().filter(fault__in=faults, by_on__gte=today):
        of_fault[one.fault_id].append(one)
    prefetch_related_objects(jobs, "stations")
    for job in jobs:
        for one in of_fault.get(job.fault_id or 0, ()):
            known = found.get(job.pk)
            if not is_for(job, one.station):
                continue
            if known is None or (known.arrival is None and one.by_on < known.by_on):
                words = _("promised to be over by %s") % one.by_on.isoformat()
                found[job.pk] = Promised(one.by_on, None, words)
    return found


def last_days(promised: Mapping[int, Promised], days: Sequence[date]) -> dict[int, int]:
    """Return the number of the last day that keeps each promise which binds in these days.

    Below 0 = it was promised before the first of them.
    """
    return {
        key: bisect_right(days, one.by_on) - 1
        for key, one in promised.items()
        if one.by_on <= days[-1]
    }


def waiting_of(jobs: Collection[Job], *, today: date) -> dict[int, Waiting]:
    """Return how long each job waits since its fault was reported, and what its stations water
    beyond their need in a day, by the meters that run."""
    stations = _stations_of(jobs)
    gallons = _gallons_a_day({key for some in stations.values() for key in some})
    found = {}
    for job in jobs:
        known = [gallons[key] for key in stations[job.pk] if key in gallons]
        days = max(0, (today - job.fault.reported_on).days) if job.fault else 0
        found[job.pk] = Waiting(days, sum(known) if known else None)
    return found


def _stations_of(jobs: Iterable[Job]) -> dict[int, set[int]]:
    """Return the stations of each job: its own, else all of its fault."""
    rows = list(jobs)
    found: dict[int, set[int]] = {job.pk: set() for job in rows}
    own = Job.stations.through.objects.filter(job__in=rows)
    for job, station in own.order_by("pk").values_list("job_id", "station_id"):
        found[job].add(station)
    of_fault = defaultdict(set)
    every = FaultStation.objects.filter(fault__in={job.fault_id for job in rows if job.fault_id})
    for fault, station in every.order_by("pk").values_list("fault_id", "station_id"):
        of_fault[fault].add(station)
    return {job.pk: found[job.pk] or of_fault.get(job.fault_id or 0, set()) for job in rows}


def _gallons_a_day(stations: Collection[int]) -> dict[int, float]:
    """Return what stations water beyond their need in a day, of those of which it is known."""
    rows = Meter.objects.filter(
        spell__station__in=stations, spell__to_on=None, excess_gal__isnull=False
    ).select_related("spell")
    found = {}
    for row in rows:
        if row.counted_until is not None and row.excess_gal is not None:
            days = (row.counted_until - row.spell.from_on).days
            if days > 0:
                found[row.spell.station_id] = max(0.0, row.excess_gal) / days
    return found
