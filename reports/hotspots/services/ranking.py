"""The ranked rows of the page: legs, or whole properties.

All that is counted over everything in view comes from columns; a leg with all that is known of it
(`Stretch`) is collected when a page asks for that leg.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import Any, overload

import numpy as np

from faults.models import Cause
from reports.hotspots.engines.causes import leader
from reports.hotspots.engines.evidence import Counts, Watched
from reports.hotspots.engines.hotspots import Ranked, Wholes, power, rank
from reports.hotspots.engines.prior import NothingToFit
from reports.hotspots.engines.rates import Floats, Interval, Ints
from reports.hotspots.engines.trend import Direction, Trend, trend_of
from reports.hotspots.queries import names_of_legs
from reports.hotspots.services.collecting import Collected, collect
from reports.hotspots.services.evidence import evidence_for, evidence_of
from reports.hotspots.services.scope import WIRE_CAUSES, Scope
from reports.hotspots.services.whole_legs import Event, Stretch
from sites.models import Property

TIMES_AS_BAD = 3.0


@dataclass(frozen=True)
class Row:
    """One leg, or one property, with all that the table shows. Rates: 1000 feet and year."""

    at: int
    rank: int
    rows: "Rows" = field(compare=False, repr=False)
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
    def is_property(self) -> bool:
        """Whether it is a whole property."""
        return self.rows.view.by_properties

    @cached_property
    def members(self) -> list[int]:
        """The places of its stretches among all in view: one, or those of the property."""
        return self.rows.view.members(self.at)

    @cached_property
    def stretches(self) -> tuple[Stretch, ...]:
        """Its legs with all that is known of them, collected when asked for."""
        return tuple(self.rows.view.stretch(at) for at in self.members)

    @property
    def first(self) -> Stretch:
        """The leg itself, or the property's first."""
        return self.rows.view.stretch(self.members[0])

    @property
    def place(self) -> Property:
        """The property."""
        return self.rows.view.place_of(self.members[0])

    @property
    def ref(self) -> str:
        """The reference of the leg, or of the property."""
        return self.place.ref if self.is_property else self.rows.named(self)[0]

    @property
    def name(self) -> str:
        """What people call it."""
        return str(self.place) if self.is_property else self.rows.named(self)[1]

    @property
    def counted(self) -> float:
        """Faults, with its share of those that were never located."""
        return self.located + self.spread

    @cached_property
    def feet(self) -> float:
        """Feet of ground."""
        return float(self.rows.view.watched.feet[self.members].sum())

    @cached_property
    def years(self) -> float:
        """For how long the longest known of it was observed."""
        return float(self.rows.view.watched.years[self.members].max())

    @cached_property
    def events(self) -> list[Event]:
        """Its located faults, in order of days."""
        return sorted((each for one in self.stretches for each in one.events), key=lambda e: e.on)

    @cached_property
    def _faults(self) -> Ints:
        """The places of its located faults among all in view, in order of days."""
        watched = self.rows.view.watched
        spans = [watched.faults_of(at) for at in self.members]
        places = np.concatenate([np.arange(each.start, each.stop) for each in spans])
        return places[np.argsort(watched.evidence.fault_on[places], kind="stable")]

    @cached_property
    def last(self) -> date | None:
        """The day of its newest fault."""
        days = self.rows.view.watched.evidence.fault_on[self._faults]
        return date.fromordinal(int(days[-1])) if len(days) else None

    @property
    def sort_last(self) -> date:
        """The same day to sort by; without a fault it comes last."""
        return self.last or date.min

    @cached_property
    def causes(self) -> list[tuple[str, int]]:
        """Causes with their counts, the most frequent first."""
        evidence = self.rows.view.watched.evidence
        codes = evidence.fault_cause[self._faults].tolist()
        return Counter(evidence.causes[code] for code in codes).most_common()

    @property
    def main_cause(self) -> str:
        """The most frequent cause in words, where no other is as frequent."""
        if not self.causes or (len(self.causes) > 1 and self.causes[0][1] == self.causes[1][1]):
            return ""
        return str(Cause(self.causes[0][0]).label)

    @cached_property
    def trend(self) -> Trend:
        """Whether its faults come faster."""
        histories = [self.rows.view.watched.history(at) for at in self.members]
        return trend_of([each for each in histories if each.times])

    @property
    def direction(self) -> Direction:
        """What may be said of that."""
        return self.trend.direction if self.located >= 3 else Direction.TOO_FEW


class Rows(Sequence[Row]):
    """Rows by rank, each made when it is looked at: a page shows a few of many thousands."""

    def __init__(self, view: "View", order: Ints | None = None) -> None:
        self.view = view
        by_rank = np.array(view.ranked.order if view.ranked else (), dtype=np.int64)
        self._order = by_rank if order is None else order
        self._rank = np.empty_like(by_rank)
        self._rank[by_rank] = np.arange(1, len(by_rank) + 1)
        self._made: dict[int, Row] = {}
        self._names: dict[int, tuple[str, str]] = {}

    def __len__(self) -> int:
        return len(self._order)

    @overload
    def __getitem__(self, number: int) -> Row: ...

    @overload
    def __getitem__(self, number: slice) -> list[Row]: ...

    def __getitem__(self, number: int | slice) -> Row | list[Row]:
        if isinstance(number, slice):
            return self._rows(self._order[number])
        return self._rows(self._order[[number]])[0]

    def __iter__(self) -> Iterator[Row]:
        return iter(self[:])

    def ordered(self, keys: Sequence[tuple[str, bool]]) -> "Rows | None":
        """Return the same rows in another order; None where a column is not known here.

        Args:
            keys: names of columns, and whether the largest comes first.
        """
        if self.view.ranked is None:
            return self
        columns = self._sortable()
        if any(name not in columns for name, _is_down in keys):
            return None
        values = [-columns[name] if is_down else columns[name] for name, is_down in keys]
        # Equals stay in the order of their ranks.
        return Rows(self.view, np.lexsort([self._rank, *values[::-1]]))

    def _sortable(self) -> "dict[str, np.ndarray[Any, Any]]":
        ranked, view = self.view.ranked, self.view
        assert ranked is not None
        codes = sorted({place.code for place in view.places})
        number = {place.pk: codes.index(place.code) for place in view.places}
        owner = view.watched.evidence.owner[view.first_members]
        return {
            "rank": self._rank,
            "q": ranked.q,
            "ratio": ranked.ratio.mean,
            "rate": ranked.raw.mean,
            "counted": ranked.legs.counted,
            "feet": view.of_rows(np.add, view.watched.feet),
            "years": view.of_rows(np.maximum, view.watched.years),
            "sort_last": view.of_rows(np.maximum, view.watched.last_fault),
            "place__code": np.array([number[key] for key in owner.tolist()]),
        }

    @property
    def flagged(self) -> list[Row]:
        """Those that fail more than chance."""
        return self._rows(self._order[self._flags[self._order]])

    @property
    def _flags(self) -> "np.ndarray[Any, Any]":
        return self.view.ranked.flagged if self.view.ranked else np.zeros(0, bool)

    def best_observed(self, most: int) -> list[Row]:
        """Return so many rows with an expectation: the flagged, then the best observed ones."""
        if self.view.ranked is None:
            return []
        expected, flagged = self.view.ranked.expected[self._order], self._flags[self._order]
        chosen = np.lexsort((-expected, ~flagged))
        return self._rows(self._order[chosen[expected[chosen] > 0][:most]])

    def of_leg(self, key: int) -> Row | None:
        """Return the row of which the first leg has this key."""
        firsts = self.view.watched.evidence.key[self.view.first_members]
        at = np.flatnonzero(firsts == key)
        return self._rows(at[:1])[0] if self.view.ranked and len(at) else None

    def named(self, row: Row) -> tuple[str, str]:
        """Return reference and name of a leg; those of all rows made so far come with them."""
        if row.at not in self._names:
            keys = self.view.watched.evidence.key
            new = {int(keys[at]): at for at in self._made if at not in self._names}
            self._names |= {new[key]: names for key, names in names_of_legs(list(new)).items()}
        return self._names[row.at]

    def _rows(self, places: Ints) -> list[Row]:
        """Make rows, those that are not made yet together: one by one would take much longer."""
        wanted = places.tolist()
        if new := [at for at in wanted if at not in self._made]:
            self._make(np.array(new))
        return [self._made[at] for at in wanted]

    def _make(self, places: Ints) -> None:
        ranked = self.view.ranked
        assert ranked is not None
        rates = ranked.rates(places)
        columns = [
            *(places, self._rank[places], ranked.legs.located[places]),
            *(ranked.legs.spread[places], ranked.expected[places]),
            *(ranked.p[places], ranked.q[places], ranked.flagged[places]),
        ]
        for each in (rates.raw, rates.shrunken, rates.ratio):
            columns += [each.mean, each.low, each.high]
        # Lists, because a row of an array costs many times a row of a list.
        for line in zip(*(each.tolist() for each in columns), strict=True):
            at, number, located, spread, expected, p, q, is_flagged, *rest = line
            rate, limits = rest[0], Interval(*rest[1:3])
            shrunken, shrunken_limits = rest[3], Interval(*rest[4:6])
            ratio, ratio_limits = rest[6], Interval(*rest[7:])
            self._made[at] = Row(
                *(at, number, self, int(located), spread, expected, rate, limits),
                *(shrunken, shrunken_limits, ratio, ratio_limits, p, q, is_flagged),
            )


@dataclass(frozen=True)
class View:
    """Everything in view, ranked; `ranked` is None where no fault was located in it."""

    scope: Scope
    places: Sequence[Property]
    watched: Watched
    ranked: Ranked | None
    by_properties: bool = False
    # What was collected for it already, where it was.
    known: Collected | None = field(default=None, repr=False)

    @cached_property
    def rows(self) -> Rows:
        """Its legs, or its properties, by rank."""
        return Rows(self)

    @property
    def counts(self) -> Counts:
        """What is told beside the ranking."""
        return self.watched.evidence.counts

    @cached_property
    def flagged_count(self) -> int:
        """How many rows fail more than chance."""
        return int(self.ranked.flagged.sum()) if self.ranked else 0

    @cached_property
    def flagged_stretches(self) -> "np.ndarray[Any, Any]":
        """Which legs in view belong to a row that fails more than chance."""
        if self.ranked is None:
            return np.zeros(len(self.watched), bool)
        return self.ranked.flagged[self.row_numbers]

    @cached_property
    def row_numbers(self) -> Ints:
        """To which row each leg in view belongs, before rows are ordered."""
        if not self.by_properties:
            return np.arange(len(self.watched))
        return _numbered(self.watched.evidence.owner)

    @cached_property
    def first_members(self) -> Ints:
        """The place of each row's first leg."""
        return np.unique(self.row_numbers, return_index=True)[1]

    def members(self, at: int) -> list[int]:
        """Return the places of the legs of a row."""
        found: list[int] = np.flatnonzero(self.row_numbers == at).tolist()
        return found if self.by_properties else [at]

    def of_rows(self, how: "np.ufunc", values: "np.ndarray[Any, Any]") -> "np.ndarray[Any, Any]":
        """Return values of legs put together by row."""
        order = np.argsort(self.row_numbers, kind="stable")
        starts = np.searchsorted(self.row_numbers[order], np.arange(len(self.first_members)))
        return how.reduceat(values[order], starts)

    def place_of(self, at: int) -> Property:
        """Return the property of a leg by its place."""
        return self._by_key[int(self.watched.evidence.owner[at])]

    @cached_property
    def _by_key(self) -> dict[int, Property]:
        return {place.pk: place for place in self.places}

    def stretch(self, at: int) -> Stretch:
        """Return a leg with all that is known of it, by its place."""
        collected = self.collected_of(self.place_of(at))
        return collected.stretches[int(self.watched.evidence.key[at])]

    def collected_of(self, place: Property) -> Collected:
        """Return what was collected of a property with all that is known of it."""
        if self.known is not None:
            return self.known
        if place.pk not in self._collected_by_place:
            self._collected_by_place[place.pk] = collect([place], self.scope)
        return self._collected_by_place[place.pk]

    @cached_property
    def _collected_by_place(self) -> dict[int, Collected]:
        return {}

    @cached_property
    def collected(self) -> Collected:
        """All that is in view with all that is known of it: slow where that is much."""
        return self.known or collect(self.places, self.scope)

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
        return float(self.watched.ground.sum())

    @cached_property
    def found(self) -> list[Event]:
        """All breaks of which the cause is known, on whatever ground: for shares, not for rates."""
        located = (each for one in self.stretches for each in one.events)
        return sorted((*located, *self.collected.found_elsewhere), key=lambda e: e.on)

    @cached_property
    def leading_cause(self) -> str:
        """The cause whose interval lies above all others', in words; empty where none does."""
        causes = self.watched.causes()
        first = leader([count for _cause, count in causes])
        return "" if first is None else str(Cause(causes[first][0]).label)

    def row_of(self, key: int) -> Row | None:
        """Return the row of the leg that a leg belongs to."""
        return self.rows.of_leg(key)


def _numbered(values: Ints) -> Ints:
    """Return a number for each value, in order of first appearance."""
    _values, first, at = np.unique(values, return_index=True, return_inverse=True)
    numbers: Ints = np.argsort(np.argsort(first))[at]
    return numbers


def look(places: Sequence[Property], scope: Scope, *, by_properties: bool = False) -> View:
    """Rank what is in view: from kept evidence, where all days and causes are."""
    if not scope.is_whole:
        collected = collect(places, scope)
        return ranked_view(collected, scope, by_properties=by_properties, places=places)
    watched = Watched(evidence_for(places, scope), scope.to_on.toordinal())
    return _ranked(scope, places, watched, by_properties)


def ranked_view(
    collected: Collected,
    scope: Scope,
    *,
    by_properties: bool = False,
    places: Sequence[Property] = (),
) -> View:
    """Rank what was collected."""
    if not places:
        places = list({one.place.pk: one.place for one in collected.stretches.values()}.values())
    watched = Watched(evidence_of(collected), scope.to_on.toordinal())
    return _ranked(scope, places, watched, by_properties, collected)


def _ranked(
    scope: Scope,
    places: Sequence[Property],
    watched: Watched,
    by_properties: bool,
    known: Collected | None = None,
) -> View:
    view = View(scope, places, watched, None, by_properties, known)
    try:
        return replace(view, ranked=rank(_wholes(view)))
    except NothingToFit:
        return view


def _wholes(view: View) -> Wholes:
    """Return rows as the engine takes them, in order of first appearance."""
    one, watched, numbers = view.watched.evidence, view.watched, view.row_numbers
    is_wire = np.array([cause in WIRE_CAUSES for cause in one.causes], dtype=bool)
    by_wire = np.bincount(one.fault_of[is_wire[one.fault_cause]], minlength=len(watched))
    firsts = view.first_members
    owner = one.owner if view.by_properties else one.key

    def total(values: "np.ndarray[Any, Any]") -> Floats:
        return np.bincount(numbers, values, len(firsts)).astype(np.float64)

    return Wholes(
        tuple(owner[firsts].tolist()),
        total(watched.ground),
        total(watched.wire),
        total(watched.fault_counts - by_wire),
        total(by_wire),
        total(one.spread),
    )
