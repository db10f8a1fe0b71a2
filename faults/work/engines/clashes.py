"""What speaks against jobs as they lie on crews and days: each clash with what it is about.

Every clash looks at one job, or at a pair, or at the sum of one crew's day. So a job that is
added can bring clashes and never takes one away, and the order of the jobs does not matter.
Minutes count from midnight. What is not known clashes with nothing.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from itertools import permutations

from faults.cases.engines.working import Rests, end_of, is_in
from faults.work.engines.arriving import Arrival, holds, let_in
from faults.work.engines.travel import Driving, Place, travel_minutes

Slot = tuple[int, date]


class ClashKind(StrEnum):
    """What can speak against a job where it lies, the gravest first."""

    AWAY = "away"
    OFF = "off"
    NOBODY = "nobody"
    SKILL = "skill"
    PEOPLE = "people"
    BLACKOUT = "blackout"
    CLOSED = "closed"
    PROMISED = "promised"
    OVERLAP = "overlap"
    DRIVE = "drive"
    FROM_YARD = "from yard"
    TO_YARD = "to yard"
    HOURS = "hours"
    TOO_MUCH = "too much"
    EARLY = "early"
    LATE = "late"
    PAST = "past"
    NOT_READY = "not ready"


@dataclass(frozen=True, slots=True)
class JobAt:
    """One job where it lies, and what holds at its property on that day.

    Args:
        start: minute of the day, or None where only the day is set.
        access: when the property may be entered that day; None = at any hour, () = not at all.
        blackout: why nobody may work there that day; empty = one may.
        lacking: what it is not ready for, in words.
        pause: the break of the crew that has it, during which nobody works on it.
        people: how many it takes.
        arrival: when somebody was promised to begin, if anybody was.
    """

    key: int
    minutes: int
    crew: int | None = None
    day: date | None = None
    start: int | None = None
    skill: int = 1
    earliest: date | None = None
    due: date | None = None
    place: Place | None = None
    access: tuple[tuple[int, int], ...] | None = None
    blackout: str = ""
    lacking: tuple[str, ...] = field(default_factory=tuple)
    is_started: bool = False
    rests: Rests = ()
    people: int = 1
    arrival: Arrival | None = None

    @property
    def end(self) -> int | None:
        """The minute at which it ends, where its start is set."""
        return None if self.start is None else end_of(self.start, self.minutes, self.rests)


@dataclass(frozen=True, slots=True)
class CrewOn:
    """One crew on one day: its hours, the best skill in it (0 = nobody), and why it is away.

    Args:
        off: why it does not work that day, in words; None = it does.
        rests: its breaks.
        absent: who of it is not there, in words; empty = all are.
        people: how many are there; None = not known.
        overtime: minutes after its end that it may still work or be on the road.
    """

    crew: int
    day: date
    start: int
    end: int
    skill: int
    yard: Place | None = None
    away: str | None = None
    off: str | None = None
    rests: Rests = ()
    absent: str = ""
    people: int | None = None
    overtime: int = 0

    @property
    def latest(self) -> int:
        """When it is back at the latest."""
        return self.end + self.overtime

    @property
    def minutes(self) -> int:
        """The minutes that it can work that day, overtime included."""
        return self.latest - self.start - sum(b - a for a, b in self.rests)


@dataclass(frozen=True, slots=True)
class Clash:
    """One thing that speaks against a job; `other` is the second job, `needed` and `there` count.

    `words` are those of the facts: why a crew is away, why a property is closed, what is lacking.
    """

    key: int
    kind: ClashKind
    other: int | None = None
    needed: int = 0
    there: int = 0
    words: str = ""


def clashes(
    jobs: Iterable[JobAt],
    crews: Iterable[CrewOn],
    *,
    today: date,
    driving: Driving | None = None,
) -> list[Clash]:
    """Return all clashes, by job and then the gravest first."""
    known = {(crew.crew, crew.day): crew for crew in crews}
    by_slot: dict[Slot, list[JobAt]] = defaultdict(list)
    found: set[Clash] = set()
    for job in jobs:
        found.update(_alone(job, today))
        if job.crew is not None and job.day is not None:
            by_slot[job.crew, job.day].append(job)
    for slot, there in by_slot.items():
        if crew := known.get(slot):
            found.update(_of_crew(there, crew, driving))
        found.update(_pairs(there, driving))
    order = {kind: rank for rank, kind in enumerate(ClashKind)}
    return sorted(found, key=lambda one: (one.key, order[one.kind], one.other or 0, one.words))


def _alone(job: JobAt, today: date) -> Iterable[Clash]:
    """What speaks against a job wherever it lies, or against its day."""
    if job.day is None:
        if job.due is not None and job.due < today:
            yield Clash(job.key, ClashKind.LATE)
        return
    if job.day < today and not job.is_started:
        yield Clash(job.key, ClashKind.PAST)
    if job.due is not None and job.day > job.due:
        yield Clash(job.key, ClashKind.LATE)
    if job.earliest is not None and job.day < job.earliest:
        yield Clash(job.key, ClashKind.EARLY)
    if job.blackout:
        yield Clash(job.key, ClashKind.BLACKOUT, words=job.blackout)
    elif not _is_let_in(job, job.day, None):
        yield Clash(job.key, ClashKind.CLOSED)
    elif not _is_let_in(job, job.day, job.arrival):
        yield Clash(job.key, ClashKind.PROMISED)
    for words in job.lacking:
        yield Clash(job.key, ClashKind.NOT_READY, words=words)


def _is_let_in(job: JobAt, day: date, arrival: Arrival | None) -> bool:
    windows = let_in(job.access, arrival, day, job.minutes, job.rests)
    return holds(windows, job.start, job.end, job.minutes)


def _of_crew(jobs: Sequence[JobAt], crew: CrewOn, driving: Driving | None) -> Iterable[Clash]:
    hours = crew.minutes
    total = sum(job.minutes for job in jobs)
    for job in jobs:
        if crew.away is not None:
            yield Clash(job.key, ClashKind.AWAY, words=crew.away)
        if crew.off is not None:
            yield Clash(job.key, ClashKind.OFF, words=crew.off)
        if crew.skill == 0:
            yield Clash(job.key, ClashKind.NOBODY, words=crew.absent)
        elif crew.skill < job.skill:
            yield Clash(
                job.key, ClashKind.SKILL, needed=job.skill, there=crew.skill, words=crew.absent
            )
        if crew.people and crew.people < job.people:
            yield Clash(
                job.key, ClashKind.PEOPLE, needed=job.people, there=crew.people, words=crew.absent
            )
        if crew.off is not None:
            continue
        if total > hours:
            yield Clash(job.key, ClashKind.TOO_MUCH, there=hours)
        yield from _in_hours(job, crew, driving)


def _in_hours(job: JobAt, crew: CrewOn, driving: Driving | None) -> Iterable[Clash]:
    if job.start is None or job.end is None:
        return
    if job.start < crew.start or job.end > crew.latest or is_in(job.start, crew.rests):
        yield Clash(job.key, ClashKind.HOURS, needed=crew.start, there=crew.latest)
        return
    drive = _drive(crew.yard, job.place, driving)
    if drive > job.start - crew.start:
        yield Clash(job.key, ClashKind.FROM_YARD, needed=drive, there=job.start - crew.start)
    if drive > crew.latest - job.end:
        yield Clash(job.key, ClashKind.TO_YARD, needed=drive, there=crew.latest - job.end)


def _pairs(jobs: Sequence[JobAt], driving: Driving | None) -> Iterable[Clash]:
    """Both jobs of an overlap, and the later of two between which the drive is too long.

    Not only neighbours: whatever lies between, the way is no shorter.
    """
    for one, other in permutations(jobs, 2):
        if one.start is None or one.end is None or other.start is None or other.end is None:
            continue
        if other.start < one.end and one.start < other.end:
            yield Clash(one.key, ClashKind.OVERLAP, other.key)
        elif one.end <= other.start:
            drive, gap = _drive(one.place, other.place, driving), other.start - one.end
            if drive > gap:
                yield Clash(other.key, ClashKind.DRIVE, one.key, needed=drive, there=gap)


def _drive(start: Place | None, end: Place | None, driving: Driving | None) -> int:
    """Minutes by road; 0 where a place is not known."""
    return 0 if start is None or end is None else travel_minutes(start, end, driving)
