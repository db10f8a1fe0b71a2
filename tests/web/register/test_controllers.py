"""Pages of the verbs on controllers, and the controller's own page."""

from datetime import date
from typing import Any

import pytest
from django.urls import reverse

from sites.models import Equipment
from tests import make
from tests.cast import Cast, Corner
from tests.web.pages import open_page, send, signed_in

pytestmark = pytest.mark.django_db


def at(name: str, corner: Corner) -> str:
    """Return the address of a page about our controller."""
    return reverse(f"sites:{name}", args=[corner.controller.ref])


def test_a_lost_link_and_its_end_are_recorded(cast: Cast, ours: Corner) -> None:
    url = at("controller_link", ours)
    send(cast.dispatcher, url, what="changed", state="link lost", on="2025-03-01", is_exact="on")
    page = send(cast.dispatcher, url, what="changed", state="linked", on="2025-03-09")
    assert page.column(0, "link") == ["linked", "link lost", "linked"]
    assert page.column(1, "link") == ["at least since 2025-03-09", "2025-03-01", "not known"]
    assert page.column(2, "link") == ["now", "2025-03-09", "2025-03-01"]


def test_a_link_that_was_wrong_is_put_right(cast: Cast, ours: Corner) -> None:
    url = at("controller_link", ours)
    send(cast.dispatcher, url, what="changed", state="link lost", on="2025-03-01")
    page = send(
        cast.dispatcher, url, what="wrong", state="linked", on="2025-03-01", why="other clock"
    )
    assert page.status == 200
    ours.controller.refresh_from_db()
    assert ours.controller.central == "linked"


@pytest.mark.parametrize(
    "fields",
    [
        {"what": "changed", "state": "linked", "on": "2025-03-01"},
        {"what": "changed", "state": "link lost", "on": ""},
        {"what": "wrong", "state": "link lost", "on": "2025-03-01", "why": ""},
    ],
)
def test_a_link_that_cannot_be_keeps_what_was_typed(
    cast: Cast, ours: Corner, fields: dict[str, str]
) -> None:
    page = send(cast.dispatcher, at("controller_link", ours), **fields)
    assert (page.status, page.value("state")) == (422, fields["state"])


def test_two_stations_swap_their_numbers(cast: Cast, ours: Corner) -> None:
    one, two = ours.off_central, ours.on_central
    url = at("controller_renumber", ours)
    page = send(cast.dispatcher, url, **{f"n{one.pk}": 2, f"n{two.pk}": 1})
    assert page.messages == ["2 stations have new numbers."]
    one.refresh_from_db()
    assert one.number == 2


def test_a_number_given_twice_keeps_what_was_typed(cast: Cast, ours: Corner) -> None:
    one, two = ours.off_central, ours.on_central
    url = at("controller_renumber", ours)
    page = send(cast.dispatcher, url, **{f"n{one.pk}": 2, f"n{two.pk}": 2})
    assert page.status == 422
    assert "Number 2 is given to" in page.errors[0]
    assert page.value(f"n{one.pk}") == "2"


def test_renumbering_beside_somebody_else_is_told(cast: Cast, ours: Corner) -> None:
    one, two = ours.off_central, ours.on_central
    url = at("controller_renumber", ours)
    stamp = open_page(cast.dispatcher, url).value("stamp")
    send(cast.owner, url, **{f"n{one.pk}": 7, f"n{two.pk}": 2})
    page = send(cast.dispatcher, url, **{f"n{one.pk}": 8, f"n{two.pk}": 2}, stamp=stamp)
    assert page.status == 422
    assert "1 → 7" in page.words


def test_equipment_is_replaced_and_the_replacement_taken_back(cast: Cast, ours: Corner) -> None:
    url = at("controller_equipment", ours)
    Equipment.objects.create(controller=ours.controller, label="old unit")
    page = send(
        cast.dispatcher, url, what="changed", on="2025-03-01", label="new unit", station_count=24
    )
    assert page.column(0, "equipment") == ["new unit", "old unit"]
    back = reverse("sites:controller_equipment_back", args=[ours.controller.ref])
    page = send(cast.dispatcher, back, why="not yet")
    assert page.column(0, "equipment") == ["old unit"]


def test_a_wrong_serial_number_is_put_right(cast: Cast, ours: Corner) -> None:
    Equipment.objects.create(controller=ours.controller, label="unit", serial="S1")
    url = at("controller_equipment", ours)
    page = send(cast.dispatcher, url, what="wrong", why="misread", label="unit", serial="S2")
    assert page.rows("equipment")[0][1] == "S2"


def test_a_controllers_facts_change(cast: Cast, ours: Corner) -> None:
    url = at("controller_edit", ours)
    fields = {"name": "marigold clock", "wiring": "two-wire path", "output_volts": "26.5"}
    page = send(cast.dispatcher, url, **fields)
    assert page.facts()["Wiring"] == "two-wire path"
    make.controller(property=ours.property, name="B")
    page = send(cast.dispatcher, url, **{**fields, "name": "b"})
    assert (page.status, page.value("name")) == (422, "b")


def test_the_page_tells_what_is_retired_and_what_is_off(cast: Cast, ours: Corner) -> None:
    make.station(controller=ours.controller, number=9, name="old bed", retired_on=date(2024, 1, 1))
    page = open_page(cast.dispatcher, reverse("sites:controller", args=[ours.controller.ref]))
    assert "Off central control: 1 of 2 stations." in page.words
    assert "9 old bed" in page.panel("retired")


def test_the_list_and_the_propertys_grid_lead_to_the_page(cast: Cast, ours: Corner) -> None:
    url = reverse("sites:controller", args=[ours.controller.ref])
    assert url in open_page(cast.owner, reverse("sites:controllers")).links.values()
    place = reverse("reports:property", args=[ours.property.ref])
    assert url in open_page(cast.owner, place).links.values()


def test_a_technician_sees_the_page_and_no_verb(cast: Cast, ours: Corner) -> None:
    page = open_page(cast.technician, reverse("sites:controller", args=[ours.controller.ref]))
    assert (page.status, "Renumber stations" in page.links) == (200, False)
    assert open_page(cast.technician, at("controller_renumber", ours)).status == 403


@pytest.mark.parametrize("stations", [3, 30])
def test_the_pages_ask_as_often_for_many_stations(
    cast: Cast, ours: Corner, django_assert_num_queries: Any, stations: int
) -> None:
    for number in range(100, 100 + stations):
        make.station(controller=ours.controller, number=number)
    browser = signed_in(cast.dispatcher)
    # session, user, grants, controller, count, reasons, states, equipment, retired, history
    with django_assert_num_queries(10):
        browser.get(reverse("sites:controller", args=[ours.controller.ref]))
    # session, user, grants, controller, stations, one stamp for all of them
    with django_assert_num_queries(6):
        browser.get(at("controller_renumber", ours))
