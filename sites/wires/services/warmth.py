"""How warm a station's circuit was when it was read: as measured, else as its ground usually is."""

from datetime import date

from sites.models import Property
from sites.wires.engines.warmth import GroundYear, Warmth, warmth_on, year_at, year_between

# Beyond these no ground is, nor any circuit in use.
LEAST_GROUND_F, MOST_GROUND_F = -60.0, 200.0


def celsius(fahrenheit: float) -> float:
    """Return degrees Celsius."""
    return (fahrenheit - 32) / 1.8


def ground_year(place: Property) -> GroundYear | None:
    """Return the year of a property's ground: its own, by its latitude, or None."""
    if place.ground_coldest_f is not None and place.ground_warmest_f is not None:
        coldest, warmest = celsius(place.ground_coldest_f), celsius(place.ground_warmest_f)
        return year_between(coldest, warmest, place.latitude)
    return None if place.latitude is None else year_at(place.latitude)


def warmth_at(place: Property, on: date, temperature_f: float | None = None) -> Warmth:
    """Return how warm wire and coil were on a day; what no ground has counts as not measured."""
    measured = None
    if temperature_f is not None and is_ground_temperature(temperature_f):
        measured = celsius(temperature_f)
    return warmth_on(on, ground_year(place), measured)


def is_ground_temperature(temperature_f: float) -> bool:
    """Return whether ground can be so warm."""
    return LEAST_GROUND_F <= temperature_f <= MOST_GROUND_F
