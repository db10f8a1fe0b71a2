"""What a bare list implies: one leg from controller to valve, a hot wire and a common beside it.

Nobody has looked at any of it, so all of it is marked as not surveyed.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from sites.load.services.book import named
from sites.load.services.identity import Identity, IdentityMap
from sites.load.services.load import Load, Notes
from sites.load.services.sheets.ground import new_leg
from sites.load.services.sheets.lies import Lies, is_implied
from sites.load.services.work import is_saved
from sites.models import (
    Controller,
    Feed,
    Leg,
    Point,
    PointKind,
    Property,
    Station,
    StationKind,
    Termination,
    Wire,
    WireKind,
    Wiring,
)

COMMON_TERMINAL = "C"


@dataclass
class ImpliedNotes(Notes):
    """What was implied so far: legs by their two ends and length in feet, and commons."""

    legs: dict[tuple[Identity, Identity, float], Leg] = field(default_factory=dict)
    commons: IdentityMap[Controller, Wire] = field(default_factory=IdentityMap)


def imply_wiring(load: Load, station: Station) -> None:
    """Plan the leg and the two wires of a new station that has a run length and no wire."""
    controller = station.controller
    if (
        station.run_length_ft is None
        or load.book.feeds.find(Identity(station))
        or controller.wiring == Wiring.TWO_WIRE
    ):
        return
    start = _controller_point(load, controller)
    end = station.valve_point or _valve_point(load, station)
    if start is end:
        return
    leg = _leg(load, start, end, station.run_length_ft)
    lies = load.notes(Lies)
    hot = _hot(load, station)
    for wire in (hot, _common(load, controller, station.wire_size)):
        if leg not in lies.legs_of(wire):
            lies.lay(load, wire, leg)


def follow_run_length(load: Load, station: Station) -> None:
    """Let the leg that nobody surveyed follow the run length of which it was made."""
    feed = load.book.feeds.find(Identity(station))
    legs = list(load.notes(Lies).legs_of(feed.wire)) if feed else []
    if len(legs) == 1 and is_implied(legs[0]) and station.run_length_ft is not None:
        load.work.change(legs[0], "length_ft", station.run_length_ft)


def _controller_point(load: Load, controller: Controller) -> Point:
    place = controller.property
    for name in (controller.name, f"{controller.name} controller"):
        point = load.book.points.find(named(place, name))
        if point is not None and point.kind == PointKind.CONTROLLER:
            return point
    return _point(load, place, f"{controller.name} controller", PointKind.CONTROLLER)


def _valve_point(load: Load, station: Station) -> Point:
    place = station.controller.property
    name = f"{station.controller.name}-{station.number} valve"
    point = load.book.points.find(named(place, name))
    if point is None or point.kind != PointKind.VALVE_BOX:
        point = _point(load, place, name, PointKind.VALVE_BOX)
    load.work.change(station, "valve_point", point)
    return point


def _point(load: Load, place: Property, name: str, kind: PointKind) -> Point:
    name = _free(name, 60, lambda each: named(place, each) in load.book.points.by_key)
    point = Point(property=place, name=name, kind=kind, is_surveyed=False)
    load.work.create(point)
    load.book.points.put(point, named(place, name))
    return point


def _leg(load: Load, start: Point, end: Point, length_ft: float) -> Leg:
    """Valves in one box share the leg to it."""
    known = load.notes(ImpliedNotes).legs
    key = Identity(start), Identity(end), length_ft
    if key not in known:
        leg = new_leg(load, start.property, start, end, label="")
        leg.length_ft, leg.is_surveyed = length_ft, False
        known[key] = leg
    return known[key]


def _hot(load: Load, station: Station) -> Wire:
    controller = station.controller
    name = f"{controller.name}-{station.number} hot"
    wire = _wire(load, controller.property, name, WireKind.HOT, station.wire_size)
    feed = Feed(station=station, wire=wire)
    load.work.create(feed)
    load.book.feeds.put(feed, Identity(station))
    terminal = str(station.number) if station.kind == StationKind.VALVE else ""
    _terminate(load, wire, controller, terminal)
    return wire


def _common(load: Load, controller: Controller, size: str) -> Wire:
    """One common for each controller; it is as thick as the hot wires unless these differ."""
    known = load.notes(ImpliedNotes).commons
    wire = known.get(controller)
    if wire is None:
        name = f"{controller.name} common"
        wire = load.book.wires.find(named(controller.property, name))
        if wire is None or wire.kind != WireKind.COMMON:
            wire = _wire(load, controller.property, name, WireKind.COMMON, size)
            _terminate(load, wire, controller, COMMON_TERMINAL)
        known[controller] = wire
    elif not is_saved(wire) and wire.size != size:
        wire.size = ""
    return wire


def _wire(load: Load, place: Property, name: str, kind: WireKind, size: str) -> Wire:
    name = _free(name, 60, lambda each: named(place, each) in load.book.wires.by_key)
    wire = Wire(property=place, name=name, kind=kind, size=size)
    load.work.create(wire)
    load.book.wires.put(wire, named(place, name))
    return wire


def _terminate(load: Load, wire: Wire, controller: Controller, terminal: str) -> None:
    row = Termination(wire=wire, controller=controller, terminal=terminal)
    load.work.create(row)
    load.notes(Lies).terminals[wire] = row


def _free(name: str, longest: int, is_taken: Callable[[str], bool]) -> str:
    """The name, or the name with the first number behind it that nobody has."""
    found, number = name[:longest], 2
    while is_taken(found):
        found = f"{name[: longest - 5]} ({number})"
        number += 1
    return found
