"""Pages of points, legs and wires ask the database as often for thirty rows as for three."""

from collections.abc import Callable
from dataclasses import dataclass

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from sites.kernel.engines.roles import Role
from sites.models import Leg, Point, Station, User, Wire
from tests import make
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db

MOST = 25


@dataclass(frozen=True)
class Trunk:
    """A box at which many legs and wires meet."""

    box: Point
    leg: Leg
    wire: Wire
    station: Station


def trunk(count: int) -> Trunk:
    """Make this many of everything around one box."""
    place = make.place()
    box = make.point(property=place)
    legs = [make.leg(property=place, from_point=box) for _ in range(count)]
    wires = [make.wire(property=place) for _ in range(count)]
    stations = [make.station(controller=make.controller(property=place)) for _ in range(count)]
    fault = make.fault(*stations)
    for number, (leg, wire, station) in enumerate(zip(legs, wires, stations, strict=True), 1):
        wire.at_points.create(point=box, how="spliced")
        wire.terminations.create(controller=station.controller)
        wire.feeds.create(station=station, from_on=make.TODAY)
        wires[0].lies.create(leg=leg)
        if wire != wires[0]:
            wire.lies.create(leg=legs[0])
        legs[0].renewals.create(on=make.TODAY, kind="guard")
        fault.breaks.create(leg=legs[0], running_number=number, feet_along=5)
    return Trunk(box, legs[0], wires[0], stations[0])


PAGES: dict[str, Callable[[Trunk], str]] = {
    "point": lambda trunk: reverse("sites:point", args=[trunk.box.ref]),
    "leg": lambda trunk: reverse("faults:leg", args=[trunk.leg.ref]),
    "wire": lambda trunk: reverse("sites:wire", args=[trunk.wire.ref]),
    "what wires do": lambda trunk: reverse("sites:point_wires", args=[trunk.box.ref]),
    "change a wire": lambda trunk: reverse("sites:wire_change", args=[trunk.wire.ref]),
    "a station's wire": lambda trunk: reverse("sites:station_wire", args=[trunk.station.ref]),
    "the list of legs": lambda trunk: reverse("sites:legs", args=[trunk.leg.property.ref]),
}


def count(user: User, url: str) -> int:
    """Return how often a page asks the database."""
    browser = signed_in(user)
    browser.get(url)
    with CaptureQueriesContext(connection) as asked:
        assert browser.get(url).status_code == 200
    return len(asked)


@pytest.mark.parametrize("page", PAGES)
def test_the_same_for_thirty_rows_as_for_three(page: str) -> None:
    user = make.user(Role.TECHNICIAN)
    few, many = (count(user, PAGES[page](trunk(rows))) for rows in (3, 30))
    assert few == many <= MOST
