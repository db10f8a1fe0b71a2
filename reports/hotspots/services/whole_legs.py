"""Legs as they were before any was split: how long each was observed, and what broke in it."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise
from typing import NamedTuple

from faults.models import Cause
from reports.hotspots.engines.evidence import DAYS_A_YEAR, SHORTEST_FT
from reports.hotspots.engines.trend import History
from reports.hotspots.queries import BreakRow, LegRow
from reports.hotspots.services.scope import Scope
from sites.models import Property


class Event(NamedTuple):
    """One fault located on a stretch; `along_ft` from its first end, where that is known."""

    on: date
    cause: str
    along_ft: float | None
    depth_in: float | None
    fault_ref: str
    mended_on: date | None
    how_mended: str

    @property
    def cause_word(self) -> str:
        """The cause, translated."""
        return str(Cause(self.cause).label)


def event_of(found: BreakRow, along_ft: float | None) -> Event:
    """Return a break as an event."""
    return Event(
        found.reported_on,
        found.cause,
        along_ft,
        found.depth_in,
        found.fault_ref,
        found.mended_on,
        found.how_mended,
    )


class Part(NamedTuple):
    """A leg that is in the ground, as observed over [since, until)."""

    row: LegRow
    wires: int
    since: date
    until: date

    @property
    def years(self) -> float:
        """How long it was observed."""
        return max((self.until - self.since).days, 0) / DAYS_A_YEAR

    @property
    def ground(self) -> float:
        """Thousands of feet of ground, times years."""
        return max(self.row.length_ft, SHORTEST_FT) / 1000 * self.years

    def years_between(self, start: date, end: date) -> float:
        """Return how long of some days it was observed."""
        return max((min(self.until, end) - max(self.since, start)).days, 0) / DAYS_A_YEAR


@dataclass(slots=True)
class Ended:
    """A life of a stretch that ended with a renewal: exposures, as of a stretch, and causes."""

    ground: float = 0.0
    wire: float = 0.0
    causes: list[str] = field(default_factory=list)

    def add(self, feet: float, wires: int, lived: "Lived") -> None:
        """Add a part of the stretch that was renewed on this day."""
        ground = max(feet, SHORTEST_FT) / 1000 * lived.years
        self.ground += ground
        self.wire += ground * max(wires, 1)


class Lived(NamedTuple):
    """The days [since, until) of a life."""

    since: date
    until: date

    @property
    def years(self) -> float:
        """How long it was observed."""
        return (self.until - self.since).days / DAYS_A_YEAR


@dataclass(slots=True)
class Stretch:
    """A leg as it was before any split, with the parts that are there now: one at least.

    Observed over [since, until). `ground` is thousands of feet of ground, times years; `wire` the
    same of wire, where ground without a known wire holds one. `ended` are its lives before
    renewals, each by the day of the renewal: they are no part of all the rest.
    """

    row: LegRow
    place: Property
    parts: list[Part]
    events: list[Event] = field(default_factory=list)
    ended: dict[date, Ended] = field(default_factory=dict)
    spread: float = 0.0
    # What follows from the parts, which do not change: a page asks for it again and again.
    since: date = field(init=False)
    until: date = field(init=False)
    length_ft: float = field(init=False)
    ground: float = field(init=False)
    wire: float = field(init=False)

    def __post_init__(self) -> None:
        self.since = min(part.since for part in self.parts)
        self.until = max(part.until for part in self.parts)
        self.length_ft = sum(part.row.length_ft for part in self.parts)
        grounds = [part.ground for part in self.parts]
        self.ground = sum(grounds)
        wires = (max(part.wires, 1) for part in self.parts)
        self.wire = sum(ground * each for ground, each in zip(grounds, wires, strict=True))

    @property
    def name(self) -> str:
        """What people call it."""
        return self.row.label or f"{self.row.from_name} – {self.row.to_name}"

    @property
    def is_surveyed(self) -> bool:
        """Whether all of it is ground that somebody has seen, not a run that a list implies."""
        return all(part.row.is_surveyed for part in self.parts)

    @property
    def wires(self) -> int:
        """The most wires that lie in any part."""
        return max((part.wires for part in self.parts), default=0)

    @property
    def last_day(self) -> date:
        """The last day observed."""
        return self.until - timedelta(days=1)

    @property
    def years(self) -> float:
        """How long it was observed."""
        return max((self.until - self.since).days, 0) / DAYS_A_YEAR

    @property
    def last(self) -> date | None:
        """The day of the newest fault."""
        return max((event.on for event in self.events), default=None)

    @property
    def history(self) -> History:
        """Its faults as times since observation began; a day counts from its middle."""
        days = max((self.until - self.since).days, 1)
        times = ((event.on - self.since).days + 0.5 for event in self.events)
        return History(tuple(min(max(time, 0.5), days) for time in times), float(days))


@dataclass(frozen=True)
class Family:
    """The legs of a property as a forest: which was split into which."""

    by_pk: Mapping[int, LegRow]
    root_of: Mapping[int, int]
    children: Mapping[int, Sequence[LegRow]]

    def now(self, row: LegRow) -> Iterator[LegRow]:
        """Yield what is there now of a leg: itself, or its newest two parts and theirs."""
        parts = () if row.retired_on is None else self.children.get(row.pk, ())
        if len(parts) < 2:
            yield row
            return
        for part in sorted(parts, key=lambda each: -each.pk)[:2]:
            yield from self.now(part)

    def starts_at(self, row: LegRow) -> float:
        """Return where a part begins, in feet from the first end of the leg before any split."""
        start = 0.0
        while row.split_from_id is not None and row.split_from_id in self.by_pk:
            start += row.starts_at_ft or 0.0
            row = self.by_pk[row.split_from_id]
        return start


def family_of(rows: Sequence[LegRow]) -> Family:
    """Put legs and the parts into which they were split together."""
    by_pk = {row.pk: row for row in rows}
    children: dict[int, list[LegRow]] = defaultdict(list)
    root_of: dict[int, int] = {}
    for row in rows:  # by key, so that a leg comes before its parts
        if row.split_from_id in by_pk:
            children[row.split_from_id].append(row)
        root_of[row.pk] = root_of.get(row.split_from_id or 0, row.pk)
    return Family(by_pk, root_of, children)


def observed_since(
    row: LegRow, known: date | None, renewed: Sequence[date], scope: Scope
) -> date | None:
    """Return the first day on which a fault would have counted; None where nobody would know."""
    # Without a list where it was never renewed: this is asked for each leg in view.
    since = _first_known(row, known, scope)
    return _begins(since, renewed, scope)[-1] if since and renewed else since


def ended_lives(
    row: LegRow, known: date | None, renewed: Sequence[date], scope: Scope
) -> list[Lived]:
    """Return the lives of a leg that ended with a renewal, in order."""
    since = _first_known(row, known, scope)
    if since is None or not renewed:
        return []
    return [Lived(*days) for days in pairwise(_begins(since, renewed, scope))]


def _first_known(row: LegRow, known: date | None, scope: Scope) -> date | None:
    since = known
    if since is None:
        return None
    if row.observed_from is not None and row.observed_from > since:
        since = row.observed_from
    if scope.from_on is not None and scope.from_on > since:
        since = scope.from_on
    return since


def _begins(since: date, renewed: Sequence[date], scope: Scope) -> list[date]:
    """Return the first day of each life of a leg, in order."""
    found = [since]
    for on in renewed:
        if found[-1] < on < scope.to_on:
            found.append(on)
    return found


def along_root(found: BreakRow, family: Family) -> float | None:
    """Return where a break lies, in feet from the first end of the leg before any split."""
    if found.feet_along is None or found.leg_id is None:
        return None
    row = family.by_pk[found.leg_id]
    from_far_end = found.from_point_id == row.to_point_id
    feet = row.length_ft - found.feet_along if from_far_end else found.feet_along
    return family.starts_at(row) + min(max(feet, 0.0), row.length_ft)
