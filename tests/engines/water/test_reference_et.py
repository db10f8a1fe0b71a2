"""Reference evapotranspiration: the examples of FAO paper 56, and what the library is kept from.

Sources: FAO Irrigation and Drainage Paper 56 (1998), its examples as found in the tests of two
libraries of evapotranspiration; a year of a desert station (Fallon, Nevada, 2015) with results of
a university's program, as found in the tests of the library that is used here.
"""

import math

import numpy as np
import pytest
from refet import Daily

from sites.water.engines.reference_et import (
    ImpossibleWeather,
    Place,
    Weather,
    eto_from_temperatures_mm,
    eto_mm,
    saturation_kpa,
    sun_above_air_mj_per_m2,
    vapour_from_humidity_kpa,
)

UCCLE = Place(latitude=50.80, elevation_m=100, wind_height_m=10)
# As the library's own figures take it; it is 0.041840 (from memory).
LIBRARYS_MJ_PER_LANGLEY = 0.041868
FALLON = Place(latitude=39.4575, elevation_m=1208.5, wind_height_m=3)


def test_vapour_from_humidity() -> None:
    """Example 5: 1.70 kPa."""
    assert vapour_from_humidity_kpa(18, 25, 82, 54) == pytest.approx(1.70, abs=0.005)


def test_sun_above_the_air() -> None:
    """Example 8: 32.2 MJ at 20 degrees south on the 246th day."""
    assert sun_above_air_mj_per_m2(-20, 246) == pytest.approx(32.2, abs=0.05)
    assert sun_above_air_mj_per_m2(-20, 246) == pytest.approx(32.194, abs=0.001)


def test_a_day_in_july_at_uccle() -> None:
    """Example 18: 3.9 mm; 3.8806 by the library, 3.8805 by hand below."""
    vapour = vapour_from_humidity_kpa(12.3, 21.5, 84, 63)
    assert vapour == pytest.approx(1.4086, abs=5e-5)
    found = eto_mm(Weather(12.3, 21.5, vapour, 22.07, 2.78), UCCLE, 187)
    assert found == pytest.approx(3.9, abs=0.05)
    assert found == pytest.approx(3.8806, abs=5e-4)
    assert found == pytest.approx(by_hand(12.3, 21.5, vapour, 22.07, 2.78, UCCLE, 187), abs=0.005)


def by_hand(
    coldest: float,
    hottest: float,
    vapour: float,
    sun: float,
    wind: float,
    place: Place,
    day: int,
    *,
    soil_mj: float = 0.0,
    mean: float | None = None,
) -> float:
    """Equations 6, 7, 8, 12 and 47 of the paper, implemented independently of the library."""
    temperature = (coldest + hottest) / 2 if mean is None else mean
    slope = 4098 * saturation_kpa(temperature) / (temperature + 237.3) ** 2
    clear = (0.75 + 2e-5 * place.elevation_m) * sun_above_air_mj_per_m2(place.latitude, day)
    kelvin4 = ((hottest + 273.16) ** 4 + (coldest + 273.16) ** 4) / 2
    leaving = 4.903e-9 * kelvin4 * (0.34 - 0.14 * math.sqrt(vapour))
    leaving *= 1.35 * min(sun / clear, 1) - 0.35
    net = 0.77 * sun - leaving
    gamma = 0.665e-3 * 101.3 * ((293 - 0.0065 * place.elevation_m) / 293) ** 5.26
    u2 = wind
    if place.wind_height_m != 2:
        u2 = wind * 4.87 / math.log(67.8 * place.wind_height_m - 5.42)
    lacking = (saturation_kpa(coldest) + saturation_kpa(hottest)) / 2 - vapour
    above = 0.408 * slope * (net - soil_mj) + gamma * 900 / (temperature + 273) * u2 * lacking
    return above / (slope + gamma * (1 + 0.34 * u2))


def test_a_month_in_bangkok_shows_why_days_alone_are_worked_out() -> None:
    """Example 17: 5.72 mm a day with the soil's heat, which the library does not know: 5.756."""
    place = Place(latitude=13 + 44 / 60, elevation_m=2)
    above = sun_above_air_mj_per_m2(place.latitude, 105)
    light = (
        24
        / math.pi
        * math.acos(
            -math.tan(math.radians(place.latitude))
            * math.tan(0.409 * math.sin(2 * math.pi / 365 * 105 - 1.39))
        )
    )
    sun = (0.25 + 0.5 * 8.5 / light) * above
    assert above == pytest.approx(38.06, abs=0.01)
    assert sun == pytest.approx(22.65, abs=0.01)
    warmed = 0.14 * (30.2 - 29.2)
    with_soil = by_hand(25.6, 34.8, 2.85, sun, 2, place, 105, soil_mj=warmed, mean=30.2)
    assert with_soil == pytest.approx(5.72, abs=0.01)
    without = eto_mm(Weather(25.6, 34.8, 2.85, sun, 2), place, 105)
    assert without == pytest.approx(5.7557, abs=0.002)
    assert abs(without - 5.72) > 0.03


def test_temperatures_alone_at_lyon() -> None:
    """Example 20: 5.0 mm. Another library's second method would say 4.40."""
    found = eto_from_temperatures_mm(14.8, 26.6, 45.72, 196)
    assert found == pytest.approx(5.0, abs=0.05)
    assert found == pytest.approx(5.0331, abs=5e-4)
    assert abs(found - 4.40) > 0.5


def fallon(
    low_f: float, high_f: float, dew_f: float, langleys: float, mph: float, *, per_ly: float
) -> Weather:
    """Return a day at Fallon from the units of its records."""
    low, high, dew = ((each - 32) / 1.8 for each in (low_f, high_f, dew_f))
    return Weather(low, high, saturation_kpa(dew), langleys * per_ly, mph * 0.44704)


def test_a_day_at_fallon_as_the_library_publishes_it() -> None:
    """1 July 2015: short reference 7.997969 mm; its own factor of a langley."""
    day = fallon(66.65, 102.80, 49.84, 674.07, 4.80, per_ly=LIBRARYS_MJ_PER_LANGLEY)
    assert eto_mm(day, FALLON, 182) == pytest.approx(7.997969, abs=1e-5)


# Lowest and highest F, langleys, dew point F, mph, day, and the university's own result, mm.
YEAR = [
    (0.11, 31.58, 224.76, 1.26, 1.42, 1, 0.41, 0.4486),
    (30.54, 83.00, 642.80, 13.77, 7.71, 103, 7.22, 7.2185),
    (52.50, 82.10, 740.84, 41.03, 4.07, 147, 6.23, 6.2520),
    (50.69, 84.70, 770.93, 30.20, 7.09, 152, 7.91, 7.9085),
    (52.25, 90.40, 763.71, 46.80, 2.24, 163, 6.19, 6.2189),
]


@pytest.mark.parametrize("row", YEAR)
def test_days_of_a_year_at_fallon(row: tuple[float, ...]) -> None:
    """Results published with the data (found), which clear skies reckon otherwise: within 0.1."""
    low, high, langleys, dew, mph, day, published, computed = row
    found = eto_mm(
        fallon(low, high, dew, langleys, mph, per_ly=LIBRARYS_MJ_PER_LANGLEY), FALLON, int(day)
    )
    assert found == pytest.approx(computed, abs=5e-4)
    assert found == pytest.approx(published, abs=0.1)


@pytest.mark.parametrize("row", YEAR)
def test_the_library_agrees_with_the_university_by_the_other_method(
    row: tuple[float, ...],
) -> None:
    low, high, langleys, dew, mph, day, published, _ = row
    weather = fallon(low, high, dew, langleys, mph, per_ly=LIBRARYS_MJ_PER_LANGLEY)
    found = Daily(
        tmin=np.array([weather.coldest_c]), tmax=np.array([weather.hottest_c]),
        ea=np.array([weather.vapour_kpa]), rs=np.array([weather.sun_mj_per_m2]),
        uz=np.array([weather.wind_m_per_s]), zw=3.0, elev=1208.5, lat=39.4575, doy=int(day),
        method="refet", rso_type="full",
    ).eto()[0]  # fmt: skip
    assert found == pytest.approx(published, abs=0.008)


def test_the_librarys_default_of_old_is_not_used() -> None:
    """Its other method says 3.842 for example 18."""
    vapour = vapour_from_humidity_kpa(12.3, 21.5, 84, 63)
    other = Daily(
        tmin=np.array([12.3]), tmax=np.array([21.5]), ea=np.array([vapour]),
        rs=np.array([22.07]), uz=np.array([2.78]), zw=10.0, elev=100.0, lat=50.8, doy=187,
        method="refet",
    ).eto()[0]  # fmt: skip
    assert other == pytest.approx(3.842, abs=1e-3)
    assert eto_mm(Weather(12.3, 21.5, vapour, 22.07, 2.78), UCCLE, 187) > other + 0.03


def test_whole_numbers_are_taken_and_one_number_comes_back() -> None:
    """The library by itself fails on whole numbers and answers with an array."""
    found = eto_mm(Weather(12, 22, 1, 22, 3), Place(39, 100, 10), 187)
    assert isinstance(found, float)
    with pytest.raises((TypeError, np.exceptions.DTypePromotionError)):
        Daily(tmin=12, tmax=22, ea=1, rs=22, uz=3, zw=10, elev=100, lat=39, doy=187).eto()


NAN = float("nan")


@pytest.mark.parametrize(
    ("values", "what"),
    [
        ((25, 20, 1.4, 22, 2), "temperatures"),
        ((NAN, 20, 1.4, 22, 2), "temperatures"),
        ((12, 99, 1.4, 22, 2), "temperatures"),
        ((12, 22, 9.0, 22, 2), "humidity"),
        ((12, 22, NAN, 22, 2), "humidity"),
        ((12, 22, 1.4, 80, 2), "sun"),
        ((12, 22, 1.4, NAN, 2), "sun"),
        ((12, 22, 1.4, 22, -2), "wind"),
        ((12, 22, 1.4, 22, NAN), "wind"),
    ],
)
def test_weather_that_cannot_be_is_refused_before_the_library_sees_it(
    values: tuple[float, ...], what: str
) -> None:
    """By itself it makes 6.45 mm of a night hotter than its day and a wind of -2."""
    with pytest.raises(ImpossibleWeather) as refused:
        Weather(*values)
    assert refused.value.what == what


@pytest.mark.parametrize("given", [(90, 0, 2), (40, 9000, 2), (40, 0, 0), (NAN, 0, 2)])
def test_places_that_cannot_be_are_refused(given: tuple[float, ...]) -> None:
    with pytest.raises(ImpossibleWeather):
        Place(*given)


def test_humidity_beyond_its_ends_is_refused() -> None:
    for most, least in ((101, 50), (50, 60), (50, -1)):
        with pytest.raises(ImpossibleWeather):
            vapour_from_humidity_kpa(12, 22, most, least)


def test_a_night_hotter_than_its_day_has_no_estimate_either() -> None:
    with pytest.raises(ImpossibleWeather):
        eto_from_temperatures_mm(20, 10, 45, 196)
