"""Make what the water of a station follows from, with defaults that hold."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from sites.models import (
    ClimateRow,
    Property,
    Schedule,
    Station,
    StationFacts,
    Stopgap,
    Tariff,
)
from tests import make
from tests.engines.water.cases import CARNEROS, VACAVILLE

SOURCE = "a table made up for tests"


def climate(table: str = "Valley", eto_in: Sequence[float] = VACAVILLE, **given: Any) -> None:
    """Make a long-term table of twelve months, without rain unless some is given by month."""
    rain = given.pop("rain_in", {})
    for number, eto in enumerate(eto_in, start=1):
        ClimateRow.objects.create(
            table=table, month=number, eto_in=eto, rain_in=rain.get(number, 0.0), source=SOURCE,
            **given,
        )  # fmt: skip


def facts(station: Station, **given: Any) -> StationFacts:
    """Make the facts of a lawn."""
    defaults = {"area_sqft": 2400, "flow_gpm": 18, "plant_factor": 0.8, "efficiency": 0.75}
    return StationFacts.objects.create(station=station, **{**defaults, **given})


def schedule(station: Station, **given: Any) -> Schedule:
    """Make a schedule on Monday, Tuesday, Thursday and Saturday, three times 14 minutes."""
    defaults = {
        "from_on": date(2025, 1, 1),
        "run_by": "battery timer",
        "days": "Mon Tue Thu Sat",
        "starts": "04:00;05:00;06:00",
        "minutes": 14,
    }
    return Schedule.objects.create(station=station, **{**defaults, **given})


def tariff(place: Property, **given: Any) -> Tariff:
    """Make a water price."""
    defaults = {"water_price": "5.25", "price_unit": "HCF"}
    return Tariff.objects.create(property=place, **{**defaults, **given})


def lawn(place: Property | None = None, **given: Any) -> Station:
    """Make a lawn of which all is known, off central since 18 July 2025.

    Name None for `flow`, `schedule` or `removed_on` where these are to be unknown or open.
    """
    where = place or make.place(climate_table="Valley")
    clock = given.pop("controller", None) or make.controller(property=where)
    station = make.station(controller=clock)
    facts(station, **given.pop("facts", {}))
    if given.pop("has_schedule", True):
        schedule(station)
    stopgap(station, **{"on": date(2025, 7, 18), **given})
    return station


def stopgap(station: Station, **given: Any) -> Stopgap:
    """Fit a timer."""
    return make.stopgap(station=station, **given)


def shrubs(place: Property) -> Station:
    """Make the second worked spell: a changed schedule and a week with a dead battery."""
    station = make.station(controller=make.controller(property=place))
    facts(station, area_sqft=1150, flow_gpm=7.2, plant_factor=0.5, efficiency=0.81)
    first, change = date(2026, 4, 6), date(2026, 5, 18)
    days: dict[str, Any] = {"days": "Mon Wed Fri", "starts": "05:00"}
    schedule(station, from_on=first, to_on=change, minutes=25, **days)
    schedule(station, from_on=change, minutes=35, **days)
    station.outages.create(kind="dead battery", from_on=date(2026, 6, 10), to_on=date(2026, 6, 17))
    stopgap(station, on=first, removed_on=date(2026, 7, 1))
    return station


RAIN_OF_THE_LAWN = {10: 1.2, 11: 2.5}
SHRUB_TABLE = ("Carneros", CARNEROS, {4: 1.0})
