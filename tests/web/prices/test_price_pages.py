"""All prices of a list are entered on one page, and read where they hold."""

from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from faults.models import PriceItem, PriceList
from faults.prices.engines.pricing import Charge
from sites.kernel.engines.roles import Role
from tests import make, make_prices
from tests.cast import Cast, Corner
from tests.web.pages import open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def url(name: str, *args: Any) -> str:
    """The address of a page of prices."""
    return reverse(f"faults:{name}", args=args)


ENTERED = {
    "on": "2025-06-15",
    "currency": "usd",
    "tax_percent": "8.25",
    "tracing": "65",
    "tracing_per": "h",
    "machine": "480",
    "machine_per": "lump",
    "minimum": "130",
    "name_0": "14 AWG wire",
    "unit_0": "ft",
    "price_0": "0.42",
    "name_1": "waterproof splice",
    "unit_1": "",
    "price_1": "3.10",
}


def test_all_prices_are_entered_on_one_page_and_shown_with_their_currency(
    cast: Cast, ours: Corner
) -> None:
    sheet = send(cast.owner, url("prices_company"), **ENTERED)
    assert sheet.heading == "Prices"
    rows = sheet.rows("company")
    assert [row[:3] for row in rows] == [
        ["Tracing", "65.00 USD", "hour"],
        ["Machine with operator", "480.00 USD", "all of it"],
        ["Minimum of a visit", "130.00 USD", "each"],
        ["14 AWG wire", "0.42 USD", "ft"],
        ["Waterproof splice", "3.10 USD", "each"],
    ]
    assert "Tax 8.25 %." in sheet.panel("company")
    here = open_page(cast.dispatcher, url("property_prices", ours.property.ref))
    assert here.rows("held")[0] == ["Tracing", "65.00 USD", "hour", "the company"]


def test_a_material_without_its_price_keeps_what_was_typed(cast: Cast) -> None:
    sheet = send(cast.owner, url("prices_company"), **{**ENTERED, "price_0": "", "name_1": ""})
    assert sheet.status == 422
    assert sheet.errors == ["Which material is this price for?", "What does one cost?"] or (
        sheet.errors == ["What does one cost?", "Which material is this price for?"]
    )
    assert sheet.value("tracing") == "65"
    assert not PriceList.objects.exists()


def test_the_form_opens_with_what_holds_and_an_emptied_price_is_not_known(cast: Cast) -> None:
    made = make_prices.price_list({Charge.TRACING: 65, Charge.TRIP: 30})
    make_prices.material(made, "wire", "0.4200", "ft")
    sheet = open_page(cast.owner, url("prices_company"))
    assert [sheet.value(name) for name in ("tracing", "trip", "name_0", "price_0")] == [
        "65",
        "30",
        "wire",
        "0.42",
    ]
    send(cast.owner, url("prices_company"), on="2025-06-15", currency="USD", tracing="70")
    newest = PriceList.objects.get(to_on=None)
    assert [(item.charge, item.price) for item in newest.items.all()] == [("tracing", Decimal(70))]
    assert PriceItem.objects.count() == 4


def test_who_holds_one_property_prices_that_one_only(ours: Corner, theirs: Corner) -> None:
    manager = make.user(Role.WATER_MANAGER, property=ours.property)
    assert send(
        manager, url("prices_own", ours.property.ref), on="2025-06-15", currency="USD", tracing="60"
    ).heading.startswith("Prices at")
    own = PriceList.objects.get()
    assert (own.property, own.client) == (ours.property, None)
    assert open_page(manager, url("prices_client", ours.property.ref)).status == 403
    assert open_page(manager, url("prices_company")).status == 403
    assert open_page(manager, url("prices_own", theirs.property.ref)).status == 404
    other = make_prices.price_list({}, client=theirs.property.client)
    assert open_page(manager, url("prices_correct", other.pk)).status == 404
    company = make_prices.price_list({})
    assert open_page(manager, url("prices_correct", company.pk)).status == 404
    assert open_page(manager, url("prices_correct", own.pk)).status == 200
    assert theirs.property.client.name not in open_page(manager, url("prices")).words


def test_who_holds_a_client_prices_all_its_properties(ours: Corner) -> None:
    manager = make.user(Role.WATER_MANAGER, client=ours.property.client)
    send(
        manager, url("prices_client", ours.property.ref), on="2025-06-15", currency="USD", trip="9"
    )
    assert PriceList.objects.get().client == ours.property.client


def test_prices_are_for_those_who_may_see_rates(cast: Cast, ours: Corner) -> None:
    for person in (cast.technician, cast.tracer, cast.client_user):
        assert open_page(person, url("prices")).status == 403
        assert open_page(person, url("property_prices", ours.property.ref)).status == 403


def test_pages_of_prices_ask_as_often_for_thirty_lists_as_for_three(cast: Cast) -> None:
    browser, counts = signed_in(cast.owner), []
    for count in (3, 27):
        for _ in range(count):
            make_prices.price_list(client=make.client())
        with CaptureQueriesContext(connection) as asked:
            assert browser.get(url("prices")).status_code == 200
        counts.append(len(asked))
    # Session and user, grants, the lists, their prices.
    assert counts == [4, 4]
