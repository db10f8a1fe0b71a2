"""A yard that fits on a screen: one controller, one splice box, two valve boxes.

    clock --a 100 ft-- box --b 80 ft-- north valve      station 1, wire W1
                           --c 60 ft-- south valve      station 2, wire W2

The common lies in all legs, the spare SP1 in a and b.
"""

from dataclasses import dataclass
from datetime import date

from sites.kernel.services.verbs import as_one_change
from sites.models import (
    Controller,
    Feed,
    Leg,
    Point,
    PointKind,
    Property,
    Station,
    Termination,
    Wire,
    WireKind,
    WireLeg,
)
from tests import make

LAID = date(2020, 1, 1)


@dataclass(frozen=True)
class Yard:
    """The yard's things by name."""

    place: Property
    clock: Controller
    start: Point
    box: Point
    north: Point
    south: Point
    a: Leg
    b: Leg
    c: Leg
    first: Station
    second: Station
    w1: Wire
    w2: Wire
    common: Wire
    spare: Wire


@as_one_change()
def make_yard(place: Property | None = None) -> Yard:
    """Make the yard, on a property of its own unless one is given."""
    place = place or make.place()
    clock = make.controller(property=place, name="Rowan")
    start = make.point(property=place, name="clock", kind=PointKind.CONTROLLER)
    box = make.point(property=place, name="box")
    north = make.point(property=place, name="north valve", kind=PointKind.VALVE_BOX)
    south = make.point(property=place, name="south valve", kind=PointKind.VALVE_BOX)
    a = _leg(place, "a", start, box, 100.0)
    b = _leg(place, "b", box, north, 80.0)
    c = _leg(place, "c", box, south, 60.0)
    first = make.station(controller=clock, number=1, valve_point=north)
    second = make.station(controller=clock, number=2, valve_point=south)
    w1 = lay(place, "W1", WireKind.HOT, [a, b], clock, "1")
    w2 = lay(place, "W2", WireKind.HOT, [a, c], clock, "2")
    common = lay(place, "COM", WireKind.COMMON, [a, b, c], clock, "C")
    spare = lay(place, "SP1", WireKind.SPARE, [a, b], clock, "")
    for station, wire in ((first, w1), (second, w2)):
        Feed.objects.create(station=station, wire=wire, from_on=LAID)
    return Yard(
        place, clock, start, box, north, south, a, b, c, first, second, w1, w2, common, spare
    )


def lay(
    place: Property, name: str, kind: str, legs: list[Leg], clock: Controller, terminal: str
) -> Wire:
    """Make a wire in these legs, on a terminal since it was laid."""
    wire = make.wire(property=place, name=name, kind=kind)
    WireLeg.objects.bulk_create([WireLeg(wire=wire, leg=leg) for leg in legs])
    Termination.objects.create(wire=wire, controller=clock, terminal=terminal, from_on=LAID)
    return wire


def legs_of(wire: Wire) -> set[str]:
    """Return the labels of the legs in which a wire lies."""
    return set(wire.lies.values_list("leg__label", flat=True))


def latest_why(row: object) -> str:
    """Return the reason of the latest change of a row."""
    newest = row.history.order_by("-history_id").first()  # type: ignore[attr-defined]
    return newest.history_change_reason or ""


def _leg(place: Property, label: str, start: Point, end: Point, length_ft: float) -> Leg:
    return make.leg(
        property=place,
        label=label,
        from_point=start,
        to_point=end,
        length_ft=length_ft,
        depth_in=14.0,
        cover="turf",
        length_source="measured",
        observed_from=LAID,
    )
