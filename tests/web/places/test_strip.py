"""The strip: a wire's way as one straight line to scale, or in words why there is none."""

from datetime import date

import pytest

from faults.models import Break, Fault
from sites.models import Leg, Point, Station, User, Wire
from tests import make
from tests.web.pages import Sheet, open_page

pytestmark = pytest.mark.django_db

LEFT, WIDTH = 60.0, 880.0


@pytest.fixture
def station() -> Station:
    """Station A:1: controller A, 100 ft to box S, then 300 ft to valve V along a leg that is
    registered from V to S."""
    place = make.place(code="Fern Row")
    points = {
        name: make.point(property=place, name=name, kind=kind)
        for name, kind in (("A", "controller"), ("S", "splice box"), ("V", "valve box"))
    }
    clock = make.controller(property=place, name="A")
    station = make.station(controller=clock, number=1, valve_point=points["V"])
    wire = make.wire(property=place, name="A-1 hot")
    for label, start, end, feet in (("L-1", "A", "S", 100), ("L-2", "V", "S", 300)):
        leg = make.leg(
            property=place,
            label=label,
            from_point=points[start],
            to_point=points[end],
            length_ft=feet,
            depth_in=12,
            cover="turf",
        )
        wire.lies.create(leg=leg)
    wire.feeds.create(station=station)
    wire.at_points.create(point=points["S"], how="spliced")
    return station


def opened(user: User, station: Station) -> Sheet:
    """Open the station's page as this user."""
    return open_page(user, f"/stations/{station.ref}/")


def point(name: str) -> Point:
    """Return a point by name."""
    return Point.objects.get(name=name)


def broken(station: Station, leg: str, feet: float | None, **given: object) -> Break:
    """Record a break on the wire, so many feet along a leg."""
    fault = Fault.objects.first() or make.fault(station, key="F-9")
    number = fault.breaks.count() + 1
    return Break.objects.create(
        fault=fault,
        leg=Leg.objects.get(label=leg),
        feet_along=feet,
        running_number=number,
        found_on=date(2025, 5, number),
        **given,
    )


def crosses(sheet: Sheet) -> list[float]:
    """Return how far along the drawing each past break is, as a part of the whole way."""
    marks = [each for each in sheet.tree.find("path") if "break-mark" in each.classes]
    xs = [each.attributes["transform"].removeprefix("translate(").split()[0] for each in marks]
    return sorted((float(x) - LEFT) / WIDTH for x in xs)


def test_names_the_wire_and_its_whole_length(station: Station, manager: User) -> None:
    panel = opened(manager, station).panel("strip")
    assert panel.startswith("The way of the wire: A-1 hot, 400 ft")


def test_ticks_stand_to_scale_and_a_splice_is_thick(station: Station, manager: User) -> None:
    lines = opened(manager, station).panels["strip"].find("line")
    ticks = [each for each in lines if "tick" in each.classes]
    assert [float(each.attributes["x1"]) for each in ticks] == [60, 280, 940]
    assert ["spliced" in each.classes for each in ticks] == [False, True, False]


def test_says_the_same_in_words(station: Station, manager: User) -> None:
    sheet = opened(manager, station)
    assert sheet.rows("strip") == [
        ["L-1", "100 ft", "guessed", "12 in", "turf", ""],
        ["L-2", "300 ft", "guessed", "12 in", "turf", ""],
    ]
    assert "A (0 ft, not known); S (100 ft, spliced); V (400 ft, not known)." in sheet.words


@pytest.mark.parametrize(
    ("leg", "feet", "start", "along"),
    [
        ("L-1", 25, None, 25),
        ("L-1", 25, "A", 25),
        ("L-1", 25, "S", 75),
        ("L-2", 30, None, 370),
        ("L-2", 30, "V", 370),
        ("L-2", 30, "S", 130),
        ("L-2", 900, "S", 400),
    ],
)
def test_a_break_stands_where_it_is_whichever_end_it_was_measured_from(
    station: Station, manager: User, leg: str, feet: float, start: str | None, along: float
) -> None:
    broken(station, leg, feet, from_point=point(start) if start else None)
    assert crosses(opened(manager, station)) == [pytest.approx(along / 400, abs=0.001)]


def past_breaks(sheet: Sheet) -> list[str]:
    """Return the last column of the strip in words: breaks per leg."""
    return [row[5] for row in sheet.rows("strip")[:2]]


def test_breaks_are_counted_on_their_own_leg(station: Station, manager: User) -> None:
    broken(station, "L-2", 10)
    broken(station, "L-2", 20)
    assert past_breaks(opened(manager, station)) == ["", "2"]


def test_a_break_at_the_joint_of_two_legs_counts_on_one(station: Station, manager: User) -> None:
    broken(station, "L-2", 300)
    assert past_breaks(opened(manager, station)) == ["", "1"]


def test_a_break_without_feet_is_counted_and_listed_but_not_drawn(
    station: Station, manager: User
) -> None:
    broken(station, "L-1", None, cause="root", damage="nick", depth_in=9)
    sheet = opened(manager, station)
    assert crosses(sheet) == []
    assert past_breaks(sheet) == ["1", ""]
    told = "root, nick (where on the leg is not known)"
    assert sheet.rows("strip")[-1] == ["1", "F-9", "2025-05-01", told, "L-1", "9 in"]


def test_a_ring_is_refused_in_words(station: Station, manager: User) -> None:
    wire = Wire.objects.get()
    wire.lies.create(
        leg=make.leg(property=wire.property, from_point=point("A"), to_point=point("V"))
    )
    assert "The legs of this wire close a ring" in opened(manager, station).panel("strip")


def test_legs_that_do_not_reach_the_valve_are_refused_in_words(
    station: Station, manager: User
) -> None:
    Wire.objects.get().lies.filter(leg__label="L-2").delete()
    words = opened(manager, station).panel("strip")
    assert "do not lead from the controller to the valve" in words


def test_a_wire_without_legs_says_what_is_missing(station: Station, manager: User) -> None:
    Wire.objects.get().lies.all().delete()
    assert "The wire's way is not registered" in opened(manager, station).panel("strip")


def test_a_station_without_a_wire_says_so(station: Station, manager: User) -> None:
    Wire.objects.get().feeds.all().delete()
    assert "No wire is registered for this station." in opened(manager, station).words


def test_a_two_wire_path_is_declined_by_name(station: Station, manager: User) -> None:
    Wire.objects.get().feeds.all().delete()
    station.controller.wiring = "two-wire path"
    station.controller.save()
    assert "over a two-wire path: stations share its wires" in opened(manager, station).words


def test_a_valve_at_the_controller_needs_no_strip(station: Station, manager: User) -> None:
    station.valve_point = point("A")
    station.save()
    assert "The valve stands at the controller" in opened(manager, station).panel("strip")


def test_a_wire_of_no_length_is_drawn_without_dividing_by_it(
    station: Station, manager: User
) -> None:
    Leg.objects.update(length_ft=0)
    assert "A-1 hot, 0 ft" in opened(manager, station).panel("strip")


def test_lengths_and_depths_are_in_the_units_of_the_property(
    station: Station, manager: User
) -> None:
    place = station.controller.property
    place.units = "metric"
    place.save()
    assert opened(manager, station).rows("strip")[0][1:4] == ["30 m", "guessed", "30 cm"]


def test_legs_that_nobody_surveyed_are_dashed_and_said_so(station: Station, manager: User) -> None:
    Leg.objects.filter(label="L-1").update(is_surveyed=False)
    sheet = opened(manager, station)
    assert sheet.column(0, "strip") == ["L-1 (not surveyed)", "L-2"]
    assert len([each for each in sheet.tree.find("line") if "not-surveyed" in each.classes]) == 1


def test_a_break_has_the_number_of_its_row_and_its_cause_in_words(
    station: Station, manager: User
) -> None:
    broken(station, "L-1", 25, cause="root")
    broken(station, "L-2", 10, cause="shovel")
    sheet = opened(manager, station)
    marks = [each for each in sheet.tree.find("a") if "break" in each.classes]
    assert [each.attributes["aria-label"] for each in marks] == [
        "Break 2: root 2025-05-01",
        "Break 1: shovel 2025-05-02",
    ]
    assert sheet.rows("strip")[-2][:4] == ["1", "F-9", "2025-05-02", "shovel"]


def test_a_run_of_which_only_the_length_is_known_is_drawn_as_not_surveyed(
    station: Station, manager: User
) -> None:
    Wire.objects.get().feeds.all().delete()
    station.run_length_ft = 420
    station.save()
    sheet = opened(manager, station)
    assert sheet.rows("strip") == [
        ["the whole run (not surveyed)", "420 ft", "guessed", "", "", ""],
    ]
    assert "Its length is all that is known of it." in sheet.panel("strip")


def test_conduit_depth_and_cover_are_written_along_the_line(
    station: Station, manager: User
) -> None:
    Leg.objects.filter(label="L-2").update(in_conduit=True)
    sheet = opened(manager, station)
    texts = [each.children[0] for each in sheet.panels["strip"].find("text") if each.children]
    assert "turf, 12 in, in conduit" in texts
    assert len([each for each in sheet.tree.find("path") if "conduit" in each.classes]) == 1


def test_two_sizes_that_disagree_are_both_told(station: Station, manager: User) -> None:
    Wire.objects.update(size="14 AWG")
    assert "14 AWG all along, as registered." in opened(manager, station).words
    station.wire_size = "18 AWG"
    station.save()
    words = opened(manager, station).words
    assert "The wire is registered as 14 AWG, the station's run as 18 AWG." in words
