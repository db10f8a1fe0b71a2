"""What the tests of fault verbs' pages share: the day, the pages, a leg with a wire in it."""

from typing import Any

from django.urls import reverse

from faults.models import Fault
from sites.models import Feed, Leg, WireLeg
from tests import make
from tests.cast import Corner
from tests.web.pages import Sheet, open_page

TODAY = "2025-06-15"


def fault_page(user: Any, fault: Fault) -> Sheet:
    """Open the page of a fault."""
    return open_page(user, reverse("faults:fault", args=[fault.ref]))


def standing_leg(ours: Corner) -> Leg:
    """Make leg L1, 100 ft, with the wire of the station that is off central."""
    leg = make.leg(property=ours.property, label="L1", length_ft=100.0)
    wire = make.wire(property=ours.property, name="red 1")
    WireLeg.objects.create(leg=leg, wire=wire)
    Feed.objects.create(wire=wire, station=ours.off_central)
    return leg


def break_fields(leg: Leg, **given: Any) -> dict[str, Any]:
    """What a technician fills in for a break on a leg."""
    usual = {
        "leg": leg.ref,
        "feet_along": "40",
        "from_point": leg.from_point.ref,
        "wires": [wire.ref for wire in leg.wires.all()],
        "found_on": TODAY,
        "cause": "shovel",
        "damage": "cut",
        "shows": "before",
        "move_on": "on",
    }
    return {**usual, **given}
