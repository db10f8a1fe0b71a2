"""What is known of a leg on the day of a decision."""

from datetime import date

from reports.decisions.engines.renewing import Money, weigh
from reports.decisions.queries import key_of_whole
from reports.decisions.services.deciding import Known
from reports.decisions.services.weighing import leg_of
from reports.hotspots.services.ranking import View, look
from reports.hotspots.services.renewal_costs import LegCost, leg_cost
from reports.hotspots.services.rows import Row
from reports.hotspots.services.scope import Scope
from reports.summaries.services.summaries import NotMadeYet
from sites.models import Leg


def cost_as_kept(leg: Leg, *, today: date) -> LegCost | None:
    """Return what renewing a leg alone costs, as kept; None where that is not known."""
    seen = _seen(leg, today)
    return leg_cost(*seen) if seen else None


def known_of(
    leg: Leg,
    *,
    today: date,
    fault_cost: float | None,
    renewal_cost: float | None,
    years: float,
    interest_percent: float,
    kept_percent: float,
    **_later: float,
) -> Known:
    """Return what is known of a leg's faults a year, ranked within its property.

    With both costs also how sure it is that the work pays.
    """
    costs = Known(fault_cost=fault_cost, renewal_cost=renewal_cost)
    seen = _seen(leg, today)
    found = None
    if seen is not None:
        row, view = seen
        cost = renewal_cost or 0.0
        found = leg_of(row.at, view, cost=cost, kept_percent=kept_percent)
    if found is None:
        return costs
    pays = None
    if fault_cost is not None and renewal_cost is not None:
        pays = weigh(found, Money(fault_cost, years, interest_percent / 100)).chance_pays
    return Known(found.shape, found.years_behind, fault_cost, renewal_cost, pays)


def _seen(leg: Leg, today: date) -> tuple[Row, View] | None:
    """Return the leg ranked within its property; None where it is not, or not made yet."""
    try:
        view = look([leg.property], Scope(today))
    except NotMadeYet:
        return None
    row = view.row_of(key_of_whole(leg))
    return None if row is None else (row, view)
