"""Repair or replace: the engine's inputs from a leg's posterior and what people typed."""

from collections.abc import Mapping
from dataclasses import replace

from django.utils.translation import gettext as _

from faults.prices.services.holding import prices_at
from reports.hotspots.engines.worth import Inputs, Swing, Worth, worth
from reports.hotspots.services.past import Past, errors_of
from reports.hotspots.services.ranking import View
from reports.hotspots.services.renewal_costs import LegCost
from reports.hotspots.services.rows import Row
from reports.hotspots.services.words import chance_words, times_words
from sites.models import Property, today_at

# Defaults until the user enters others: common practice, no source. Costs are not among them: a
# verdict on costs that we made up would be ours, not the company's.
HOURS_A_FAULT = 9.0
DEFAULTS = {
    "years": 20.0,
    "interest_percent": 4.0,
    "kept_percent": 50.0,
}


def labour_words(place: Property) -> str:
    """Say what the labour of one fault would be at the property's rate; empty without a rate."""
    prices = prices_at(place, today_at(place))
    rate = prices.labour_rate()
    if not rate:
        return ""
    return _("For example: %(hours)s hours at your labour rate of %(rate)s would be %(sum)s.") % {
        "hours": f"{HOURS_A_FAULT:g}",
        "rate": f"{rate:.2f} {prices.currency}".rstrip(),
        "sum": f"{float(rate) * HOURS_A_FAULT:,.0f} {prices.currency}".rstrip(),
    }


def worth_of(
    row: Row, view: View, typed: Mapping[str, float], cost: LegCost, past: Past | None = None
) -> Worth | None:
    """Weigh repairing against renewing one leg alone; None where it was not observed."""
    if view.ranked is None or row.years <= 0 or row.expected <= 0:
        return None
    known = view.ranked.yearly(row.at, row.years)
    se, sd = errors_of(typed["fault_cost"], past)
    inputs = Inputs(
        fault_cost=typed["fault_cost"],
        renewal_cost=cost.alone,
        horizon_years=typed["years"],
        interest=typed["interest_percent"] / 100,
        ordinary_rate=known.ordinary,
        kept=typed["kept_percent"] / 100,
        fault_cost_se=se,
        fault_cost_sd=sd,
    )
    return worth(replace(inputs, shape=known.shape, years_behind=known.years_behind))


def verdict(found: Worth, row: Row) -> str:
    """Say which way costs less, and how sure that is; without evidence that comes first."""
    if not row.is_flagged:
        return _("Not enough evidence that it fails more than others.") + " " + _weighed(found)
    return _weighed(found)


def _weighed(found: Worth) -> str:
    how_likely = found.chance_replacing_pays
    if how_likely >= 0.9:
        return _("Renewing pays: %s.") % times_words(how_likely)
    if how_likely <= 0.1:
        return _("Mending as it breaks costs less; renewing would pay %s.") % chance_words(
            max(how_likely, 1e-9)
        )
    if found.gain > 0:
        return _("Renewing costs less on average, and pays %s.") % times_words(how_likely)
    return _("Mending costs less on average; renewing pays %s.") % times_words(how_likely)


def swing_words(swing: Swing) -> str:
    """Name an input."""
    names = {
        "rate": _("how often it really breaks"),
        "fault_cost": _("what one fault costs"),
        "renewal_cost": _("what renewing costs"),
        "horizon_years": _("years looked ahead"),
        "kept": _("how much better a renewed leg is"),
        "interest": _("interest"),
    }
    return names[swing.name]
