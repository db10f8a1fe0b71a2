"""A point's page, and the pages of the verbs on points."""

import pytest
from django.urls import reverse

from sites.kernel.services.verbs import stamp_of
from sites.models import Point
from tests import make
from tests.cast import Cast, Corner
from tests.services.yard import Yard, make_yard
from tests.web.pages import open_page, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def yard(ours: Corner) -> Yard:
    """The yard, on our client's property."""
    return make_yard(ours.property)


def at(name: str, point: Point) -> str:
    """Return the address of a page about a point."""
    return reverse(f"sites:{name}", args=[point.ref])


def test_the_page_tells_which_wires_come_and_what_each_does(cast: Cast, yard: Yard) -> None:
    yard.w1.at_points.create(point=yard.box, how="passes uncut")
    page = open_page(cast.technician, at("point", yard.box))
    assert page.heading == "box, splice box"
    assert page.rows("wires") == [
        ["COM", "common", "", "not known", ""],
        ["SP1", "spare", "", "not known", ""],
        ["W1", "hot", "", "passes uncut", "Rowan:1"],
        ["W2", "hot", "", "not known", "Rowan:2"],
    ]
    assert page.rows("legs") == [
        ["a", "clock", "100 ft"],
        ["b", "north valve", "80 ft"],
        ["c", "south valve", "60 ft"],
    ]
    assert "photos" in page.panels


def test_a_client_sees_the_point_and_no_verb(cast: Cast, yard: Yard) -> None:
    page = open_page(cast.client_user, at("point", yard.box))
    assert page.status == 200
    assert "Retire" not in page.links


def test_a_stranger_finds_nothing_and_a_client_may_not_change(cast: Cast, yard: Yard) -> None:
    assert open_page(cast.outsider, at("point", yard.box)).status == 404
    assert open_page(cast.client_user, at("point_change", yard.box)).status == 403


def test_the_list_leads_to_the_point_and_to_adding_one(cast: Cast, yard: Yard) -> None:
    page = open_page(cast.technician, reverse("sites:points", args=[yard.place.ref]))
    assert page.links["box"] == at("point", yard.box)
    assert page.links["Add a point"] == reverse("sites:point_add", args=[yard.place.ref])


def test_retired_points_are_listed_when_asked_for(cast: Cast, yard: Yard) -> None:
    make.point(property=yard.place, name="old box", retired_on=make.TODAY)
    url = reverse("sites:points", args=[yard.place.ref])
    assert "old box" not in open_page(cast.technician, url).column(0)
    assert open_page(cast.technician, f"{url}?standing=no").column(0) == ["old box"]
    assert "old box" in open_page(cast.technician, f"{url}?standing=all").column(0)


def test_a_point_is_added_in_the_propertys_units(cast: Cast, yard: Yard) -> None:
    yard.place.units = "metric"
    yard.place.save()
    url = reverse("sites:point_add", args=[yard.place.ref])
    page = send(cast.technician, url, name="  new   box ", kind="splice box", depth_in="10")
    assert page.heading == "new box, splice box"
    assert page.facts()["Depth"] == "10 cm"


def test_a_refused_name_keeps_what_was_typed(cast: Cast, yard: Yard) -> None:
    url = reverse("sites:point_add", args=[yard.place.ref])
    page = send(cast.technician, url, name="box", kind="splice box", lid="green")
    assert (page.status, page.value("lid")) == (422, "green")
    assert "has a point box already" in page.errors[0]


def test_two_who_change_the_same_point_are_told(cast: Cast, yard: Yard) -> None:
    stamp = stamp_of([yard.box])
    yard.box.lid = "brown"
    yard.box.save()
    url = at("point_change", yard.box)
    page = send(cast.technician, url, name="box", kind="splice box", lid="green", stamp=stamp)
    assert (page.status, page.value("lid")) == (422, "green")
    assert "Somebody changed this" in page.words


def test_a_change_stands_in_the_history_with_its_user(cast: Cast, yard: Yard) -> None:
    page = send(
        cast.technician, at("point_change", yard.box), name="box", kind="splice box", lid="green",
        why="opened it",
    )  # fmt: skip
    assert page.rows("history")[0][1:] == ["tessa", "changed (opened it) lid: ∅ → green"]


def test_a_position_is_kept_and_half_of_one_is_refused(cast: Cast, yard: Yard) -> None:
    url = at("point_move", yard.box)
    page = send(cast.technician, url, latitude="32.95", longitude="-97.1", accuracy_ft="9")
    assert page.facts()["Position"] == "32.950000, -97.100000 (± 9 ft)"
    assert send(cast.technician, url, latitude="32.95", longitude="").status == 422


def test_what_wires_do_is_said_of_those_that_were_touched(cast: Cast, yard: Yard) -> None:
    said = {f"w{wire.pk}": "not known" for wire in (yard.common, yard.spare, yard.w2)}
    said[f"w{yard.w1.pk}"] = "spliced"
    page = send(cast.technician, at("point_wires", yard.box), **said)
    assert page.messages == ["1 wire is noted."]
    assert [row[3] for row in page.rows("wires")][2] == "spliced"
    assert yard.box.wires_here.count() == 1


def test_a_point_in_use_is_not_retired(cast: Cast, yard: Yard) -> None:
    page = send(cast.technician, at("point_retire", yard.box), on="2025-06-01")
    assert page.status == 422
    assert "These legs still end here: a, b, c" in page.words


def test_a_point_is_retired_and_brought_back(cast: Cast, yard: Yard) -> None:
    point = make.point(property=yard.place, name="lone box")
    page = send(cast.technician, at("point_retire", point), on="2025-06-01", why="paved over")
    assert "Retired on 2025-06-01." in page.words
    page = send(cast.technician, page.links["Bring back"])
    assert "Retired on" not in page.words
