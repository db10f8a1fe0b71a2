"""Which price holds where several lists name one, and money rounded once."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.prices.engines.pricing import (
    LUMP,
    Charge,
    Price,
    Scope,
    Sheet,
    amount_of,
    nearest,
    sum_of,
    tax_on,
)

D = Decimal


def sheet(scope: Scope, currency: str = "USD", **rates: str) -> Sheet:
    prices = tuple(Price(Charge(charge), D(rate)) for charge, rate in rates.items())
    return Sheet(scope, currency, None, prices)


COMPANY = sheet(Scope.COMPANY, tracing="65", digging="60", standby="45")


def test_of_each_charge_the_nearest_list_wins_in_any_order() -> None:
    own, client = (
        sheet(Scope.PROPERTY, tracing="70"),
        sheet(Scope.CLIENT, tracing="68", digging="62"),
    )
    for sheets in ([COMPANY, client, own], [own, client, COMPANY], [client, COMPANY, own]):
        held = nearest(sheets)
        rates = [held.per_hour(each) for each in (Charge.TRACING, Charge.DIGGING, Charge.STANDBY)]
        assert rates == [D(70), D(62), D(45)]


def test_a_tariff_stands_between_the_property_and_its_client_in_their_currency() -> None:
    tariff = sheet(Scope.TARIFF, "", tracing="66", standby="40")
    held = nearest([tariff, sheet(Scope.CLIENT, "CAD", tracing="80"), COMPANY])
    assert held.currency == "CAD"
    assert held.per_hour(Charge.TRACING) == D(66)
    # The company's list is in another currency: it adds nothing.
    assert held.per_hour(Charge.DIGGING) is None


def test_nothing_known_is_not_known() -> None:
    held = nearest([])
    assert (held.currency, held.tax_percent, held.of(Charge.TRIP)) == ("", None, None)


def test_tax_is_of_the_nearest_list_that_names_one_and_nought_is_a_rate() -> None:
    company = replace(COMPANY, tax_percent=D("8.25"))
    own = sheet(Scope.PROPERTY, tracing="70")
    assert nearest([own, company]).tax_percent == D("8.25")
    assert nearest([replace(own, tax_percent=D(0)), company]).tax_percent == 0


def test_a_lump_is_no_hourly_rate_and_the_next_charge_is_asked() -> None:
    lump = Sheet(Scope.PROPERTY, "USD", None, (Price(Charge.DIGGING, D(200), LUMP),))
    held = nearest([lump, COMPANY])
    assert held.per_hour(Charge.DIGGING) is None
    assert held.per_hour(Charge.DIGGING, Charge.TRACING) == D(65)
    assert held.of(Charge.DIGGING) == Price(Charge.DIGGING, D(200), LUMP)


def test_two_materials_stand_beside_each_other_by_name() -> None:
    wire = Price(Charge.MATERIAL, D("0.42"), "ft", "wire")
    splice = Price(Charge.MATERIAL, D("3.10"), "each", "splice")
    held = nearest([Sheet(Scope.COMPANY, "USD", None, (wire, splice))])
    assert held.materials == [splice, wire]
    assert held.of(Charge.MATERIAL, "wire") == wire


@pytest.mark.parametrize(
    "wrong",
    [
        {"charge": Charge.TRACING, "price": D("-0.01")},
        {"charge": Charge.TRACING, "price": D("NaN")},
        {"charge": Charge.TRACING, "price": D(1), "name": "wire"},
        {"charge": Charge.MATERIAL, "price": D(1), "unit": "ft"},
        {"charge": Charge.MATERIAL, "price": D(1), "unit": "", "name": "wire"},
    ],
)
def test_a_price_that_cannot_be_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="Expected"):
        Price(**wrong)  # type: ignore[arg-type]


def test_a_price_of_nought_is_a_price() -> None:
    assert nearest([sheet(Scope.COMPANY, trip="0")]).per_hour(Charge.TRIP) == 0


@pytest.mark.parametrize(
    ("quantity", "price", "amount"),
    [
        ("1", "0.005", "0.01"),  # half a cent: upward
        ("1", "0.0049", "0.00"),
        ("4.5833", "65", "297.91"),  # a rounded quantity would lose a cent: see the next line
        ("4.5833333333", "65", "297.92"),
        ("0.5", "45", "22.50"),
    ],
)
def test_money_is_rounded_half_up_once(quantity: str, price: str, amount: str) -> None:
    assert amount_of(D(quantity), D(price)) == D(amount)


def test_tax_is_rounded_once_and_not_known_stays_so() -> None:
    assert tax_on(D("320.42"), D("8.25")) == D("26.43")
    assert tax_on(D("0.10"), D("5")) == D("0.01")
    assert tax_on(D("320.42"), None) is None


CENTS = st.decimals(min_value=0, max_value=9999, places=4)


@given(st.lists(st.tuples(CENTS, CENTS), max_size=6))
def test_a_total_is_the_sum_of_what_is_printed(lines: list[tuple[Decimal, Decimal]]) -> None:
    amounts = [amount_of(*line) for line in lines]
    total = sum_of(amounts)
    assert total == sum(amounts)
    assert total.as_tuple().exponent == -2
    exact = sum((quantity * price for quantity, price in lines), D(0))
    assert abs(total - exact) <= D("0.005") * len(lines)
