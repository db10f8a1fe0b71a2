"""Copper by warmth: the ground's wave, readings at 20 C, and a chart that no season flags."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.readings.engines.control_chart import creeping_chance, judge_newest
from sites.wires.engines.copper import copper_factor
from sites.wires.engines.warmth import (
    COIL_DEPTH_M,
    WIRE_DEPTH_M,
    GroundYear,
    Warmth,
    warmth_on,
    year_at,
    year_between,
)

YEAR = GroundYear(15.0, 12.0)
JANUARY = date(2026, 1, 1)


def on(day: int) -> date:
    """Return the day of the year, 1 January is 1."""
    return JANUARY + timedelta(days=day - 1)


# Worked by hand from the textbook wave (Hillel 1982), diffusivity 5e-7 m2/s: see the engine.
@pytest.mark.parametrize(
    ("depth_m", "day", "celsius"),
    [
        (COIL_DEPTH_M, 35, 4.6232),
        (COIL_DEPTH_M, 100, 9.1910),
        (COIL_DEPTH_M, 200, 24.4880),
        (COIL_DEPTH_M, 300, 17.9616),
        (WIRE_DEPTH_M, 200, 23.5619),
    ],
)
def test_the_wave_of_the_ground(depth_m: float, day: int, celsius: float) -> None:
    assert YEAR.at(depth_m, on(day)) == pytest.approx(celsius, abs=1e-3)


@pytest.mark.parametrize(("ohms", "celsius"), [(46.8, 25.47), (43.0, 4.53)])
def test_two_seasons_of_one_circuit_read_the_same_at_20(ohms: float, celsius: float) -> None:
    assert Warmth(celsius, celsius, 2.0).at_20_c(ohms, 5.05) == pytest.approx(45.8, abs=0.02)


def test_wire_and_coil_are_corrected_each_by_its_own_warmth() -> None:
    wire, coil = 5.05, 40.0
    read = wire * copper_factor(12.0) + coil * copper_factor(4.0)
    assert Warmth(12.0, 4.0, 2.0).at_20_c(read, wire) == pytest.approx(45.05)
    assert Warmth(12.0, 4.0, 2.0).at_20_c(coil * copper_factor(4.0)) == pytest.approx(40.0)
    # Less than the wire is a short on the way: no coil is in it.
    assert Warmth(12.0, 4.0, 2.0).at_20_c(2.0, wire) == pytest.approx(2.0 / copper_factor(12.0))


@given(st.floats(0.1, 200), st.floats(0, 20), st.floats(-20, 50), st.floats(-20, 50))
def test_more_ohms_are_more_at_20_too(ohms: float, wire: float, first: float, other: float) -> None:
    warmth = Warmth(first, other, 2.0)
    assert warmth.at_20_c(ohms * 1.01, wire) > warmth.at_20_c(ohms, wire) > 0


def test_south_of_the_equator_the_year_is_turned_round() -> None:
    north, south = year_at(35.0), year_at(-35.0)
    assert north.at(WIRE_DEPTH_M, on(215)) > north.mean_c + 5
    assert south.at(WIRE_DEPTH_M, on(215)) < south.mean_c - 5
    assert year_at(0.0).swing_c < 1


def test_a_place_may_say_its_own_coldest_and_warmest_ground() -> None:
    year = year_between(6.0, 24.0, 40.0)
    temperatures = [year.at(WIRE_DEPTH_M, on(day)) for day in range(1, 366)]
    assert min(temperatures) == pytest.approx(6.0, abs=0.01)
    assert max(temperatures) == pytest.approx(24.0, abs=0.01)
    assert max(year.at(COIL_DEPTH_M, on(day)) for day in range(1, 366)) > 24.4
    with pytest.raises(ValueError, match="warmest >= coldest"):
        year_between(10.0, 9.0, None)


def test_what_nobody_measured_is_assumed_and_less_sure() -> None:
    day = on(200)
    measured = warmth_on(day, YEAR, 21.0)
    assumed, unknown = warmth_on(day, YEAR), warmth_on(day, None)
    assert (measured.coil_c, measured.is_assumed) == (21.0, False)
    assert (assumed.is_assumed, unknown.is_assumed) == (True, True)
    assert measured.error_c < assumed.error_c < unknown.error_c
    assert unknown.at_20_c(40.0, 5.0) == pytest.approx(40.0)


# A simulated sound station: run, coil, meter and a year of its ground that differs from what its
# latitude makes one expect, by the standard deviations here; monthly readings from any month.
MEAN_SD_C, SWING_SD_C, LATE_SD_DAYS, WEATHER_SD_C, THERMOMETER_SD_C = 2.0, 2.0, 10.0, 1.5, 1.5
STATIONS = 1500


def flagged(*, has_temperature: bool, is_corrected: bool = True, rise_ohms: float = 0.0) -> float:
    """Return which share of stations is called creeping; all have six to fourteen readings."""
    random = np.random.default_rng(20_260_101)
    hits = 0
    for _station in range(STATIONS):
        latitude, count = random.uniform(25, 48), int(random.integers(6, 15))
        expected, wire, coil = year_at(latitude), random.uniform(1, 12), random.uniform(22, 50)
        real = GroundYear(
            expected.mean_c + MEAN_SD_C * random.standard_normal(),
            expected.swing_c + SWING_SD_C * random.standard_normal(),
            expected.coldest_day + LATE_SD_DAYS * random.standard_normal(),
        )
        first = JANUARY + timedelta(days=int(random.integers(0, 365)))
        noise, values, errors = random.uniform(0.05, 0.4), [], []
        for number in range(count):
            day = first + timedelta(days=round(30.4 * number))
            weather = WEATHER_SD_C * random.standard_normal()
            wire_c = real.at(WIRE_DEPTH_M, day) + weather
            coil_c = real.at(COIL_DEPTH_M, day) + weather
            sick = rise_ohms if number == count - 1 else 0.0
            read = wire * copper_factor(wire_c) + coil * copper_factor(coil_c) + sick
            read += noise * random.standard_normal()
            seen = coil_c + THERMOMETER_SD_C * random.standard_normal()
            warmth = warmth_on(day, expected, seen if has_temperature else None)
            values.append(warmth.at_20_c(read, wire) if is_corrected else read)
            errors.append(warmth.error_ohms(values[-1]) if is_corrected else 0.0)
        verdict = judge_newest(values, least_band=1.0, shared_error=max(errors))
        hits += verdict.is_creeping
    return hits / STATIONS


@pytest.mark.parametrize("has_temperature", [True, False])
def test_no_more_sound_stations_creep_than_stated(has_temperature: bool) -> None:
    # What is stated for the longest of these charts is the least that is stated for any.
    stated = creeping_chance(13)
    assert stated is not None
    assert flagged(has_temperature=has_temperature) <= stated


def test_uncorrected_the_season_creeps() -> None:
    assert flagged(has_temperature=False, is_corrected=False) > 0.15


@pytest.mark.parametrize(("has_temperature", "least"), [(True, 0.85), (False, 0.75)])
def test_a_joint_of_five_ohms_is_still_found(has_temperature: bool, least: float) -> None:
    assert flagged(has_temperature=has_temperature, rise_ohms=5.0) > least
