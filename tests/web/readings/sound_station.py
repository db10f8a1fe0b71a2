"""A station with a registered route, for the tests of reading and distance pages."""

from dataclasses import dataclass

from django.urls import reverse

from sites.kernel.services.verbs import as_one_change
from sites.models import Controller, Property, Station
from tests.services.yard import make_yard


@dataclass(frozen=True)
class Sound:
    """A station with a registered route of 180 ft of No. 18, and its controller."""

    station: Station
    clock: Controller


@as_one_change()
def make_sound(place: Property) -> Sound:
    """Make station 1 of the yard on this property; it should read 46.3 ohm."""
    yard = make_yard(place)
    for wire in (yard.w1, yard.common):
        wire.size = "18"
        wire.save()
    yard.first.coil_ohms = 44.0
    yard.first.save()
    return Sound(yard.first, yard.clock)


def at(name: str, row: Station | Controller, *more: str) -> str:
    """Return the address of a page about a station or a controller."""
    return reverse(f"faults:{name}", args=[row.ref, *more])
