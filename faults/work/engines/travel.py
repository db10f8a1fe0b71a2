"""Distance and driving time between two places, without any outside service.

The straight line over a round earth, times how much longer roads are than it. Good to plan a
day; never as exact as a road map. Times of drives that were made are better where they exist.
"""

from dataclasses import dataclass
from math import asin, ceil, cos, radians, sin, sqrt

# Mean radius of the earth, IUGG (from memory).
EARTH_RADIUS_M = 6_371_008.8
_ROUNDING_MIN = 1e-9


@dataclass(frozen=True, slots=True)
class Place:
    """A place on the earth, latitude first: many libraries take longitude first.

    Raises:
        ValueError: outside -90..90 or -180..180, as swapped pairs often are, but not always.
    """

    lat_degrees: float
    lon_degrees: float

    def __post_init__(self) -> None:
        if not -90 <= self.lat_degrees <= 90:
            raise ValueError(f"Expected lat_degrees in -90..90, got {self.lat_degrees}")
        if not -180 <= self.lon_degrees <= 180:
            raise ValueError(f"Expected lon_degrees in -180..180, got {self.lon_degrees}")


@dataclass(frozen=True, slots=True)
class Driving:
    """How people get about: all three are our own choices, for the user to change.

    Args:
        detour: road over straight line. Newell 1980 gives about 1.2 for random points in a town,
            O'Sullivan 1996 1.21 to 1.23 near transit stations (both in en.wikibooks.org,
            Transportation Geography and Network Science, Circuity); short trips go further round.
        speed_kmh: over the road.
        stop_min: to park and walk, once per drive.

    Raises:
        ValueError: a detour below 1, no speed, or minutes below 0.
    """

    detour: float = 1.3
    speed_kmh: float = 45.0
    stop_min: float = 4.0

    def __post_init__(self) -> None:
        if not self.detour >= 1:
            raise ValueError(f"Expected detour >= 1, got {self.detour}")
        if not self.speed_kmh > 0:
            raise ValueError(f"Expected speed_kmh > 0, got {self.speed_kmh}")
        if not self.stop_min >= 0:
            raise ValueError(f"Expected stop_min >= 0, got {self.stop_min}")


def distance_km(start: Place, end: Place) -> float:
    """Return kilometres along the great circle; within 0.6 % of the ellipsoid."""
    lat_1, lat_2 = radians(start.lat_degrees), radians(end.lat_degrees)
    over_lat = sin((lat_2 - lat_1) / 2) ** 2
    over_lon = sin(radians(end.lon_degrees - start.lon_degrees) / 2) ** 2
    haversine = over_lat + cos(lat_1) * cos(lat_2) * over_lon
    return 2 * EARTH_RADIUS_M * asin(sqrt(min(1.0, haversine))) / 1000


def travel_minutes(start: Place, end: Place, driving: Driving | None = None) -> int:
    """Return whole minutes of a drive with its stop, rounded up; 0 between jobs at one place."""
    return minutes_for(distance_km(start, end), driving)


def minutes_for(straight_km: float, driving: Driving | None = None) -> int:
    """Return whole minutes of a drive over a straight distance, rounded up; 0 for none.

    Raises:
        ValueError: the distance is below 0.
    """
    if not straight_km >= 0:
        raise ValueError(f"Expected straight_km >= 0, got {straight_km}")
    if straight_km == 0:
        return 0
    how = driving or Driving()
    minutes = straight_km * how.detour / how.speed_kmh * 60 + how.stop_min
    return ceil(minutes - _ROUNDING_MIN)
