"""How warm buried copper was when it was read, and what it would read at 20 C.

Copper gains 0.4 % for each degree, so a station's coil alone swings by some ohms between winter
and summer: more than a joint that starts to corrode. Readings are compared at 20 C only. Where
nobody took a temperature, the ground's usual warmth of that day is taken, from a yearly wave.

Sources: temperature of the ground by depth and day, damped and late: the textbook solution of the
heat equation for a yearly wave (Hillel 1982). Diffusivity of moist loam, depths of wire and coil,
the coldest day, and mean and swing by latitude are our own assumptions.
"""

from dataclasses import dataclass
from datetime import date
from math import cos, exp, pi, sqrt

from sites.wires.engines.copper import PER_K_AT_20_C, copper_factor

REFERENCE_C = 20.0
DIFFUSIVITY_M2_PER_S = 5e-7
DAYS_A_YEAR = 365.0
WIRE_DEPTH_M = 0.4572  # 18 in
COIL_DEPTH_M = 0.3048  # 12 in
COLDEST_DAY_NORTH = 35
# Standard errors in degrees: a thermometer stands beside the wire, not in it; the yearly wave
# misses this year's weather; where neither is known the season is.
MEASURED_ERROR_C = 2.0
ASSUMED_ERROR_C = 3.5
UNKNOWN_ERROR_C = 8.0


@dataclass(frozen=True, slots=True)
class Warmth:
    """How warm wire and coil were, with a standard error, all in degrees Celsius."""

    wire_c: float
    coil_c: float
    error_c: float
    is_assumed: bool = False

    def at_20_c(self, ohms: float, wire_ohms: float | None = None) -> float:
        """Return what a reading would be at 20 C.

        Args:
            wire_ohms: how many of its ohms at 20 C are wire; the rest is the coil. A reading of
                less than the wire is wire alone; where it is not known all is taken as the coil.
        """
        wire = (wire_ohms or 0.0) * copper_factor(self.wire_c)
        if ohms <= wire:
            return ohms / copper_factor(self.wire_c)
        return (wire_ohms or 0.0) + (ohms - wire) / copper_factor(self.coil_c)

    def error_ohms(self, at_20_c_ohms: float) -> float:
        """Return the standard error that the warmth leaves in a reading at 20 C."""
        return at_20_c_ohms * PER_K_AT_20_C * self.error_c


@dataclass(frozen=True, slots=True)
class GroundYear:
    """The year of the ground's surface: its mean, half its swing, and its coldest day.

    `is_own` = somebody set it for the place; else it follows from the latitude.
    """

    mean_c: float
    swing_c: float
    coldest_day: float = COLDEST_DAY_NORTH
    is_own: bool = False

    def at(self, depth_m: float, on: date) -> float:
        """Return the temperature at a depth on a day."""
        damping = sqrt(DIFFUSIVITY_M2_PER_S * DAYS_A_YEAR * 86_400 / pi)
        late = depth_m / damping
        turn = 2 * pi * (on.timetuple().tm_yday - self.coldest_day) / DAYS_A_YEAR
        return self.mean_c - self.swing_c * exp(-late) * cos(turn - late)


def year_at(latitude: float) -> GroundYear:
    """Return the year of the ground at a latitude: our own rough fit, no source."""
    north = abs(latitude)
    mean_c = 27.0 - 0.0075 * north**2
    half_year = 0.0 if latitude >= 0 else DAYS_A_YEAR / 2
    return GroundYear(mean_c, 0.5 + 0.27 * north, COLDEST_DAY_NORTH + half_year)


def year_between(coldest_c: float, warmest_c: float, latitude: float | None) -> GroundYear:
    """Return the year of a place where the ground at the wire lies between these two.

    Raises:
        ValueError: the warmest is colder than the coldest.
    """
    if warmest_c < coldest_c:
        raise ValueError(f"Expected warmest >= coldest, got {warmest_c} and {coldest_c}")
    damping = sqrt(DIFFUSIVITY_M2_PER_S * DAYS_A_YEAR * 86_400 / pi)
    swing_c = (warmest_c - coldest_c) / 2 * exp(WIRE_DEPTH_M / damping)
    south = latitude is not None and latitude < 0
    coldest_day = COLDEST_DAY_NORTH + (DAYS_A_YEAR / 2 if south else 0.0)
    return GroundYear((coldest_c + warmest_c) / 2, swing_c, coldest_day, is_own=True)


def warmth_on(on: date, year: GroundYear | None, measured_c: float | None = None) -> Warmth:
    """Return how warm a circuit was: as measured, else as the ground usually is on that day."""
    if measured_c is not None:
        return Warmth(measured_c, measured_c, MEASURED_ERROR_C)
    if year is None:
        return Warmth(REFERENCE_C, REFERENCE_C, UNKNOWN_ERROR_C, is_assumed=True)
    wire_c, coil_c = year.at(WIRE_DEPTH_M, on), year.at(COIL_DEPTH_M, on)
    return Warmth(wire_c, coil_c, ASSUMED_ERROR_C, is_assumed=True)
