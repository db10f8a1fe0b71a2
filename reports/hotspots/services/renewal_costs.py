"""What renewing legs would cost: as typed, else as kept for their property, else for all.

Renew first, the worth of one leg and a decision on it ask here, so that they cannot differ.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import Any, NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.prices.services.holding import prices_at
from reports.hotspots.engines.rates import Floats, Ints
from reports.hotspots.queries import covers_by_leg, in_conduit_at
from reports.hotspots.services.ranking import View
from reports.hotspots.services.rows import Row
from reports.models import RenewalCosts
from sites.kernel.lazily import np
from sites.models import Cover, Property, today_at

PAVED = {Cover.PAVING.value, Cover.ROAD.value}
# Where a plough can go: common practice of the trade, no source.
OPEN = {Cover.TURF.value, Cover.BARE.value}


class Method(IntEnum):
    """How new wire is laid."""

    TRENCH = 0
    PLOUGH = 1
    PULL = 2
    SEVERAL = 3


METHOD_WORDS = {
    Method.TRENCH: gettext_lazy("by trench"),
    Method.PLOUGH: gettext_lazy("by plough"),
    Method.PULL: gettext_lazy("pulled through its conduit"),
    Method.SEVERAL: gettext_lazy("by several methods"),
}


class Given(StrEnum):
    """By whom the costs were given."""

    TYPED = "typed"
    PLACE = "place"
    ALL = "all"


@dataclass(frozen=True)
class Costs:
    """Of renewing, in one currency. Of the methods that the ground allows the cheapest is taken.

    Args:
        per_foot: by trench; `per_foot_paved` below paving or a road, None = the same.
        fixed: once for each property where any leg is renewed.
        per_foot_ploughed: in turf and bare ground; None = not done, or not known.
        per_foot_pulled: where it is known that a leg lies in conduit; None as well.
    """

    per_foot: float
    per_foot_paved: float | None
    fixed: float
    given: Given = Given.TYPED
    per_foot_ploughed: float | None = None
    per_foot_pulled: float | None = None

    @property
    def prices(self) -> tuple[float, float, float, float]:
        """Per foot: by trench, below paving, by plough, through conduit; infinite = not done."""
        paved, ploughed, pulled = self.per_foot_paved, self.per_foot_ploughed, self.per_foot_pulled
        return (
            self.per_foot,
            self.per_foot if paved is None else paved,
            np.inf if ploughed is None else ploughed,
            np.inf if pulled is None else pulled,
        )


class Work(NamedTuple):
    """What the work on legs costs, without what is shared, and the method of each."""

    cost: Floats
    method: Ints


@dataclass(frozen=True)
class LegCost:
    """What renewing one leg costs: `work` for itself, `once` shared by all of its property."""

    work: float
    once: float
    given: Given
    method: Method = Method.TRENCH

    @property
    def alone(self) -> float:
        """What it costs where no other leg of the property is renewed."""
        return self.work + self.once


def kept_costs(places: Collection[Property]) -> dict[int, Costs]:
    """Return what is kept, by the key of each property: its own, else that of all; or nothing."""
    rows = {row.property_id: row for row in RenewalCosts.objects.order_by("pk")}
    found = {place.pk: rows.get(place.pk, rows.get(None)) for place in places}
    return {key: _costs(row) for key, row in found.items() if row is not None}


def _costs(row: RenewalCosts) -> Costs:
    paved = None if row.per_foot_paved is None else float(row.per_foot_paved)
    given = Given.ALL if row.property_id is None else Given.PLACE
    more = (row.per_foot_ploughed, row.per_foot_pulled)
    ploughed, pulled = (None if each is None else float(each) for each in more)
    return Costs(float(row.per_foot), paved, float(row.fixed), given, ploughed, pulled)


def legs_cost(places: Ints, view: View, costs: Mapping[int, Costs]) -> Work:
    """Return what the work on the legs at these places in view costs, without what is shared.

    A leg that was split costs what its parts do, each by the cheapest method that its ground
    allows.

    Args:
        costs: by the key of the property; NaN comes back, not known, where it has none.
    """
    evidence = view.watched.evidence
    owners, owner_of = np.unique(evidence.owner[places], return_inverse=True)
    given = [costs.get(key) for key in owners.tolist()]
    nothing = (np.nan,) * 4
    prices = np.array([nothing if one is None else one.prices for one in given], np.float64)
    prices = prices.reshape(-1, 4)
    number = np.full(len(view.watched), -1)
    number[places] = np.arange(len(places))
    parts = np.flatnonzero(number[evidence.part_of] >= 0)
    at = number[evidence.part_of[parts]]
    trench, paved, ploughed, pulled = prices[owner_of[at]].T
    asks_cover = bool(((paved != trench) & ~np.isnan(trench) | np.isfinite(ploughed)).any())
    is_paved, is_open = _covers(view, parts, is_asked=asks_cover)
    in_conduit = _in_conduit(view, parts, is_asked=bool(np.isfinite(pulled).any()))
    a_foot = np.stack(
        [
            np.where(is_paved, paved, trench),
            np.where(is_open, ploughed, np.inf),
            np.where(in_conduit, pulled, np.inf),
        ]
    )
    method = np.where(np.isnan(trench), Method.TRENCH, a_foot.argmin(axis=0))
    least = np.where(np.isnan(trench), np.nan, a_foot.min(axis=0))
    cost = np.bincount(at, evidence.part_ft[parts] * least, len(places)).astype(np.float64)
    lowest, highest = np.full(len(places), Method.SEVERAL), np.full(len(places), Method.TRENCH)
    np.minimum.at(lowest, at, method)
    np.maximum.at(highest, at, method)
    return Work(cost, np.where(lowest == highest, lowest, Method.SEVERAL))


def _covers(
    view: View, parts: Ints, *, is_asked: bool
) -> "tuple[np.ndarray[Any, Any], np.ndarray[Any, Any]]":
    """Return which parts lie below paving or a road, and which where a plough can go.

    Args:
        is_asked: whether it matters; the parts of legs that were split cost a query.
    """
    evidence = view.watched.evidence
    owner = evidence.part_of[parts]
    if not is_asked:
        return np.zeros(len(parts), bool), np.zeros(len(parts), bool)
    split = np.flatnonzero(np.bincount(owner, minlength=len(view.watched))[owner] > 1)
    legs = evidence.part_leg[parts[split]].tolist()
    own = covers_by_leg(legs)
    found = []
    for kinds in (PAVED, OPEN):
        of_cover = np.array([cover in kinds for cover in evidence.covers], bool)
        one: np.ndarray[Any, Any] = of_cover[evidence.cover[owner]]
        one[split] = [own.get(leg) in kinds for leg in legs]
        found.append(one)
    return found[0], found[1]


def _in_conduit(view: View, parts: Ints, *, is_asked: bool) -> "np.ndarray[Any, Any]":
    """Return of which parts it is known that they lie in conduit."""
    evidence = view.watched.evidence
    if not is_asked:
        return np.zeros(len(parts), bool)
    legs = in_conduit_at(np.unique(evidence.owner[evidence.part_of[parts]]).tolist())
    return np.isin(evidence.part_leg[parts], legs)


def leg_cost(row: Row, view: View, typed: Costs | None = None) -> LegCost | None:
    """Return what renewing one leg costs, as typed, else as kept; None where that is not known."""
    costs = kept_costs([row.place]) if typed is None else {row.place.pk: typed}
    one = costs.get(row.place.pk)
    if one is None:
        return None
    work = legs_cost(np.array([row.at]), view, costs)
    return LegCost(float(work.cost[0]), one.fixed, one.given, Method(int(work.method[0])))


def cost_words(cost: LegCost | None, place: Property) -> str:
    """Say what renewing a leg costs where it is renewed alone, and by whom that was given."""
    if cost is None:
        return _("What renewing it costs is not known: nothing is kept for its property or for "
                 "all.")  # fmt: skip
    currency = prices_at(place, today_at(place)).currency
    shown = {
        "sum": f"{cost.alone:,.0f} {currency}".rstrip(),
        "once": f"{cost.once:,.0f}",
        "how": METHOD_WORDS[cost.method],
        "place": place,
    }
    if cost.given is Given.TYPED:
        return _("Renewing it costs %(sum)s %(how)s, as typed here.") % shown
    if cost.given is Given.PLACE:
        return _("Renewing it costs %(sum)s %(how)s, as kept for %(place)s: %(once)s of it "
                 "once for the property.") % shown  # fmt: skip
    return _("Renewing it costs %(sum)s %(how)s, as kept for all properties: %(once)s of "
             "it once for its property.") % shown  # fmt: skip


def which_counts(cost: LegCost | None, kept: LegCost | None, place: Property) -> str:
    """Say what renewing a leg costs, and of typed costs what they count instead of."""
    words = cost_words(cost, place)
    if cost is None or cost.given is not Given.TYPED or kept is None:
        return words
    return _("%(words)s It counts instead of the %(sum)s that is kept.") % {
        "words": words,
        "sum": f"{kept.alone:,.0f}",
    }
