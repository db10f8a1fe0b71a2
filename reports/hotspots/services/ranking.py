"""The ranked rows of the page: legs, or whole properties."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, overload

import numpy as np

from faults.models import Cause
from reports.hotspots.engines.causes import leader
from reports.hotspots.engines.hotspots import Ranked, power, rank, whole_legs
from reports.hotspots.engines.prior import NothingToFit
from reports.hotspots.engines.rates import Interval
from reports.hotspots.engines.trend import Direction, Trend, trend_of
from reports.hotspots.services.collecting import Collected, collect
from reports.hotspots.services.scope import Scope
from reports.hotspots.services.whole_legs import Event, Stretch
from sites.models import Property

TIMES_AS_BAD = 3.0


@dataclass(frozen=True)
class Row:
    """One leg, or one property, with all that the table shows. Rates: 1000 feet and year."""

    at: int
    rank: int
    stretches: tuple[Stretch, ...]
    is_property: bool
    located: int
    spread: float
    expected: float
    rate: float
    limits: Interval
    shrunken: float
    shrunken_limits: Interval
    ratio: float
    ratio_limits: Interval
    p: float
    q: float
    is_flagged: bool

    @property
    def first(self) -> Stretch:
        """The leg itself, or the property's first."""
        return self.stretches[0]

    @property
    def place(self) -> Property:
        """The property."""
        return self.first.place

    @property
    def name(self) -> str:
        """What people call it."""
        return str(self.place) if self.is_property else self.first.name

    @property
    def counted(self) -> float:
        """Faults, with its share of those that were never located."""
        return self.located + self.spread

    @cached_property
    def feet(self) -> float:
        """Feet of ground."""
        return sum(one.length_ft for one in self.stretches)

    @cached_property
    def years(self) -> float:
        """For how long the longest known of it was observed."""
        return max(one.years for one in self.stretches)

    @cached_property
    def events(self) -> list[Event]:
        """Its located faults, in order of days."""
        return sorted((each for one in self.stretches for each in one.events), key=lambda e: e.on)

    @cached_property
    def last(self) -> date | None:
        """The day of its newest fault."""
        return self.events[-1].on if self.events else None

    @property
    def sort_last(self) -> date:
        """The same day to sort by; without a fault it comes last."""
        return self.last or date.min

    @cached_property
    def causes(self) -> list[tuple[str, int]]:
        """Causes with their counts, the most frequent first."""
        return Counter(event.cause for event in self.events).most_common()

    @property
    def main_cause(self) -> str:
        """The most frequent cause in words, where no other is as frequent."""
        if not self.causes or (len(self.causes) > 1 and self.causes[0][1] == self.causes[1][1]):
            return ""
        return str(Cause(self.causes[0][0]).label)

    @cached_property
    def trend(self) -> Trend:
        """Whether its faults come faster."""
        return trend_of([one.history for one in self.stretches if one.events])

    @property
    def direction(self) -> Direction:
        """What may be said of that."""
        return self.trend.direction if self.located >= 3 else Direction.TOO_FEW


class Rows(Sequence[Row]):
    """Rows by rank, each made when it is looked at: a page shows a few of many thousands."""

    def __init__(
        self, ranked: Ranked | None, groups: dict[int, list[Stretch]], by_properties: bool
    ) -> None:
        self._by_properties = by_properties
        self._order = [] if ranked is None else list(ranked.order)
        if ranked is None:
            return
        self._ranked = ranked
        # Lists, because a row of an array costs many times a row of a list.
        self._columns = [each.tolist() for each in _columns_of(ranked)]
        self._groups = [groups[key] for key in ranked.legs.keys]
        self._made: dict[int, Row] = {}

    def __len__(self) -> int:
        return len(self._order)

    @overload
    def __getitem__(self, number: int) -> Row: ...

    @overload
    def __getitem__(self, number: slice) -> list[Row]: ...

    def __getitem__(self, number: int | slice) -> Row | list[Row]:
        if isinstance(number, slice):
            return [self[each] for each in range(*number.indices(len(self)))]
        at = self._order[number]
        if (made := self._made.get(at)) is None:
            rank_of_it = number + 1 if number >= 0 else len(self) + number + 1
            made = self._made[at] = self._row(at, rank_of_it)
        return made

    @property
    def flagged(self) -> list[Row]:
        """Those that fail more than chance."""
        flags = self._ranked.flagged if self._order else ()
        return [self[number] for number, at in enumerate(self._order) if flags[at]]

    def best_observed(self, most: int) -> list[Row]:
        """Return so many rows with an expectation: the flagged, then the best observed ones."""
        if not self._order:
            return []
        order = np.array(self._order, dtype=int)
        expected, flagged = self._ranked.expected[order], self._ranked.flagged[order]
        chosen = np.lexsort((-expected, ~flagged))
        return [self[int(number)] for number in chosen[expected[chosen] > 0][:most]]

    def of_leg(self, key: int) -> Row | None:
        """Return the row of which the first leg has this key."""
        numbers = enumerate(self._order)
        found = (number for number, at in numbers if self._groups[at][0].row.pk == key)
        return next((self[number] for number in found), None)

    def _row(self, at: int, number: int) -> Row:
        located, spread, expected, p, q, is_flagged, *rates = [each[at] for each in self._columns]
        raw, shrunken, ratio = rates[:3], rates[3:6], rates[6:]
        return Row(
            at,
            number,
            tuple(self._groups[at]),
            self._by_properties,
            int(located),
            spread,
            expected,
            raw[0],
            Interval(*raw[1:]),
            shrunken[0],
            Interval(*shrunken[1:]),
            ratio[0],
            Interval(*ratio[1:]),
            p,
            q,
            is_flagged,
        )


def _columns_of(one: Ranked) -> "Iterator[np.ndarray[Any, Any]]":
    yield from (one.legs.located, one.legs.spread, one.expected, one.p, one.q, one.flagged)
    for rates in (one.raw, one.shrunken, one.ratio):
        yield from (rates.mean, rates.low, rates.high)


@dataclass(frozen=True)
class View:
    """Everything in view, ranked; `ranked` is None where no fault was located in it."""

    scope: Scope
    collected: Collected
    ranked: Ranked | None
    rows: Rows
    by_properties: bool = False

    @cached_property
    def flagged(self) -> list[Row]:
        """Those that fail more than chance."""
        return self.rows.flagged

    @cached_property
    def power(self) -> float:
        """How often a leg three times as bad as the others would be flagged."""
        return power(self.ranked, times=TIMES_AS_BAD) if self.ranked else 0.0

    @cached_property
    def stretches(self) -> list[Stretch]:
        """All legs in view."""
        return list(self.collected.stretches.values())

    @cached_property
    def ground_years(self) -> float:
        """Thousands of feet of ground, times years."""
        return sum(one.ground for one in self.stretches)

    @cached_property
    def events(self) -> list[Event]:
        """All located faults, in order of days."""
        return sorted((each for one in self.stretches for each in one.events), key=lambda e: e.on)

    @cached_property
    def found(self) -> list[Event]:
        """All breaks of which the cause is known, on whatever ground: for shares, not for rates."""
        return sorted((*self.events, *self.collected.found_elsewhere), key=lambda e: e.on)

    @cached_property
    def leading_cause(self) -> str:
        """The cause whose interval lies above all others', in words; empty where none does."""
        counts = Counter(event.cause for event in self.found).most_common()
        first = leader([count for _cause, count in counts])
        return "" if first is None else str(Cause(counts[first][0]).label)

    def row_of(self, key: int) -> Row | None:
        """Return the row of the leg that a leg belongs to."""
        return self.rows.of_leg(key)


def look(places: Sequence[Property], scope: Scope, *, by_properties: bool = False) -> View:
    """Collect and rank what is in view."""
    collected = collect(places, scope)
    return ranked_view(collected, scope, by_properties=by_properties)


def ranked_view(collected: Collected, scope: Scope, *, by_properties: bool = False) -> View:
    """Rank what was collected."""
    stretches = collected.stretches
    legs = whole_legs(
        [one.piece(one.row.property_id if by_properties else key) for key, one in stretches.items()]
    )
    try:
        ranked = rank(legs)
    except NothingToFit:
        return View(scope, collected, None, Rows(None, {}, by_properties), by_properties)
    groups: dict[int, list[Stretch]] = {}
    for key, one in stretches.items():
        groups.setdefault(one.row.property_id if by_properties else key, []).append(one)
    return View(scope, collected, ranked, Rows(ranked, groups, by_properties), by_properties)
