"""Everything in view, ranked: legs, or whole properties.

All that is counted over everything in view comes from columns; a leg with all that is known of it
(`Stretch`) is collected when a page asks for that leg.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import Any

from faults.models import Cause
from reports.hotspots.engines.causes import leader
from reports.hotspots.engines.evidence import Counts, Watched
from reports.hotspots.engines.hotspots import Ranked, power, rank
from reports.hotspots.engines.prior import NothingToFit
from reports.hotspots.engines.rates import Floats, Ints
from reports.hotspots.engines.wholes import Wholes
from reports.hotspots.queries import places_in_view
from reports.hotspots.services.collecting import Collected, collect
from reports.hotspots.services.evidence import evidence_for, evidence_of
from reports.hotspots.services.rows import Row, Rows
from reports.hotspots.services.scope import WIRE_CAUSES, Scope
from reports.hotspots.services.whole_legs import Event, Stretch
from sites.kernel.lazily import np
from sites.models import Property, User

TIMES_AS_BAD = 3.0


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
        if not self.by_properties:
            return [at]
        found: list[int] = np.flatnonzero(self.row_numbers == at).tolist()
        return found

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


def look_at_all(user: User, *, today: date) -> View:
    """Rank all legs that the user sees, with all that is known of them.

    Every page that weighs a renewal looks so, whatever is shown beside it: a leg has one chance.

    Raises:
        NotMadeYet: the evidence of many properties is still being made.
    """
    return look(places_in_view(user), Scope.up_to(today))


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
        return replace(view, ranked=rank(_wholes(view), _ended(view)))
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


def _ended(view: View) -> Wholes | None:
    """Return lives of legs that ended with a renewal; None for whole properties.

    A property is never renewed, and a leg's life is no property.
    """
    if view.by_properties:
        return None
    one = view.watched.evidence
    counts = one.ended_by_ground.astype(np.float64), one.ended_by_wire.astype(np.float64)
    keys = tuple(range(len(one.ended_ground)))
    return Wholes(keys, one.ended_ground, one.ended_wire, *counts, np.zeros(len(keys)))
