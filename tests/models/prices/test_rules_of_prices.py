"""Each named rule on price lists refuses what it names."""

from datetime import date

import pytest

from faults.models import PriceItem
from faults.prices.engines.pricing import Charge
from tests import make, make_prices
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def item(**given: object) -> PriceItem:
    usual = {"charge": Charge.TRACING.value, "unit": "h", "price": 65}
    return PriceItem.objects.create(list=make_prices.price_list({}), **{**usual, **given})


def test_price_list_ends_after_it_starts() -> None:
    with refused_by("price_list_ends_after_it_starts"):
        make_prices.price_list(to_on=date(2024, 12, 31))


def test_price_list_of_a_client_or_a_property_not_both() -> None:
    place = make.place()
    with refused_by("price_list_of_a_client_or_a_property_not_both"):
        make_prices.price_list(property=place, client=place.client)


@pytest.mark.parametrize("percent", ["-0.001", "100.001"])
def test_price_list_tax_is_a_percentage(percent: str) -> None:
    with refused_by("price_list_tax_is_a_percentage"):
        make_prices.price_list(tax_percent=percent)


def test_price_list_names_its_currency() -> None:
    with refused_by("price_list_names_its_currency"):
        make_prices.price_list(currency="")


def test_price_list_open_once_per_scope() -> None:
    place = make.place()
    make_prices.price_list()
    make_prices.price_list(property=place)
    make_prices.price_list(client=place.client)
    make_prices.price_list(to_on=date(2025, 2, 1))
    with refused_by("price_list_open_once_per_scope"):
        make_prices.price_list(from_on=date(2025, 3, 1))
    with refused_by("price_list_open_once_per_scope"):
        make_prices.price_list(property=place)


def test_price_item_not_negative() -> None:
    with refused_by("price_item_not_negative"):
        item(price="-0.01")


def test_price_item_named_where_material() -> None:
    with refused_by("price_item_named_where_material"):
        item(charge=Charge.MATERIAL.value)
    with refused_by("price_item_named_where_material"):
        item(name="wire")


def test_price_item_stands_once_per_list() -> None:
    made = make_prices.price_list()
    make_prices.material(made, "wire", "0.42", "ft")
    make_prices.material(made, "splice", "3")
    with refused_by("price_item_stands_once_per_list"):
        make_prices.material(made, "wire", "0.50", "ft")
