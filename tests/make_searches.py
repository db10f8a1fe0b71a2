"""Make a wire with boxes on its way, and searches along it; name only what the test is about."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import uuid4

from faults.models import Fault, KindOfTest, Search, SearchReading
from sites.models import Leg, Point, Station, Wire, WireAtPoint, WireKind
from tests import make


@dataclass(frozen=True)
class Way:
    """A station whose hot wire runs from the controller through boxes to its valve."""

    station: Station
    wire: Wire
    points: list[Point]
    legs: list[Leg]
    fault: Fault


def way(*lengths_ft: float, joints: str = "", **given: Any) -> Way:
    """Make a station with legs of these lengths; `joints` is s, u or n for each box.

    s = spliced, u = passes uncut, n = not known (the default).
    """
    lengths = lengths_ft or (200.0, 300.0, 100.0, 400.0)
    clock = given.pop("controller", None) or make.controller()
    place = clock.property
    kinds = ["controller", *["splice box"] * (len(lengths) - 1), "valve box"]
    tag = uuid4().hex[:4]
    names = [f"clock {tag}", *[f"box {n} {tag}" for n in range(1, len(lengths))], f"valve {tag}"]
    points = [
        make.point(property=place, name=name, kind=kind)
        for name, kind in zip(names, kinds, strict=True)
    ]
    legs = [
        make.leg(property=place, from_point=a, to_point=b, length_ft=feet, label=f"{a.name}-{b}")
        for a, b, feet in zip(points, points[1:], lengths, strict=False)
    ]
    station = make.station(controller=clock, valve_point=points[-1], **given)
    wire = make.wire(property=place, name=f"hot {tag}", kind=WireKind.HOT)
    wire.legs.set(legs)
    wire.feeds.create(station=station)
    how = {"s": "spliced", "u": "passes uncut"}
    for point, joint in zip(points[1:-1], joints, strict=False):
        if joint in how:
            WireAtPoint.objects.create(wire=wire, point=point, how=how[joint])
    fault = make.fault(station, property=place)
    return Way(station, wire, points, legs, fault)


def search(**given: Any) -> Search:
    """Make an open search on a way of its own unless fault and station are given."""
    if "fault" not in given:
        one = way()
        given |= {"fault": one.fault, "station": one.station, "wire": one.wire}
    return Search.objects.create(**{"started_at": make.NOW, **given})


def finished(**given: Any) -> Search:
    """Make a search that took an hour and found the break."""
    usual = {
        "ended_at": make.NOW + timedelta(hours=1),
        "outcome": "found",
        "expected_minutes": 45.0,
        "actual_minutes": 60,
    }
    return search(**{**usual, **given})


def search_reading(**given: Any) -> SearchReading:
    """Make a check of the coil, which was right."""
    usual = {
        "kind": KindOfTest.CHECK,
        "said": {"kind": "check", "check": "coil", "is_right": True},
        "taken_at": make.NOW,
        "entered_at": make.NOW,
    }
    owner = given.pop("search", None) or search()
    return SearchReading.objects.create(**{"search": owner, **usual, **given})
