"""The facts from which readiness is derived, read in bulk for any number of jobs."""

from collections import Counter
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Exists, Max, OuterRef, prefetch_related_objects

from faults.cases.engines.consent import Limit, covers
from faults.cases.engines.stages import Stage
from faults.models import Asked, Authority, Break, DigOverride, FaultStation, Job
from faults.notices.services.book import NoticeBook
from faults.notices.services.gate import standing_overrides
from sites.models import Property, StandingAuthority
from sites.register.services.access_days import AccessBook

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
    allowed: set[int]

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

    def standing_on(self, job: Job, day: date) -> list[StandingAuthority]:
        """Return what the client allows there on a day without being asked, newest first."""
        rows = self.standing.get(job.property_id, [])
        return [one for one in rows if _holds_on(one, day)]

    def is_covered(self, job: Job, day: date) -> bool:
        """Return whether the newest standing authority of a day covers the job's hours."""
        hours = Decimal(job.expected_minutes) / MINUTES_PER_HOUR
        newest = self.standing_on(job, day)[:1]
        return any(covers(Limit(one.up_to_hours, one.up_to_amount), Limit(hours)) for one in newest)

    def may_search(self, job: Job, day: date) -> bool:
        """Return whether a yes on the fault or a standing authority allows hours of searching."""
        return job.fault_id in self.allowed or bool(self.standing_on(job, day))

    def is_allowed(self, job: Job, day: date) -> bool:
        """Return whether a dig on a day is agreed to, or covered."""
        return self.is_agreed(job) or self.is_covered(job, day)


def _holds_on(one: StandingAuthority, day: date) -> bool:
    return one.from_on <= day and (one.to_on is None or day < one.to_on)


def facts_of(jobs: list[Job]) -> ReadyFacts:
    """Read the facts of these jobs: a fixed number of queries, whatever their number."""
    prefetch_related_objects(jobs, "property", "crew")
    keys = [job.pk for job in jobs]
    digging = [job for job in jobs if job.digs()]
    places = {job.property_id for job in jobs}
    faults = {job.fault_id for job in jobs if job.fault_id}
    stages, allowed = _stages(faults)
    return ReadyFacts(
        places={job.property_id: job.property for job in jobs},
        book=NoticeBook.of({job.property_id for job in digging}),
        access=AccessBook.of(places),
        overrides=standing_overrides([job.pk for job in digging]),
        devices=_devices(keys),
        stages=stages,
        stations=_stations(keys),
        asked=set(
            Asked.objects.filter(fault__in=faults, answer="").values_list("fault", flat=True)
        ),
        depths=_depths(faults),
        standing=_standing(places),
        allowed=allowed,
    )


def _devices(keys: list[int]) -> dict[int, int]:
    links = Job.devices.through.objects.filter(job__in=keys)
    return Counter(links.values_list("job_id", flat=True))


def _stages(faults: set[int]) -> tuple[dict[int, dict[int, str]], set[int]]:
    """Return the stage of each station by fault, and the faults on which a yes was entered."""
    found: dict[int, dict[int, str]] = {}
    allowed = set()
    has_yes = Exists(Authority.objects.filter(fault=OuterRef("fault")))
    rows = FaultStation.objects.filter(fault__in=faults).annotate(has_yes=has_yes).order_by("pk")
    for fault, *row in rows.values_list("fault_id", "station_id", "stage", "has_yes"):
        station, stage, is_allowed = row
        found.setdefault(fault, {})[station] = stage
        if is_allowed:
            allowed.add(fault)
    return found, allowed


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
