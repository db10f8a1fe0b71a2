"""The site plan on a page of its own: its bases, its layers, and all of it in words."""

from typing import Any

import pytest

from reports.places.services import plans
from sites.models import Leg, Point, Property, User, Wire
from sites.stopgaps.services.spells import rebuild_spells
from tests import make
from tests.cast import Cast
from tests.web.pages import Sheet, open_page, signed_in
from tests.web.places.test_site_plan import broken, ground, plan_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def place() -> Property:
    """A property without ground."""
    return make.place()


def whole(user: User, place: Property, query: str = "") -> Sheet:
    """Open the plan as a page of its own."""
    return open_page(user, f"/properties/{place.ref}/plan/{query}")


def test_a_page_of_its_own_says_all_of_it_in_words(place: Property, manager: User) -> None:
    points = ground(place)
    station = make.station(controller=make.controller(property=place), valve_point=points["V"])
    make.stopgap(station=station)
    rebuild_spells([station.pk])
    broken(place, "A-2", 1)
    sheet = whole(manager, place)
    assert sheet.rows("legs") == [
        ["A-2", "S – V", "608 ft", "1", "", ""],
        ["A-1", "A – S", "365 ft", "0", "", ""],
    ]
    assert sheet.rows("points") == [
        ["V", "valve box", f"{station} off central control"],
        ["A", "controller", ""],
        ["S", "splice box", ""],
    ]


def test_the_part_for_the_propertys_page_has_no_page_around_it(
    place: Property, manager: User
) -> None:
    ground(place)
    assert "<h1" not in plan_of(manager, place).html
    assert "<h1" in whole(manager, place).html


def test_the_base_can_be_switched_where_more_than_one_is_possible(
    place: Property, manager: User
) -> None:
    ground(place)
    sheet = whole(manager, place)
    assert "To scale; north is up." in sheet.words
    schematic = whole(manager, place, sheet.links["Schematic"].partition("plan/")[2])
    assert "directions are not" in schematic.words
    assert "To scale; north is up." in whole(manager, place, "?base=nonsense").words


def test_without_coordinates_there_is_nothing_to_switch(place: Property, manager: User) -> None:
    ground(place, placed=False)
    assert "Drawn on:" not in whole(manager, place).words


def spare(place: Property, label: str, **given: object) -> Wire:
    """Lay a spare wire in a leg."""
    wire = make.wire(property=place, kind="spare", **given)
    wire.lies.create(leg=Leg.objects.get(property=place, label=label))
    return wire


def test_spare_wires_left_count_those_that_can_still_be_used(
    place: Property, manager: User
) -> None:
    ground(place)
    station = make.station(controller=make.controller(property=place))
    spare(place, "A-1")
    spare(place, "A-1").feeds.create(station=station)
    spare(place, "A-1", is_suspected_broken=True)
    spare(place, "A-1", out_of_use_on=make.TODAY)
    spare(place, "A-1", retired_on=make.TODAY)
    spare(place, "A-2", is_suspected_broken=True)
    assert whole(manager, place).column(4, "legs") == ["1", "0"]


@pytest.mark.parametrize(
    ("central", "mark"),
    [("linked", "linked"), ("not known", "not-known"), ("not meant to be linked", "outside")],
)
def test_stations_have_the_marks_of_the_grid(
    place: Property, manager: User, central: str, mark: str
) -> None:
    valve = ground(place)["V"]
    make.station(controller=make.controller(property=place, central=central), valve_point=valve)
    sheet = whole(manager, place)
    (layer,) = [each for each in sheet.tree.find("g") if "layer-stations" in each.classes]
    assert layer.find("use")[0].attributes["href"] == f"#mark-{mark}"
    assert len(sheet.tree.find("symbol", id=f"mark-{mark}")) == 1


def test_layers_are_there_only_where_there_is_something_to_show(
    place: Property, manager: User
) -> None:
    ground(place)
    assert {"cover", "conduit", "spare wires left"} & set(layers(whole(manager, place))) == set()
    Leg.objects.filter(label="A-1").update(cover="road", in_conduit=True)
    assert {"cover", "conduit"} <= set(layers(whole(manager, place)))


def layers(sheet: Sheet) -> list[str]:
    """Return what can be shown or hidden."""
    return [each.words for each in sheet.tree.find("label")]


def test_names_are_text_and_never_markup(place: Property, manager: User) -> None:
    ground(place)
    Point.objects.filter(name="S").update(name="<script>alert(1)</script>")
    assert "<script>alert" not in whole(manager, place).html


@pytest.mark.parametrize("count", [3, 30])
def test_takes_as_many_queries_for_few_legs_as_for_many(
    place: Property, manager: User, count: int, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        points = make.leg(property=place).to_point
        clock = make.controller(property=place)
        make.station(controller=clock, valve_point=points)
    browser = signed_in(manager)
    # Session, user, grants, property, and those that plan_of lists.
    with django_assert_num_queries(13):
        browser.get(f"/properties/{place.ref}/plan/")


def test_only_so_many_legs_are_drawn(
    place: Property, manager: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    ground(place)
    monkeypatch.setattr(plans, "MOST_LEGS_DRAWN", 1)
    sheet = whole(manager, place)
    assert len(sheet.rows("legs")) == 1
    assert "Only the first 3,000 legs are drawn." in sheet.words


def test_a_stranger_gets_404(place: Property, cast: Cast) -> None:
    assert whole(cast.outsider, place).status == 404
