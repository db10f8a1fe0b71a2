"""Stations on timers, their legs and their bring-home tests."""

from datetime import date

from faults.models import Reading, ReadingKind
from faults.readings.services.bring_home import Home, homes_of
from sites.kernel.services.verbs import as_one_change
from sites.models import Controller, Feed, Leg, Station, WireLeg
from tests import make

TODAY = make.TODAY
OFF_SINCE = date(2025, 6, 1)


def clock_in_mild_ground() -> Controller:
    """A clock whose ground has a known warmth."""
    place = make.place(ground_coldest_f=50, ground_warmest_f=70, latitude=40.0, longitude=-105.0)
    return make.controller(property=place)


@as_one_change()
def on_timer(
    clock: Controller, *legs: Leg, reason: str = "client's choice", **given: object
) -> Station:
    """A station on a timer whose No. 14 wire lies in these legs, or is only said to be 1,000 ft."""
    known = {"run_length_ft": 1000.0, "wire_size": "14", "coil_ohms": 40.0, **given}
    station = make.station(controller=clock, **known)
    if legs:
        wire = make.wire(property=clock.property, size="14")
        for leg in legs:
            WireLeg.objects.create(wire=wire, leg=leg)
        Feed.objects.create(wire=wire, station=station, from_on=date(2020, 1, 1))
    make.stopgap(station=station, on=OFF_SINCE, reason=reason)
    return station


def measured_leg(clock: Controller, feet: float = 1000.0) -> Leg:
    """A leg that was taped."""
    return make.leg(property=clock.property, length_ft=feet, length_source="measured")


def read(station: Station, ohms: float = 5.0, **given: object) -> Reading:
    """A bring-home test of today."""
    usual = {"is_open_apart": True, "temperature_f": 68.0, "kind": ReadingKind.LOOP, "value": ohms}
    return make.reading(station=station, **{**usual, **given})


def home(station: Station, today: date = TODAY) -> Home:
    """What could bring it home."""
    return homes_of([station], today=today)[0]
