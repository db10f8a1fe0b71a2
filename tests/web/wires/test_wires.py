"""A wire's page, and the pages of the verbs on wires and on what serves a station."""

import pytest
from django.urls import reverse

from sites.models import Station, Wire, Wiring
from tests.cast import Cast, Corner
from tests.services.yard import Yard, legs_of, make_yard
from tests.web.pages import open_page, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def yard(ours: Corner) -> Yard:
    """The yard, on our client's property."""
    return make_yard(ours.property)


def at(name: str, row: Wire | Station) -> str:
    """Return the address of a page about a wire, or a station's wire."""
    return reverse(f"sites:{name}", args=[row.ref])


def test_the_page_tells_where_it_lies_and_what_it_serves(cast: Cast, yard: Yard) -> None:
    page = open_page(cast.technician, at("wire", yard.w1))
    assert page.heading == "Wire W1, hot"
    assert page.column(0, "legs") == ["a", "b"]
    assert page.rows("terminals") == [["Rowan", "1", "2020-01-01", "now"]]
    assert page.rows("feeds") == [["Rowan:1", "2020-01-01", "now"]]
    assert [row[0] for row in page.rows("points")] == ["box", "clock", "north valve"]


def test_a_stranger_finds_nothing_and_a_client_may_not_change(cast: Cast, yard: Yard) -> None:
    assert open_page(cast.outsider, at("wire", yard.w1)).status == 404
    assert open_page(cast.client_user, at("wire_retire", yard.w1)).status == 403
    assert open_page(cast.outsider, at("station_spare", yard.first)).status == 403


def test_the_list_leads_to_the_wire_and_to_laying_one(cast: Cast, yard: Yard) -> None:
    page = open_page(cast.technician, reverse("sites:wires", args=[yard.place.ref]))
    assert page.links["W1"] == at("wire", yard.w1)
    assert page.links["Lay a wire"] == reverse("sites:wire_lay", args=[yard.place.ref])


def test_a_wire_is_laid_by_the_points_on_its_way(cast: Cast, yard: Yard) -> None:
    url = reverse("sites:wire_lay", args=[yard.place.ref])
    page = send(
        cast.technician, url, name="W3", kind="hot", colour="blue", laid="2021",
        way="clock\nbox\nsouth valve", controller=yard.clock.pk, terminal="3",
    )  # fmt: skip
    assert page.heading == "Wire W3, hot"
    assert page.column(0, "legs") == ["a", "c"]
    assert page.facts()["Laid"] == "between 2021-01-01 and 2021-12-31"


def test_a_way_that_does_not_join_keeps_what_was_typed(cast: Cast, yard: Yard) -> None:
    url = reverse("sites:wire_lay", args=[yard.place.ref])
    page = send(cast.technician, url, name="W3", kind="hot", way="clock\nsouth valve")
    assert (page.status, page.value("name")) == (422, "W3")
    assert "No leg joins clock and south valve" in page.errors[0]


def test_the_form_shows_the_way_that_it_reads(cast: Cast, yard: Yard) -> None:
    url = at("wire_change", yard.common)
    (way,) = open_page(cast.technician, url).tree.find("textarea", name="way")
    assert way.words == "clock box north valve box south valve"
    page = send(cast.technician, url, name="COM", kind="common", way="clock\nbox\nsouth valve")
    assert page.column(0, "legs") == ["a", "c"]


def test_a_change_of_colour_leaves_it_where_it_lies(cast: Cast, yard: Yard) -> None:
    url = at("wire_change", yard.w1)
    send(cast.technician, url, name="W1", kind="hot", colour="red", way="clock\nbox\nnorth valve")
    assert legs_of(yard.w1) == {"a", "b"}
    assert "lay in" not in (yard.w1.history.latest().history_change_reason or "")


def test_a_spare_goes_out_of_use_and_back(cast: Cast, yard: Yard) -> None:
    page = send(
        cast.technician, at("wire_out_of_use", yard.spare), on="2025-06-01",
        is_suspected_broken="on",
    )  # fmt: skip
    assert "Out of use since 2025-06-01. Suspected broken." in page.words
    page = send(cast.technician, page.links["Use it again"])
    assert "Free to take over a station." in page.words


def test_a_wire_is_retired_and_brought_back(cast: Cast, yard: Yard) -> None:
    page = send(cast.technician, at("wire_retire", yard.spare), on="2025-06-01")
    assert "Retired on 2025-06-01." in page.words
    assert send(cast.technician, page.links["Bring back"]).messages == ["SP1 is back."]


def test_a_serving_wire_is_not_retired(cast: Cast, yard: Yard) -> None:
    page = send(cast.technician, at("wire_retire", yard.w1), on="2025-06-01")
    assert page.status == 422
    assert "It serves Rowan:1. Let another wire serve it first." in page.words


def test_a_wire_changes_its_terminal_and_leaves_it(cast: Cast, yard: Yard) -> None:
    url = at("wire_terminal", yard.spare)
    page = send(cast.technician, url, controller=yard.clock.pk, terminal="9", on="2025-06-01")
    assert page.rows("terminals")[0] == ["Rowan", "9", "2025-06-01", "now"]
    page = send(cast.technician, page.links["Take it off its terminal"], on="2025-06-02")
    assert page.rows("terminals")[0] == ["Rowan", "9", "2025-06-01", "2025-06-02"]


def test_a_taken_terminal_is_told_at_its_field(cast: Cast, yard: Yard) -> None:
    url = at("wire_terminal", yard.spare)
    page = send(cast.technician, url, controller=yard.clock.pk, terminal="2", on="2025-06-01")
    assert page.status == 422
    assert page.errors[0].startswith("Terminal 2 of Rowan holds wire W2.")


def test_a_station_moves_to_a_spare_and_back(cast: Cast, yard: Yard) -> None:
    url = at("station_spare", yard.first)
    assert "SP1: leads from controller to valve" in open_page(cast.technician, url).words
    send(cast.technician, url, spare=yard.spare.pk, on="2025-05-01")
    page = open_page(cast.technician, at("station_wire", yard.first))
    assert page.rows("feeds") == [
        ["SP1", "2025-05-01", "now"],
        ["W1 suspected broken", "2020-01-01", "2025-05-01"],
    ]
    send(cast.technician, page.links["Move it back to W1"], on="2025-06-01")
    page = open_page(cast.technician, at("station_wire", yard.first))
    assert page.column(0, "feeds") == ["W1", "SP1", "W1"]


def test_a_spare_off_the_way_asks_whether_it_was_seen(cast: Cast, yard: Yard) -> None:
    yard.spare.lies.filter(leg=yard.b).delete()
    url = at("station_spare", yard.first)
    page = send(cast.technician, url, spare=yard.spare.pk, on="2025-05-01")
    assert (page.status, page.value("on")) == (422, "2025-05-01")
    assert "not known to run from controller Rowan" in page.errors[0]
    send(cast.technician, url, spare=yard.spare.pk, on="2025-05-01", is_seen="on")
    assert legs_of(yard.spare) == {"a", "b"}


def test_two_stations_are_doubled_and_parted(cast: Cast, yard: Yard) -> None:
    url = at("station_double", yard.first)
    fields = {"neighbour": yard.second.pk, "on": "2025-05-02"}
    assert send(cast.technician, url, **fields).status == 422
    page = send(cast.technician, url, **fields, accepted_by_client_on="2025-05-01")
    assert page.messages == ["Rowan:1 runs with its neighbour, for a time."]
    page = open_page(cast.technician, at("station_wire", yard.first))
    assert "the client accepted that on 2025-05-01" in page.words
    page = send(cast.technician, page.links["Undo the doubling"], on="2025-06-01")
    assert page.messages == ["Rowan:1 is on a wire of its own again."]


def test_no_wire_may_be_said_to_serve_a_station(cast: Cast, yard: Yard) -> None:
    page = send(cast.technician, at("station_serve", yard.first), on="2025-06-01")
    assert page.messages == ["The wire of Rowan:1 is kept."]


def test_a_stations_page_leads_to_its_wire(cast: Cast, yard: Yard) -> None:
    page = open_page(cast.technician, reverse("reports:station", args=[yard.first.ref]))
    assert page.links["Its wire"] == at("station_wire", yard.first)


def test_a_two_wire_path_declines_by_name(cast: Cast, yard: Yard) -> None:
    yard.clock.wiring = Wiring.TWO_WIRE
    yard.clock.save()
    page = open_page(cast.technician, at("station_wire", yard.first))
    assert "Controller Rowan reaches its valves over a two-wire path" in page.words
    page = send(
        cast.technician, at("station_spare", yard.first), spare=yard.spare.pk, on="2025-05-01"
    )
    assert page.status == 422
    assert "Controller Rowan reaches its valves over a two-wire path" in page.words
