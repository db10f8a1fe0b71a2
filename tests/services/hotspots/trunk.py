"""A trunk of legs with a station at its end, watched since the first day of 2020."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from faults.models import Break, Fault
from reports.hotspots.services.collecting import Collected, collect
from reports.hotspots.services.scope import Scope
from sites.models import Leg, Property, Station
from tests import make

SINCE = date(2020, 1, 1)
# The day after the last one in view: five years of 365.25 days, near enough.
UNTIL = date(2025, 1, 1)
ALL = Scope(UNTIL)


@dataclass
class Trunk:
    """One property with legs one after the other, a hot wire through all, and its station."""

    place: Property
    legs: list[Leg]
    station: Station

    def struck(self, leg: Leg | None, on: date, **given: Any) -> Break:
        """Record a break on a leg or on none, of a fault reported on that day."""
        fault = make.fault(self.station, reported_on=on, stage="returned")
        number = Break.objects.filter(fault=fault).count() + 1
        values = {"cause": "rodent", "found_on": on, "running_number": number, **given}
        return make.break_found(fault=fault, leg=leg, **values)

    def lost(self, on: date, **given: Any) -> Fault:
        """Record a fault that is over and was never located."""
        values = {"stage": "given up", "reported_on": on, **given}
        return make.fault(self.station, **values)

    def seen(self, scope: Scope = ALL) -> Collected:
        """Return what is in view."""
        return collect([self.place], scope)


def trunk(lengths: tuple[float, ...] = (100.0, 200.0, 300.0), **given: Any) -> Trunk:
    """Make a trunk whose legs are so long, with one hot wire through them."""
    place = make.place(records_since=SINCE, **given)
    points = [make.point(property=place) for _ in range(len(lengths) + 1)]
    legs = [
        make.leg(
            property=place, from_point=a, to_point=b, length_ft=length, label=f"T-{n}", cover="turf"
        )
        for n, (a, b, length) in enumerate(zip(points, points[1:], lengths, strict=False), start=1)
    ]
    station = make.station(controller=make.controller(property=place))
    wire = make.wire(property=place)
    for leg in legs:
        wire.lies.create(leg=leg)
    wire.feeds.create(station=station)
    return Trunk(place, legs, station)
