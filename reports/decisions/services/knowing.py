"""What is known of a leg on the day of a decision."""

from dataclasses import dataclass
from datetime import date

from reports.decisions.engines.renewing import weigh
from reports.decisions.services.deciding import Known
from reports.decisions.services.weighing import leg_of
from reports.hotspots.engines.paying import Money
from reports.hotspots.queries import key_of_whole
from reports.hotspots.services.past import Past, errors_of
from reports.hotspots.services.ranking import View, look_at_all
from reports.hotspots.services.renewal_costs import LegCost, leg_cost
from reports.hotspots.services.rows import Row
from sites.models import Leg, User


@dataclass(frozen=True)
class Seen:
    """A leg ranked among all that a user sees."""

    row: Row
    view: View


def seen_of(leg: Leg, *, by: User, today: date) -> Seen | None:
    """Return the leg ranked among all that a user sees; None where it is not ranked.

    Raises:
        NotMadeYet: the evidence of many properties is still being made.
    """
    view = look_at_all(by, today=today)
    row = view.row_of(key_of_whole(leg))
    return None if row is None else Seen(row, view)


def cost_as_kept(seen: Seen | None) -> LegCost | None:
    """Return what renewing a leg alone costs, as kept; None where that is not known."""
    return leg_cost(seen.row, seen.view) if seen else None


def known_of(
    seen: Seen | None,
    *,
    fault_cost: float | None,
    renewal_cost: float | None,
    past: Past | None,
    years: float,
    interest_percent: float,
    kept_percent: float,
) -> Known:
    """Return what is known of a leg's faults a year.

    With both costs also how sure it is that the work pays: the chance that Renew first and the
    worth of the leg show at the same costs.
    """
    costs = Known(fault_cost=fault_cost, renewal_cost=renewal_cost)
    if seen is None:
        return costs
    cost = renewal_cost or 0.0
    found = leg_of(seen.row.at, seen.view, cost=cost, kept_percent=kept_percent)
    if found is None:
        return costs
    pays = None
    if fault_cost is not None and renewal_cost is not None:
        money = Money(fault_cost, years, interest_percent / 100, *errors_of(fault_cost, past))
        pays = weigh(found, money).chance_pays
    return Known(found.shape, found.years_behind, fault_cost, renewal_cost, pays)
