"""What renewing legs would cost: as typed, else as kept for their property, else for all.

Renew first, the worth of one leg and a decision on it ask here, so that they cannot differ.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from django.utils.translation import gettext as _

from faults.prices.services.holding import prices_at
from reports.hotspots.engines.rates import Floats, Ints
from reports.hotspots.queries import covers_by_leg
from reports.hotspots.services.ranking import View
from reports.hotspots.services.rows import Row
from reports.models import RenewalCosts
from sites.kernel.lazily import np
from sites.models import Cover, Property, today_at

PAVING = Cover.PAVING.value
PAVED = {PAVING, Cover.ROAD.value}


class Given(StrEnum):
    """By whom the costs were given."""

    TYPED = "typed"
    PLACE = "place"
    ALL = "all"


@dataclass(frozen=True)
class Costs:
    """Of renewing, in one currency.

    Args:
        per_foot: of a leg; `per_foot_paved` below paving or a road, None = the same.
        fixed: once for each property where any leg is renewed.
    """

    per_foot: float
    per_foot_paved: float | None
    fixed: float
    given: Given = Given.TYPED

    def of(self, feet: float, cover: str) -> float:
        """Return what renewing so many feet costs, without what is shared."""
        if cover in PAVED and self.per_foot_paved is not None:
            return feet * self.per_foot_paved
        return feet * self.per_foot


@dataclass(frozen=True)
class LegCost:
    """What renewing one leg costs: `work` for itself, `once` shared by all of its property."""

    work: float
    once: float
    given: Given

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
    return Costs(float(row.per_foot), paved, float(row.fixed), given)


def legs_cost(places: Ints, view: View, costs: Mapping[int, Costs]) -> Floats:
    """Return what the work on the legs at these places in view costs, without what is shared.

    A leg that was split costs what its parts do, each at what lies on it.

    Args:
        costs: by the key of the property; NaN comes back, not known, where it has none.
    """
    evidence = view.watched.evidence
    owners, owner_of = np.unique(evidence.owner[places], return_inverse=True)
    given = [costs.get(key) for key in owners.tolist()]
    plain = np.array([np.nan if one is None else one.of(1, "") for one in given], np.float64)
    paved = np.array([np.nan if one is None else one.of(1, PAVING) for one in given], np.float64)
    number = np.full(len(view.watched), -1)
    number[places] = np.arange(len(places))
    parts = np.flatnonzero(number[evidence.part_of] >= 0)
    at = number[evidence.part_of[parts]]
    is_paved = _paved(view, parts, is_asked=bool((plain != paved)[~np.isnan(plain)].any()))
    a_foot = np.where(is_paved, paved[owner_of[at]], plain[owner_of[at]])
    costs_of = evidence.part_ft[parts] * a_foot
    return np.bincount(at, costs_of, len(places)).astype(np.float64)


def _paved(view: View, parts: Ints, *, is_asked: bool) -> "np.ndarray[Any, Any]":
    """Return which parts lie below paving or a road: of whole legs the evidence says it.

    Args:
        is_asked: whether it matters; the parts of legs that were split cost a query.
    """
    evidence = view.watched.evidence
    owner = evidence.part_of[parts]
    if not is_asked:
        return np.zeros(len(parts), bool)
    of_cover = np.array([cover in PAVED for cover in evidence.covers], bool)
    found: np.ndarray[Any, Any] = of_cover[evidence.cover[owner]]
    split = np.flatnonzero(np.bincount(owner, minlength=len(view.watched))[owner] > 1)
    legs = evidence.part_leg[parts[split]].tolist()
    covers = covers_by_leg(legs)
    found[split] = [covers.get(leg) in PAVED for leg in legs]
    return found


def leg_cost(row: Row, view: View, typed: Costs | None = None) -> LegCost | None:
    """Return what renewing one leg costs, as typed, else as kept; None where that is not known."""
    costs = kept_costs([row.place]) if typed is None else {row.place.pk: typed}
    one = costs.get(row.place.pk)
    if one is None:
        return None
    work = float(legs_cost(np.array([row.at]), view, costs)[0])
    return LegCost(work, one.fixed, one.given)


def cost_words(cost: LegCost | None, place: Property) -> str:
    """Say what renewing a leg costs where it is renewed alone, and by whom that was given."""
    if cost is None:
        return _("What renewing it costs is not known: nothing is kept for its property or for "
                 "all.")  # fmt: skip
    currency = prices_at(place, today_at(place)).currency
    shown = {
        "sum": f"{cost.alone:,.0f} {currency}".rstrip(),
        "once": f"{cost.once:,.0f}",
        "place": place,
    }
    if cost.given is Given.TYPED:
        return _("Renewing it costs %(sum)s, as typed here.") % shown
    if cost.given is Given.PLACE:
        return _("Renewing it costs %(sum)s, as kept for %(place)s: %(once)s of it once for the "
                 "property.") % shown  # fmt: skip
    return _("Renewing it costs %(sum)s, as kept for all properties: %(once)s of it once for its "
             "property.") % shown  # fmt: skip


def which_counts(cost: LegCost | None, kept: LegCost | None, place: Property) -> str:
    """Say what renewing a leg costs, and of typed costs what they count instead of."""
    words = cost_words(cost, place)
    if cost is None or cost.given is not Given.TYPED or kept is None:
        return words
    return _("%(words)s It counts instead of the %(sum)s that is kept.") % {
        "words": words,
        "sum": f"{kept.alone:,.0f}",
    }
