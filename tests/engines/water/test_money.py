"""What excess water costs: the two worked spells to the cent, and prices that change.

The worked spells are our own (no source outside); see water_cases.py.
"""

from datetime import date
from decimal import Decimal

import pytest

from sites.stopgaps.engines.spells import Interval
from sites.water.engines.inputs import Station
from sites.water.engines.money import Price, days_in_month, month_cost, to_cents
from sites.water.engines.months import months
from tests.engines.water.cases import (
    ALWAYS,
    LAWN_CLIMATE,
    LAWN_STATION,
    SHRUB_CLIMATE,
    SHRUB_SPELL,
    SHRUB_STATION,
    Table,
)

LATER = date(2027, 1, 1)


def cost(station: Station, climate: Table, prices: list[Price]) -> Decimal:
    """Return what a whole spell cost, in cents."""
    found = [
        month_cost(each.excess_gal, prices, days_in_month(station.off, each.month, LATER))
        for each in months(station, climate, until=LATER)
    ]
    assert None not in found
    return to_cents(sum(each for each in found if each is not None))


def test_the_worked_spells_to_the_cent() -> None:
    assert cost(LAWN_STATION, LAWN_CLIMATE, [Price(ALWAYS, 5.25, "HCF")]) == Decimal("126.57")
    assert cost(SHRUB_STATION, SHRUB_CLIMATE, [Price(ALWAYS, 6.80, "kgal")]) == Decimal("6.74")


def test_a_price_that_changes_within_a_month_counts_for_its_days() -> None:
    change = date(2025, 11, 6)
    prices = [
        Price(Interval(date.min, change), 2.0, "kgal"),
        Price(Interval(change), 4.0, "kgal"),
    ]
    days = [Interval(date(2025, 11, 1), date(2025, 11, 11))]
    assert month_cost(1000.0, prices, days) == pytest.approx(3.0)
    assert month_cost(1000.0, prices[:1], days) is None
    assert month_cost(1000.0, [Price(ALWAYS, None, "kgal")], days) is None
    assert month_cost(1000.0, [Price(ALWAYS, 2.0, "")], days) is None
    assert month_cost(None, prices, days) is None
    assert month_cost(0.0, [], days) == 0


def test_half_a_cent_rounds_up() -> None:
    assert to_cents(0.125) == Decimal("0.13")
    assert to_cents(2.675) == Decimal("2.68")


def test_the_shrubs_price_is_a_sum_over_its_own_days() -> None:
    assert (
        sum(
            (each.to_on - each.from_on).days
            for each in days_in_month(SHRUB_STATION.off, date(2026, 6, 1), date(2026, 6, 11))
            if each.to_on
        )
        == 10
    )
    assert SHRUB_SPELL.to_on == date(2026, 7, 1)
