"""The facts from which readiness is derived, read in bulk for any number of jobs."""

from collections import Counter
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Max, prefetch_related_objects

from faults.engines.consent import Limit, covers
from faults.engines.stages import Stage
from faults.models import Asked, Break, DigOverride, FaultStation, Job
from faults.services.notices.book import NoticeBook
from faults.services.notices.gate import standing_overrides
from sites.models import Property, StandingAuthority
from sites.services.access_days import AccessBook

# From here on the client has said yes to the dig.
AGREED = {Stage.AGREED.value, Stage.MENDED.value, Stage.PROVEN.value}
NOT_AGREED = {Stage.REPORTED.value, Stage.SCHEDULED.value, Stage.FOUND.value}
MINUTES_PER_HOUR = 60


@dataclass(frozen=True)
class ReadyFacts:
    """Facts by the keys of jobs, faults and properties."""

    places: dict[int, Property]
    book: NoticeBook
    access: AccessBook
    overrides: dict[int, DigOverride]
    devices: dict[int, int]
    stages: dict[int, dict[int, str]]
    stations: dict[int, set[int]]
    asked: set[int]
    depths: dict[int, float]
    standing: dict[int, list[StandingAuthority]]

    def cable_depth_in(self, job: Job) -> float | None:
        """Return how deep the job goes: as planned, else as its fault's breaks lie."""
        found = self.depths.get(job.fault_id) if job.fault_id else None
        return job.planned_depth_in or found

    def is_agreed(self, job: Job) -> bool:
        """Return whether the client said yes for every open station of the job, and for one."""
        stages = self.stages.get(job.fault_id or 0, {})
        named = self.stations.get(job.pk) or set(stages)
        found = {stage for station, stage in stages.items() if station in named}
        return bool(found & AGREED) and not found & NOT_AGREED

    def is_covered(self, job: Job) -> bool:
        """Return whether what the client allows without being asked covers the job's hours."""
        hours = Decimal(job.expected_minutes) / MINUTES_PER_HOUR
        return any(
            covers(Limit(one.up_to_hours, one.up_to_amount), Limit(hours))
            for one in self.standing.get(job.property_id, [])
            if job.day is None or _holds_on(one, job.day)
        )


def _holds_on(one: StandingAuthority, day: date) -> bool:
    return one.from_on <= day and (one.to_on is None or day < one.to_on)


def facts_of(jobs: list[Job]) -> ReadyFacts:
    """Read the facts of these jobs: a fixed number of queries, whatever their number."""
    prefetch_related_objects(jobs, "property", "crew")
    keys = [job.pk for job in jobs]
    digging = [job for job in jobs if job.digs()]
    places = {job.property_id for job in jobs}
    faults = {job.fault_id for job in jobs if job.fault_id}
    return ReadyFacts(
        places={job.property_id: job.property for job in jobs},
        book=NoticeBook.of({job.property_id for job in digging}),
        access=AccessBook.of(places),
        overrides=standing_overrides([job.pk for job in digging]),
        devices=_devices(keys),
        stages=_stages(faults),
        stations=_stations(keys),
        asked=set(
            Asked.objects.filter(fault__in=faults, answer="").values_list("fault", flat=True)
        ),
        depths=_depths(faults),
        standing=_standing({job.property_id for job in digging}),
    )


def _devices(keys: list[int]) -> dict[int, int]:
    links = Job.devices.through.objects.filter(job__in=keys)
    return Counter(links.values_list("job_id", flat=True))


def _stages(faults: set[int]) -> dict[int, dict[int, str]]:
    found: dict[int, dict[int, str]] = {}
    rows = FaultStation.objects.filter(fault__in=faults).order_by("pk")
    for fault, station, stage in rows.values_list("fault_id", "station_id", "stage"):
        found.setdefault(fault, {})[station] = stage
    return found


def _stations(keys: list[int]) -> dict[int, set[int]]:
    found: dict[int, set[int]] = {}
    links = Job.stations.through.objects.filter(job__in=keys)
    for job, station in links.values_list("job_id", "station_id"):
        found.setdefault(job, set()).add(station)
    return found


def _depths(faults: set[int]) -> dict[int, float]:
    rows = Break.objects.filter(fault__in=faults, mended_on__isnull=True, depth_in__gt=0)
    return dict(rows.order_by("fault").values_list("fault").annotate(Max("depth_in")))


def _standing(places: set[int]) -> dict[int, list[StandingAuthority]]:
    rows = StandingAuthority.objects.filter(property__in=places)
    found: dict[int, list[StandingAuthority]] = {}
    for one in rows.order_by("-from_on", "-pk"):
        found.setdefault(one.property_id, []).append(one)
    return found
