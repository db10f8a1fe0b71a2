"""The site plan: on its coordinates, as a schematic to scale, or in words that nothing is there."""

import pytest

from sites.models import Leg, Point, Property, User
from sites.stopgaps.services.spells import rebuild_spells
from tests import make
from tests.web.markup import Element
from tests.web.pages import Sheet, fragment, open_page

pytestmark = pytest.mark.django_db

# A thousandth of a degree of latitude is about 364 feet.
PLACES = {"A": (33.460, -113.900), "S": (33.461, -113.900), "V": (33.461, -113.898)}


def ground(place: Property, *, placed: bool = True) -> dict[str, Point]:
    """Make a controller A, a splice box S to its north, a valve V to the east of that."""
    kinds = {"A": "controller", "S": "splice box", "V": "valve box"}
    points = {
        name: make.point(
            property=place,
            name=name,
            kind=kind,
            latitude=PLACES[name][0] if placed else None,
            longitude=PLACES[name][1] if placed else None,
        )
        for name, kind in kinds.items()
    }
    for label, start, end, feet in (("A-1", "A", "S", 365), ("A-2", "S", "V", 608)):
        make.leg(
            property=place,
            label=label,
            from_point=points[start],
            to_point=points[end],
            length_ft=feet,
        )
    return points


@pytest.fixture
def place() -> Property:
    """A property without ground."""
    return make.place()


def plan_of(user: User, place: Property) -> Sheet:
    """Fetch the plan as the page does."""
    return fragment(user, f"/properties/{place.ref}/plan/")


def shape(sheet: Sheet, name: str, kind: str) -> Element:
    """Return the one shape of that kind in the drawing."""
    (one,) = [each for each in sheet.tree.find(name) if kind in each.classes]
    return one


def at(sheet: Sheet) -> dict[str, tuple[float, float]]:
    """Return where each point is drawn, by name."""
    places = {}
    for group in sheet.tree.find("g"):
        titles = [each for each in group.children if not isinstance(each, str)][:1]
        if titles and titles[0].name == "title" and "transform" in group.attributes:
            x, y = group.attributes["transform"].removeprefix("translate(").rstrip(")").split()
            places[str(titles[0].children[0]).split(",")[0]] = (float(x), float(y))
    return places


def legs_drawn(sheet: Sheet, kind: str) -> list[Element]:
    """Return the legs of that kind in the drawing; the legend has samples without words."""
    paths = [each for each in sheet.tree.find("path") if {"leg", kind} <= set(each.classes)]
    return [each for each in paths if each.find("title")]


def test_is_fetched_after_the_page_and_reachable_without_scripts(
    place: Property, manager: User
) -> None:
    ground(place)
    sheet = open_page(manager, f"/properties/{place.ref}/")
    (box,) = [each for each in sheet.panels["plan"].find("div") if "hx-get" in each.attributes]
    assert box.attributes["hx-get"] == f"/properties/{place.ref}/plan/"
    assert sheet.links["Draw the plan"] == box.attributes["hx-get"]


def test_on_coordinates_north_is_up_and_feet_are_to_scale(place: Property, manager: User) -> None:
    ground(place)
    sheet = plan_of(manager, place)
    drawn = at(sheet)
    assert drawn["S"][0] == pytest.approx(drawn["A"][0], abs=0.2)
    assert drawn["S"][1] < drawn["A"][1]
    north, east = drawn["A"][1] - drawn["S"][1], drawn["V"][0] - drawn["S"][0]
    # Two thousandths of a degree of longitude there are 609.6 ft, one of latitude 363.9 ft.
    assert east / north == pytest.approx(609.6 / 363.9, rel=0.01)
    assert "To scale; north is up." in sheet.words


def test_the_scale_bar_is_as_long_as_it_says(place: Property, manager: User) -> None:
    ground(place)
    sheet = plan_of(manager, place)
    drawn = at(sheet)
    bar = shape(sheet, "line", "spliced").attributes
    (feet,) = [t.children[0] for t in sheet.tree.find("text") if "ft" in str(t.children[0])]
    per_foot = (float(bar["x2"]) - float(bar["x1"])) / float(str(feet).split()[0])
    assert (drawn["V"][0] - drawn["S"][0]) / per_foot == pytest.approx(609.6, rel=0.01)


def test_one_point_without_coordinates_makes_it_a_schematic_to_scale(
    place: Property, manager: User
) -> None:
    ground(place, placed=False)
    sheet = plan_of(manager, place)
    drawn = at(sheet)
    first, second = drawn["S"][0] - drawn["A"][0], drawn["V"][0] - drawn["S"][0]
    assert first / second == pytest.approx(365 / 608, rel=0.01)
    assert "lengths along the wire are to scale, directions are not" in sheet.words


def test_without_legs_it_says_what_brings_them(place: Property, manager: User) -> None:
    assert "They come with the sheets points and legs." in plan_of(manager, place).words


def test_points_of_stations_that_are_off_are_ringed(place: Property, manager: User) -> None:
    valve = ground(place)["V"]
    clock = make.controller(property=place)
    station = make.station(controller=clock, valve_point=valve)
    make.stopgap(station=station)
    rebuild_spells([station.pk])
    ring = shape(plan_of(manager, place), "circle", "off-mark")
    assert float(ring.attributes["r"]) > 5


def broken(place: Property, label: str, count: int) -> None:
    """Record breaks on a leg."""
    for _ in range(count):
        make.fault(make.station(controller=make.controller(property=place))).breaks.create(
            leg=Leg.objects.get(property=place, label=label)
        )


def test_legs_with_breaks_are_thick_and_listed_in_words(place: Property, manager: User) -> None:
    ground(place)
    broken(place, "A-1", 1)
    broken(place, "A-2", 2)
    sheet = plan_of(manager, place)
    assert [len(legs_drawn(sheet, f"struck-{count}")) for count in (1, 2, 3)] == [1, 1, 0]
    assert sheet.rows() == [["A-2", "S – V", "608 ft", "2"], ["A-1", "A – S", "365 ft", "1"]]


def test_says_in_words_that_no_break_was_found(place: Property, manager: User) -> None:
    ground(place)
    words = plan_of(manager, place).words
    assert "2 legs. No break was found on any of them." in words


def test_legs_that_nobody_surveyed_are_dashed(place: Property, manager: User) -> None:
    points = ground(place)
    implied = make.point(property=place, kind="valve box", latitude=33.462, longitude=-113.9)
    make.leg(property=place, from_point=points["S"], to_point=implied, is_surveyed=False)
    sheet = plan_of(manager, place)
    assert len(legs_drawn(sheet, "not-surveyed")) == 1


def test_lengths_are_in_the_units_of_the_property(manager: User) -> None:
    place = make.place(units="metric")
    ground(place)
    broken(place, "A-1", 1)
    assert plan_of(manager, place).rows() == [["A-1", "A – S", "111 m", "1"]]
