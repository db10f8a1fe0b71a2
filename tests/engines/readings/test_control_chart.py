"""The individuals chart agrees with a published example, and keeps its word on false alarms."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.readings.engines.control_chart import (
    creeping_chance,
    false_alarm_chance,
    judge_newest,
    limits_of,
    since_restart,
)

# NIST/SEMATECH e-Handbook, section 6.3.2.2, ten batches: mean 50.81, mean moving range 1.8778,
# limits 45.8159 and 55.8041 (answers found in a stored text; data from memory, which they fit).
NIST = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]


def test_limits_of_the_handbooks_ten_batches() -> None:
    limits = limits_of(NIST)
    assert limits is not None
    assert limits.centre == pytest.approx(50.81)
    assert limits.mean_moving_range == pytest.approx(1.8778, abs=5e-5)
    assert limits.upper == pytest.approx(55.8041, abs=5e-5)
    assert limits.lower == pytest.approx(45.8159, abs=5e-5)


def test_fewer_than_five_readings_set_no_limits() -> None:
    assert limits_of(NIST[:4]) is None
    assert judge_newest(NIST[:4]).limits is None


def test_a_reading_above_the_limits_creeps() -> None:
    assert judge_newest([*NIST, 58.0]).is_creeping
    assert not judge_newest([*NIST, 54.0]).is_creeping


def test_five_readings_that_rise_one_after_another_creep() -> None:
    assert judge_newest([30, 31, 30, 30.1, 30.2, 30.3, 30.4]).is_rising


@pytest.mark.parametrize(
    ("last_five", "rises"),
    [
        ([30.0, 30.1, 30.2, 30.3, 30.4], True),
        ([30.0, 30.0, 30.1, 30.2, 30.3], False),
        ([30.0, 30.1, 30.2, 30.3, 30.3], False),
        ([30.0, 30.1, 30.1, 30.2, 30.3], False),
        ([30.0, 30.1, 30.2, 30.3, 30.2], False),
    ],
)
def test_two_equal_readings_in_a_row_are_no_rise(last_five: list[float], rises: bool) -> None:
    assert judge_newest([31.0, *last_five]).is_rising is rises
    assert judge_newest(last_five).is_rising is rises
    assert not judge_newest(last_five[1:]).is_rising


@pytest.mark.parametrize(("off", "flagged"), [(-1e-6, False), (0.0, False), (1e-6, True)])
def test_a_reading_on_the_limit_itself_is_within(off: float, flagged: bool) -> None:
    limits = limits_of(NIST)
    assert limits is not None
    above = judge_newest([*NIST, limits.upper + off])
    below = judge_newest([*NIST, limits.lower - off])
    assert (above.is_above, above.is_below) == (flagged, False)
    assert (below.is_above, below.is_below) == (False, flagged)


@pytest.mark.parametrize(
    ("newest", "above", "below"),
    [
        (30.5, False, False),
        (30.51, True, False),
        (29.5, False, False),
        (29.49, False, True),
    ],
)
def test_half_a_band_itself_is_within(newest: float, above: bool, below: bool) -> None:
    found = judge_newest([30.0] * 6 + [newest], least_band=0.5)
    assert (found.is_above, found.is_below) == (above, below)


def test_equal_readings_flag_nothing_within_the_meters_own_band() -> None:
    assert not judge_newest([30.0] * 6 + [30.3], least_band=0.5).is_above
    assert judge_newest([30.0] * 6 + [31.0], least_band=0.5).is_above


@pytest.mark.parametrize("count", [5, 8, 15, 30])
def test_false_alarms_come_as_often_as_stated(count: int) -> None:
    draws = np.random.default_rng(7).standard_normal((4000, count + 1)) * 0.4 + 35
    flagged = sum(
        verdict.is_above or verdict.is_below
        for verdict in (judge_newest(list(row)) for row in draws)
    )
    stated = false_alarm_chance(count)
    assert flagged / 4000 == pytest.approx(stated, abs=4 * (stated / 4000) ** 0.5)


@pytest.mark.parametrize("count", [4, 5, 8, 15])
def test_a_sound_station_is_called_creeping_as_often_as_stated(count: int) -> None:
    draws = np.random.default_rng(11).standard_normal((4000, count + 1)) * 0.4 + 35
    flagged = sum(judge_newest(list(row)).is_creeping for row in draws)
    stated = creeping_chance(count)
    assert stated is not None
    assert flagged / 4000 == pytest.approx(stated, abs=4 * (stated / 4000) ** 0.5)


def test_five_that_rise_come_once_in_120_orders() -> None:
    # 1 / 5!: by counting orders.
    assert creeping_chance(4) == pytest.approx(1 / 120, rel=0.2)
    assert creeping_chance(3) is None


def test_many_readings_come_near_the_textbooks_one_in_370() -> None:
    assert false_alarm_chance(400) == pytest.approx(1 / 370, abs=1.5e-3)
    assert false_alarm_chance(5) > false_alarm_chance(30)


def test_a_new_coil_starts_a_new_chart() -> None:
    assert since_restart([30.0, 31.0, 40.0], [False, False, True]) == [40.0]
    assert since_restart([30.0, 31.0, 40.0], [False, False, False]) == [30.0, 31.0, 40.0]
    assert since_restart([30.0, 50.0, 40.0], [True, True, False]) == [50.0, 40.0]


@given(st.lists(st.floats(1, 100), min_size=5, max_size=20), st.floats(0.1, 10))
def test_another_unit_changes_no_verdict(values: list[float], factor: float) -> None:
    one, other = limits_of(values), limits_of([value * factor for value in values])
    assert one is not None
    assert other is not None
    assert other.upper == pytest.approx(one.upper * factor, rel=1e-6, abs=1e-6)
