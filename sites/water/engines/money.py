"""What excess water costs, month by month, at the prices that held.

Nothing here is a base for billing: it says what staying as it is costs, from schedules.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from sites.stopgaps.engines.spells import Interval
from sites.water.engines.constants import GAL_PER_UNIT
from sites.water.engines.inputs import Off

CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Price:
    """What water costs over `days`, for each unit ("kgal", "HCF", "m3"); None = not known."""

    days: Interval
    price: float | None
    unit: str

    @property
    def per_gal(self) -> float | None:
        """The price of one gallon."""
        if self.price is None or self.unit not in GAL_PER_UNIT:
            return None
        return self.price / GAL_PER_UNIT[self.unit]


def month_cost(
    gallons: float | None,
    prices: Sequence[Price],
    days: Sequence[Interval],
) -> float | None:
    """Return what the gallons of a month cost, unrounded; None where a price is missing.

    Where a price changed within the month, the gallons are spread evenly over its days.

    Args:
        days: those of the month on which the station was off, each with an end.
    """
    if gallons is None:
        return None
    if not gallons:
        return 0.0
    total = sum((each.to_on - each.from_on).days for each in days if each.to_on is not None)
    cost, priced = 0.0, 0
    for price in prices:
        here = sum(_overlap(price.days, each) for each in days)
        if not here:
            continue
        if price.per_gal is None:
            return None
        cost += gallons * here / total * price.per_gal
        priced += here
    return cost if priced == total else None


def _overlap(one: Interval, other: Interval) -> int:
    start = max(one.from_on, other.from_on)
    ends = [each for each in (one.to_on, other.to_on) if each is not None]
    return max(0, (min(ends) - start).days) if ends else 0


def days_in_month(off: Sequence[Off], month: date, until: date) -> list[Interval]:
    """Return the days off central in a month, before `until`."""
    after = date(month.year + month.month // 12, month.month % 12 + 1, 1)
    found = []
    for each in off:
        start = max(each.days.from_on, month)
        end = min(day for day in (each.days.to_on, after, until) if day is not None)
        if end > start:
            found.append(Interval(start, end))
    return found


def to_cents(amount: float) -> Decimal:
    """Round money for showing, half upwards."""
    return Decimal(repr(amount)).quantize(CENT, ROUND_HALF_UP)
