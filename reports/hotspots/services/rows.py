"""The rows of a ranking, each made when it is looked at."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Any, overload

from faults.models import Cause
from reports.hotspots.engines.rates import Interval, Ints
from reports.hotspots.engines.trend import Direction, Trend, trend_of
from reports.hotspots.queries import names_of_legs
from reports.hotspots.services.whole_legs import Event, Stretch
from sites.kernel.lazily import np
from sites.models import Property

if TYPE_CHECKING:
    from reports.hotspots.services.ranking import View


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

    def at(self, places: Sequence[int]) -> list[Row]:
        """Return the rows at these places of all in view, in that order."""
        return self._rows(np.array(places, dtype=np.int64))

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
