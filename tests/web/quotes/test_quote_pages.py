"""A quote is made on the fault's page and read with its options side by side."""

from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse

from faults.cases.engines.stages import Stage
from faults.models import Quote
from tests import make, make_jobs, make_prices, make_quotes
from tests.cast import Cast, Corner
from tests.web.pages import open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def url(name: str, *args: Any) -> str:
    """The address of a page of quotes."""
    return reverse(f"faults:{name}", args=args)


@pytest.fixture(autouse=True)
def _prices(db: None) -> None:
    prices = make_prices.price_list()
    make_prices.material(prices, "splice", "3.10")


@pytest.fixture
def found(ours: Corner) -> Corner:
    """Our fault is found, 18 in deep; two people searched for an hour and three quarters."""
    ours.fault.stations.update(stage=Stage.FOUND.value)
    make.break_found(fault=ours.fault, depth_in=18.0)
    crew = make_jobs.crew(make.user(), make.user())
    make_jobs.job(
        fault=ours.fault,
        crew=crew,
        day=make.TODAY,
        started_at=make.NOW - timedelta(hours=4),
        state="done",
        actual_minutes=105,
    )
    return ours


ENTERED = {
    "found": "The wire is cut beside the walk.",
    "options": ["we dig", "you dig"],
    "length_ft": "3",
    "width_in": "24",
    "depth_in": "18",
    "ground": "firm",
    "searching_h": "1.75",
    "travel_h": "0.4",
    "mending_h": "0.5",
    "waiting_h": "0.5",
    "beside_them_h": "2",
    "valid_until": "2025-07-15",
}


def test_the_worked_example_is_quoted_on_the_page_to_the_cent(cast: Cast, found: Corner) -> None:
    sheet = send(cast.dispatcher, url("quote_add", found.fault.ref, "dig"), **ENTERED)
    assert sheet.heading == "Quote for what was found, version 1"
    assert "Net 320.42 USD" in sheet.panel("option-1")
    assert "Net 262.25 USD" in sheet.panel("option-2")
    assert "call the one-call centre" in sheet.words
    listed = open_page(cast.dispatcher, url("fault", found.fault.ref))
    assert listed.rows("quotes") == [["Version 1", "what was found", "2025-07-15", "open"]]


def test_the_form_opens_with_the_depth_and_the_man_hours_so_far(cast: Cast, found: Corner) -> None:
    sheet = open_page(cast.dispatcher, url("quote_add", found.fault.ref, "dig"))
    assert sheet.value("depth_in") == "18"
    # Two people for 105 minutes.
    assert sheet.value("searching_h") == "3.50"
    assert "have underground utilities marked" in sheet.words


def test_the_next_version_opens_with_what_the_last_one_said_at_the_new_depth(
    cast: Cast, found: Corner
) -> None:
    address = url("quote_add", found.fault.ref, "dig")
    send(cast.dispatcher, address, **{**ENTERED, "mend_0": "2"})
    found.fault.breaks.update(depth_in=30.0)
    listed = open_page(cast.dispatcher, url("fault", found.fault.ref))
    assert listed.rows("quotes")[0][3] == "the break lies at another depth: make it again"
    sheet = open_page(cast.dispatcher, address)
    names = ("depth_in", "mending_h", "mend_0", "ground")
    assert [sheet.value(name) for name in names] == ["30", "0.5", "2", "firm"]


def test_a_dig_without_its_hole_is_asked_for_it_and_nothing_typed_is_lost(
    cast: Cast, found: Corner
) -> None:
    address = url("quote_add", found.fault.ref, "dig")
    sheet = send(cast.dispatcher, address, **{**ENTERED, "depth_in": ""})
    assert sheet.status == 422
    assert sheet.errors == ["Say how large the hole is: a dig is priced by it."]
    assert sheet.value("beside_them_h") == "2"
    assert not Quote.objects.exists()


def test_a_search_opens_with_its_nine_of_ten_hours(cast: Cast, ours: Corner) -> None:
    ours.off_central.run_length_ft = 900.0
    ours.off_central.save()
    sheet = open_page(cast.dispatcher, url("quote_add", ours.fault.ref, "search"))
    assert "most likely takes" in sheet.words
    limit = float(sheet.value("searching_h"))
    assert limit > 0
    assert limit % 0.25 == 0


def test_a_wire_that_cannot_be_searched_along_is_said_to_be_not_known(
    cast: Cast, ours: Corner
) -> None:
    ours.off_central.run_length_ft = None
    ours.off_central.save()
    sheet = open_page(cast.dispatcher, url("quote_add", ours.fault.ref, "search"))
    assert "is not known" in sheet.words
    assert sheet.value("searching_h") == ""


def test_quotes_are_for_those_who_may_see_prices(cast: Cast, found: Corner) -> None:
    quote = make_quotes.quote(found.fault, by=cast.dispatcher)
    for person in (cast.technician, cast.tracer, cast.client_user):
        assert open_page(person, url("quote", quote.ref)).status == 403
        assert "quotes" not in open_page(person, url("fault", found.fault.ref)).panels
    assert open_page(cast.outsider, url("fault", found.fault.ref)).status == 404
