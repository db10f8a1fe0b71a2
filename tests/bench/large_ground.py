"""Rows of the large register: properties, controllers, ground, stations and wires.

Where a station stands follows from its number alone; the biggest property has the first ones.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

Rows = Iterator[dict[str, Any]]

STATIONS_A_CONTROLLER = 40
STATIONS_A_BOX = 5
PROPERTIES_WITH_WIRES = 5


CLIMATE = "Orchard valley"


@dataclass(frozen=True)
class Size:
    """How many rows of each kind."""

    properties: int = 1_000
    stations: int = 200_000
    biggest: int = 5_000
    open_stopgaps: int = 30_000
    closed_stopgaps: int = 120_000
    readings: int = 1_000_000
    faults: int = 100_000

    def scaled(self, scale: float) -> "Size":
        """Return the same mix, smaller."""
        return Size(**{name: max(10, int(n * scale)) for name, n in vars(self).items()})


def property_of(station: int, size: Size) -> int:
    """Return the key of a station's property."""
    if station <= size.biggest:
        return 1
    each = max(1, (size.stations - size.biggest) // (size.properties - 1))
    return min(size.properties, 2 + (station - size.biggest - 1) // each)


def controllers(size: Size) -> dict[int, tuple[int, range]]:
    """Return each controller's property and stations by the controller's key."""
    found: dict[int, tuple[int, range]] = {}
    start = 1
    for station in range(2, size.stations + 2):
        here = property_of(start, size)
        full = station - start == STATIONS_A_CONTROLLER
        if full or station > size.stations or property_of(station, size) != here:
            found[len(found) + 1] = (here, range(start, station))
            start = station
    return found


def clients(size: Size) -> Rows:
    for pk in range(1, _client_of(size.properties) + 1):
        yield {"id": pk, "name": f"Client {pk}"}


def _client_of(property_id: int) -> int:
    return (property_id - 1) // 4 + 1


def properties(size: Size) -> Rows:
    for pk in range(1, size.properties + 1):
        yield {
            "id": pk,
            "code": f"PARK-{pk:04}",
            "client_id": _client_of(pk),
            "address": f"{pk} Orchard Road",
            "latitude": 36.0 + pk % 40 / 100,
            "longitude": -119.0 - pk // 40 / 100,
            "records_since": date(2019, 1, 1),
            "climate_table": CLIMATE,
        }


def climate() -> Rows:
    # Monthly evapotranspiration of Modesto, as a county's paper prints it (found).
    depths = (1.05, 1.87, 3.55, 5.08, 6.80, 7.76, 7.96, 6.88, 5.13, 3.39, 1.72, 1.03)
    for month, eto_in in enumerate(depths, start=1):
        yield {
            "table": CLIMATE,
            "month": month,
            "eto_in": eto_in,
            "rain_in": 0.5,
            "source": "long-term means",
        }


def contacts(size: Size) -> Rows:
    for pk in range(1, size.properties + 1):
        for role in ("approves", "on site"):
            yield {"property_id": pk, "name": f"Contact {pk}", "role": role, "phone": "555 0100"}


def tariffs(size: Size) -> Rows:
    for pk in range(1, size.properties + 1):
        yield {"property_id": pk, "water_price": "6.20", "price_unit": "kgal", "labour_rate": "85"}


def clocks(size: Size) -> Rows:
    for pk, (place, stations) in controllers(size).items():
        yield {
            "id": pk,
            "property_id": place,
            "name": f"C{pk:05}",
            "station_count": len(stations),
            "central": _central(pk),
        }


def _central(controller: int) -> str:
    if controller % 100 == 7:
        return "link lost"
    return "not meant to be linked" if controller % 50 == 11 else "linked"


def states(size: Size, today: date) -> Rows:
    for pk in controllers(size):
        since = today - timedelta(days=30 + pk % 300) if _central(pk) == "link lost" else None
        yield {"controller_id": pk, "state": _central(pk), "from_on": since}


def _boxes(stations: range) -> int:
    return (len(stations) - 1) // STATIONS_A_BOX + 1


def lines(size: Size) -> Iterator[tuple[int, int, range, range]]:
    """Yield controller, property, stations and points: the controller's own, then its boxes."""
    next_point = 1
    for pk, (place, stations) in controllers(size).items():
        points = range(next_point, next_point + 1 + _boxes(stations))
        next_point = points.stop
        yield pk, place, stations, points


def points(size: Size) -> Rows:
    for pk, place, _, points in lines(size):
        for step, point in enumerate(points):
            yield {
                "id": point,
                "property_id": place,
                "name": f"C{pk:05}" if step == 0 else f"B{pk:05}.{step}",
                "kind": "controller" if step == 0 else "valve box",
                "latitude": 36.0 + pk % 200 / 50_000,
                "longitude": -119.0 - step / 5_000,
            }


def legs(size: Size) -> Rows:
    for _, place, _, points in lines(size):
        for point in points[1:]:
            yield {
                "id": point,  # the leg that ends at this point
                "property_id": place,
                "label": f"L{point}",
                "from_point_id": point - 1,
                "to_point_id": point,
                "length_ft": 60.0 + point % 90,
                "length_source": "paced",
            }


def stations(size: Size) -> Rows:
    for pk, _, stations, points in lines(size):
        for number, station in enumerate(stations, start=1):
            yield {
                "id": station,
                "controller_id": pk,
                "number": number,
                "name": f"Lawn {station}",
                "valve_point_id": points[1 + (number - 1) // STATIONS_A_BOX],
                "run_length_ft": 80.0 * (1 + (number - 1) // STATIONS_A_BOX),
                "wire_size": "14 AWG",
            }


def facts(size: Size) -> Rows:
    for station in range(1, size.stations + 1):
        yield {
            "station_id": station,
            "area_sqft": 400.0 + station % 900,
            "flow_gpm": 5.0 + station % 30,
            "plant_kind": "turf",
            "plant_factor": 0.7,
            # Of a few nobody knows how well they water, so that totals leave them out.
            "efficiency": None if station % 11 == 0 else 0.75,
        }


def schedules(size: Size) -> Rows:
    for station in range(1, size.stations + 1):
        yield {
            "station_id": station,
            "from_on": date(2024, 3, 1),
            "days": "Mon Wed Fri",
            "starts": "05:00",
            "minutes": 12.0,
            "run_by": "",
        }


def _wired(size: Size) -> Iterator[tuple[int, int, int, int, range]]:
    """Yield station, controller, property, number and points where wires are registered."""
    for pk, place, stations, points in lines(size):
        if place > PROPERTIES_WITH_WIRES:
            return
        for number, station in enumerate(stations, start=1):
            yield station, pk, place, number, points


def wires(size: Size) -> Rows:
    for station, pk, place, number, _ in _wired(size):
        yield {
            "id": station,
            "property_id": place,
            "name": f"H{pk:05}.{number}",
            "kind": "hot",
            "size": "14 AWG",
        }


def lies(size: Size) -> Rows:
    for station, _, _, number, points in _wired(size):
        for leg in points[1 : 2 + (number - 1) // STATIONS_A_BOX]:
            yield {"wire_id": station, "leg_id": leg}


def terminations(size: Size) -> Rows:
    for station, pk, _, number, _ in _wired(size):
        yield {"wire_id": station, "controller_id": pk, "terminal": str(number)}


def feeds(size: Size) -> Rows:
    for station, *_ in _wired(size):
        yield {"wire_id": station, "station_id": station}
