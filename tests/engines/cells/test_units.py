"""Factors between units, each against a published figure with its source."""

from decimal import Decimal

import pytest

from sites.cells.engines import units

# NIST Special Publication 811 (2008), appendix B.8 and B.9; from memory.
NIST_SP_811 = [
    ("foot, m", 1 / units.FT_PER_M, "0.3048"),
    ("square foot, m2", 1 / units.SQFT_PER_M2, "0.09290304"),
    ("inch, cm", 1 / units.IN_PER_CM, "2.54"),
    ("inch, mm", 1 / units.IN_PER_MM, "25.4"),
    ("gallon (US), L", units.LITRE_PER_GALLON, "3.785412"),
    ("cubic foot, L", units.GALLONS_PER_CUBIC_FOOT * units.LITRE_PER_GALLON, "28.31685"),
    ("gallon per minute, L/min", 1 / units.GPM_PER_LITRE_PER_MIN, "3.785412"),
    ("gallon per minute, L/h", 1 / units.GPM_PER_LITRE_PER_H, "227.1247"),
    ("gallon per minute, m3/h", 1 / units.GPM_PER_M3_PER_H, "0.2271247"),
]


@pytest.mark.parametrize(("name", "ours", "printed"), NIST_SP_811)
def test_agrees_with_the_printed_factor_to_its_last_digit(
    name: str, ours: Decimal, printed: str
) -> None:
    assert abs(ours - Decimal(printed)) <= Decimal(printed) * Decimal("0.0000002"), name


def test_a_hundred_cubic_feet_are_748_gallons() -> None:
    assert round(units.GALLONS_PER_PRICE_UNIT["HCF"], 2) == Decimal("748.05")


def test_a_cubic_metre_is_264_gallons() -> None:
    assert round(units.GALLONS_PER_PRICE_UNIT["m3"], 3) == Decimal("264.172")


def test_a_thousand_gallons_are_a_thousand_gallons() -> None:
    assert units.GALLONS_PER_PRICE_UNIT["kgal"] == 1000


def test_each_price_unit_that_a_tariff_offers_has_a_factor() -> None:
    from sites.models import PriceUnit

    assert set(units.GALLONS_PER_PRICE_UNIT) == set(PriceUnit.values)
