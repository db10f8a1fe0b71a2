"""Reference evapotranspiration (ETo) of a day from raw weather, and from temperatures alone.

The full equation is left to the refet library, which checks nothing by itself: what goes in is
checked here first and handed over as floats, in MJ, with the method of ASCE-EWRI 2005. It knows
no soil heat, so that it is sound for days and not for months. Where a value is missing there is
no result; nothing is filled in.

Source: FAO Irrigation and Drainage Paper 56 (1998): equations 21, 52 and those for vapour
pressure; confirmed by its examples in tests/engines/water/test_reference_et.py.
"""

import math
from dataclasses import dataclass
from typing import Any

from sites.kernel.lazily import lazily

np, refet = lazily("numpy"), lazily("refet")

SOLAR_MJ_PER_M2_MIN = 0.0820
MM_PER_MJ = 0.408
MM_PER_IN = 25.4
HOTTEST_C, COLDEST_C = 60.0, -60.0


class ImpossibleWeather(ValueError):
    """A value, or two together, that no weather has; `what` names it for the caller."""

    def __init__(self, what: str) -> None:
        super().__init__(f"Expected weather that can be, got: {what}")
        self.what = what


@dataclass(frozen=True)
class Place:
    """Where weather was measured, and how high above the ground its wind."""

    latitude: float
    elevation_m: float
    wind_height_m: float = 2.0

    def __post_init__(self) -> None:
        if not -66 <= self.latitude <= 66:
            raise ImpossibleWeather("latitude")
        if not -450 <= self.elevation_m <= 6000:
            raise ImpossibleWeather("elevation")
        if not 0.1 < self.wind_height_m <= 100:
            raise ImpossibleWeather("wind height")


@dataclass(frozen=True)
class Weather:
    """One day: temperatures in C, vapour pressure in kPa, sun in MJ/m2, wind in m/s."""

    coldest_c: float
    hottest_c: float
    vapour_kpa: float
    sun_mj_per_m2: float
    wind_m_per_s: float

    def __post_init__(self) -> None:
        _refuse_temperatures(self.coldest_c, self.hottest_c)
        if not 0 <= self.vapour_kpa <= saturation_kpa(self.hottest_c) * 1.05:
            raise ImpossibleWeather("humidity")
        if not 0 <= self.sun_mj_per_m2 <= 45:
            raise ImpossibleWeather("sun")
        if not 0 <= self.wind_m_per_s <= 60:
            raise ImpossibleWeather("wind")


def _refuse_temperatures(coldest_c: float, hottest_c: float) -> None:
    # A comparison with "not a number" is false, so this refuses it too.
    if not COLDEST_C <= coldest_c <= hottest_c <= HOTTEST_C:
        raise ImpossibleWeather("temperatures")


def saturation_kpa(temperature_c: float) -> float:
    """Return the vapour pressure of saturated air (equation 11)."""
    return 0.6108 * math.exp(17.27 * temperature_c / (temperature_c + 237.3))


def vapour_from_humidity_kpa(
    coldest_c: float, hottest_c: float, most_percent: float, least_percent: float
) -> float:
    """Return the vapour pressure from the greatest and the least humidity of a day (17)."""
    if not 0 <= least_percent <= most_percent <= 100:
        raise ImpossibleWeather("humidity")
    at_night = saturation_kpa(coldest_c) * most_percent / 100
    at_noon = saturation_kpa(hottest_c) * least_percent / 100
    return (at_night + at_noon) / 2


def sun_above_air_mj_per_m2(latitude: float, day_of_year: int) -> float:
    """Return the sun that reaches the top of the air in a day, Ra (21)."""
    where = math.radians(latitude)
    angle = 2 * math.pi * day_of_year / 365
    nearness = 1 + 0.033 * math.cos(angle)
    tilt = 0.409 * math.sin(angle - 1.39)
    sunset = math.acos(max(-1.0, min(1.0, -math.tan(where) * math.tan(tilt))))
    height = sunset * math.sin(where) * math.sin(tilt)
    swing = math.cos(where) * math.cos(tilt) * math.sin(sunset)
    return 24 * 60 / math.pi * SOLAR_MJ_PER_M2_MIN * nearness * (height + swing)


def eto_mm(weather: Weather, place: Place, day_of_year: int) -> float:
    """Return the reference evapotranspiration of a day, mm."""
    return float(_daily(weather, place, day_of_year).eto()[0])


def _daily(weather: Weather, place: Place, day_of_year: int) -> Any:
    # Arrays of floats: the library fails on whole numbers, and always answers with an array.
    def one(value: float) -> Any:
        return np.array([value], dtype=float)

    return refet.Daily(
        tmin=one(weather.coldest_c),
        tmax=one(weather.hottest_c),
        ea=one(weather.vapour_kpa),
        rs=one(weather.sun_mj_per_m2),
        uz=one(weather.wind_m_per_s),
        zw=float(place.wind_height_m),
        elev=float(place.elevation_m),
        lat=float(place.latitude),
        doy=day_of_year,
        method="asce",
    )


def eto_from_temperatures_mm(
    coldest_c: float, hottest_c: float, latitude: float, day_of_year: int
) -> float:
    """Return an estimate from temperatures alone, mm (52). Say so wherever it is shown."""
    _refuse_temperatures(coldest_c, hottest_c)
    sun_mm = MM_PER_MJ * sun_above_air_mj_per_m2(latitude, day_of_year)
    mean = (coldest_c + hottest_c) / 2
    return max(0.0, 0.0023 * (mean + 17.8) * math.sqrt(hottest_c - coldest_c) * sun_mm)
