"""The facts from which readiness is derived, read in bulk for any number of jobs."""

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, Max, OuterRef, prefetch_related_objects

from faults.cases.engines.consent import Limit, covers
from faults.cases.engines.stages import Stage
from faults.cases.services.man_hours import (
    Members,
    expected_man_min,
    in_hours,
    spent_man_min,
    visits_made,
)
from faults.cases.services.spending import Money, booked_lines, fullest, limit_of, money_of
from faults.models import (
    Asked,
    Authority,
    Break,
    DigOverride,
    FaultStation,
    Job,
    JobLine,
    LimitOverride,
    SafetyAnswer,
)
from faults.notices.services.book import NoticeBook
from faults.notices.services.gate import standing_overrides
from faults.prices.services.holding import PriceBook
from faults.work.engines.safety import Prompt
from sites.models import Property, StandingAuthority
from sites.register.services.access_days import AccessBook

# From here on the client has said yes to the dig.
AGREED = {Stage.AGREED.value, Stage.MENDED.value, Stage.PROVEN.value}
NOT_AGREED = {Stage.REPORTED.value, Stage.SCHEDULED.value, Stage.FOUND.value}


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
    yeses: dict[int, list[Authority]]
    visits: dict[int, list[Job]]
    members: Members
    lines: dict[int, list[JobLine]]
    prices: PriceBook
    beyond: dict[int, LimitOverride]
    safety: dict[int, dict[Prompt, str]]

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
        """Return whether the newest standing authority covers the job and what was spent before.

        In man-hours: a visit of two people takes two.
        """
        all_of_it = self.spent_before(job) + expected_man_min(job, day, self.members)
        hours = in_hours(all_of_it)
        newest = self.standing_on(job, day)[:1]
        return any(covers(Limit(one.up_to_hours, one.up_to_amount), Limit(hours)) for one in newest)

    def spent_before(self, job: Job) -> float:
        """Return the man-minutes of all other visits of the job's fault."""
        others = [each for each in self.visits.get(job.fault_id or 0, []) if each.pk != job.pk]
        return sum(spent_man_min(each, self.members) for each in others)

    def money_before(self, job: Job) -> Money:
        """Return the money of all lines of the job's fault, and of its other visits."""
        fault, place = job.fault_id or 0, self.places[job.property_id]
        others = [each for each in self.visits.get(fault, []) if each.pk != job.pk]
        lines = self.lines.get(fault, [])
        return money_of(others, lines, self.members, lambda day: self.prices.at(place, day))

    def limit_on(self, job: Job, day: date) -> Authority | StandingAuthority | None:
        """Return the limit that holds for the job's fault on a day."""
        return limit_of(day, self.yeses.get(job.fault_id or 0, []), self.standing_on(job, day))

    def is_used_up(self, job: Job, day: date) -> bool:
        """Return whether what was spent has left nothing of the limit that holds on a day.

        Nobody's word that the job may go on all the same is counted here: `beyond` has it.
        """
        share = self.share_before(job, day)
        return share is not None and share >= 1

    def share_before(self, job: Job, day: date) -> float | None:
        """Return how full the limit is of what was spent besides the job; None without one.

        Where the client said yes to the dig itself, a standing authority limits it no more.
        """
        limit = self.limit_on(job, day)
        if limit is None:
            return None
        if isinstance(limit, StandingAuthority) and self.is_agreed(job) and self._was_asked(job):
            return None
        return fullest(limit, self.spent_before(job), self.money_before(job))

    def _was_asked(self, job: Job) -> bool:
        return any(one.standing_id is None for one in self.yeses.get(job.fault_id or 0, []))

    def may_search(self, job: Job, day: date) -> bool:
        """Return whether a yes on the fault or a standing authority allows hours of searching."""
        return job.fault_id in self.allowed or bool(self.standing_on(job, day))


def _holds_on(one: StandingAuthority, day: date) -> bool:
    return one.from_on <= day and (one.to_on is None or day < one.to_on)


def facts_of(jobs: list[Job]) -> ReadyFacts:
    """Read the facts of these jobs: a fixed number of queries, whatever their number."""
    prefetch_related_objects(jobs, "property", "crew", "fault")
    keys = [job.pk for job in jobs]
    digging = [job for job in jobs if job.digs()]
    places = {job.property_id for job in jobs}
    faults = {job.fault_id for job in jobs if job.fault_id}
    stages, allowed, asked = _stages(faults)
    yeses, standing = _yeses(allowed), _standing(places)
    limits: list[Authority | StandingAuthority] = []
    for each in (yeses, standing):
        limits += [one for some in each.values() for one in some]
    # Lines and prices are read where somebody limited money, so that others do not pay for it.
    in_money = any(one.up_to_amount is not None for one in limits)
    visits, members = visits_made(faults, jobs=jobs)
    return ReadyFacts(
        places={job.property_id: job.property for job in jobs},
        book=NoticeBook.of({job.property_id for job in digging}),
        access=AccessBook.of(places),
        overrides=standing_overrides([job.pk for job in digging]),
        devices=_devices(keys),
        stages=stages,
        stations=_stations(keys),
        asked=asked,
        depths=_depths(faults),
        standing=standing,
        allowed=allowed,
        yeses=yeses,
        visits=_by_fault(visits),
        members=members,
        lines=_lines(faults) if in_money else {},
        prices=PriceBook.of([job.property for job in jobs] if in_money else []),
        beyond=let_beyond(keys) if limits else {},
        safety=_safety([job.pk for job in digging]),
    )


def _safety(keys: list[int]) -> dict[int, dict[Prompt, str]]:
    """Return the words that were given to each prompt of each dig."""
    found: dict[int, dict[Prompt, str]] = {}
    known = {prompt.value for prompt in Prompt}
    for row in SafetyAnswer.objects.filter(job__in=keys).order_by("pk") if keys else ():
        if row.prompt in known:
            found.setdefault(row.job_id, {})[Prompt(row.prompt)] = row.answer
    return found


def _devices(keys: list[int]) -> dict[int, int]:
    links = Job.devices.through.objects.filter(job__in=keys)
    return Counter(links.values_list("job_id", flat=True))


def _stages(faults: set[int]) -> tuple[dict[int, dict[int, str]], set[int], set[int]]:
    """Return the stage of each station by fault, and the faults with a yes or an open question."""
    found: dict[int, dict[int, str]] = {}
    allowed, asked = set(), set()
    has_yes = Exists(Authority.objects.filter(fault=OuterRef("fault")))
    is_asked = Exists(Asked.objects.filter(fault=OuterRef("fault"), answer=""))
    rows = FaultStation.objects.filter(fault__in=faults).order_by("pk")
    rows = rows.annotate(has_yes=has_yes, is_asked=is_asked)
    for row in rows:
        found.setdefault(row.fault_id, {})[row.station_id] = row.stage
        if row.has_yes:
            allowed.add(row.fault_id)
        if row.is_asked:
            asked.add(row.fault_id)
    return found, allowed, asked


def _yeses(faults: set[int]) -> dict[int, list[Authority]]:
    found: dict[int, list[Authority]] = {}
    for one in Authority.objects.filter(fault__in=faults).order_by("pk"):
        found.setdefault(one.fault_id, []).append(one)
    return found


def _by_fault(visits: list[Job]) -> dict[int, list[Job]]:
    found: dict[int, list[Job]] = {}
    for job in visits:
        if job.fault_id is not None:
            found.setdefault(job.fault_id, []).append(job)
    return found


def _lines(faults: set[int]) -> dict[int, list[JobLine]]:
    found: dict[int, list[JobLine]] = {}
    for line in booked_lines(faults):
        found.setdefault(line.job.fault_id or 0, []).append(line)
    return found


def let_beyond(keys: Collection[int]) -> dict[int, LimitOverride]:
    """Return the word that lets each of these jobs go on beyond its limit."""
    rows = LimitOverride.objects.filter(job__in=keys, taken_back_on__isnull=True)
    return {row.job_id: row for row in rows.select_related("by").order_by("at", "pk")}


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
