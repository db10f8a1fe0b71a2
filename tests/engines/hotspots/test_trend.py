"""Whether faults come faster: values of the handbooks, and what must not be tested."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.hotspots.engines.trend import (
    Direction,
    History,
    power_law,
    trend_of,
)

# NIST/SEMATECH e-Handbook, 8.2.2.3: repair times, observation ends at 1500.
NIST = History((5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478), 1500)
# MIL-HDBK-189 (1981), appendix C, as transcribed; the handbook itself was not seen.
MIL = History(
    (
        *(2.6, 16.5, 16.5, 17.0, 21.4, 29.1, 33.3, 56.5, 63.1, 70.6, 73.0, 77.7, 93.9, 95.5),
        *(98.1, 101.1, 132.0, 142.2, 147.7, 149.0, 167.2, 190.7, 193.0, 198.7, 251.9, 282.5),
        286.1,
    ),
    300,
)


def test_growth_without_bias_as_the_handbook_prints_it() -> None:
    # Same section of the e-Handbook: modified growth, scale, interval at the end.
    law = power_law(NIST, modified=True)
    assert law is not None
    assert law.growth == pytest.approx(0.483506, rel=1e-5)
    assert law.scale == pytest.approx(0.2913003, rel=1e-5)
    assert law.interval_now == pytest.approx(310.234, rel=1e-5)


def test_growth_of_largest_likelihood() -> None:
    # Growth seen in a transcription; scale and interval computed (scipy 1.17.1).
    law = power_law(NIST)
    assert law is not None
    assert (law.growth, law.scale) == pytest.approx((0.537229, 0.196658), rel=1e-5)
    assert law.interval_now == pytest.approx(279.2106, rel=1e-5)


def test_a_rate_that_falls() -> None:
    # Computed; the Laplace value also by reliability 0.9.0, ROCOF.
    found = trend_of([NIST])
    assert (found.chi_square, found.degrees) == (pytest.approx(37.2281, abs=1e-4), 20)
    assert found.slower_p == pytest.approx(0.01099, abs=1e-5)
    assert found.laplace == pytest.approx(-1.32695, abs=1e-5)
    assert found.direction is Direction.SLOWER


def test_the_handbook_example_with_two_faults_on_one_day() -> None:
    law = power_law(MIL)
    assert law is not None
    assert law.growth == pytest.approx(0.7163392624, abs=1e-9)
    assert law.scale == pytest.approx(0.4538418614, abs=1e-9)
    assert law.rate_now == pytest.approx(0.0644705336, abs=1e-9)
    assert law.interval_now == pytest.approx(15.510962, abs=1e-5)
    found = trend_of([MIL])
    assert found.laplace == pytest.approx(-2.318, abs=1e-3)
    assert (found.chi_square, found.degrees) == (pytest.approx(75.3833, abs=1e-4), 54)


def test_gaps_sorted_by_length_show_a_trend_that_never_was() -> None:
    # R's boot::aircondit lists its gaps sorted. Taken as times they "slow down" at U = -3.54
    # (computed): an artefact, and the reason why histories hold days and never sorted gaps.
    gaps = [3, 5, 7, 18, 43, 85, 91, 98, 100, 130, 230, 487]
    times = [sum(gaps[: n + 1]) for n in range(len(gaps))]
    sorted_gaps = trend_of([History(tuple(map(float, times)), float(times[-1]))])
    mixed = [gaps[n] for n in (7, 0, 10, 3, 5, 11, 1, 8, 4, 9, 2, 6)]
    times = [sum(mixed[: n + 1]) for n in range(len(mixed))]
    in_order = trend_of([History(tuple(map(float, times)), float(times[-1]))])
    assert sorted_gaps.direction is Direction.SLOWER
    assert in_order.direction is Direction.NO_TREND_SHOWN


@pytest.mark.parametrize("count", [0, 1, 2])
def test_below_three_faults_nothing_is_said(count: int) -> None:
    found = trend_of([History(tuple(float(n + 90) for n in range(count)), 100)])
    assert found.direction is Direction.TOO_FEW
    assert found.laplace is None


def test_three_late_faults_come_faster() -> None:
    assert trend_of([History((93.0, 96.0, 99.0), 100)]).direction is Direction.FASTER


@pytest.mark.parametrize("time", [0.0, -1.0, 100.5])
def test_a_fault_outside_the_time_observed_is_refused(time: float) -> None:
    with pytest.raises(ValueError, match="0 < time <= 100"):
        History((time,), 100)


@given(st.lists(st.floats(0.01, 1.0), min_size=3, max_size=30), st.floats(0.1, 1000))
def test_the_unit_of_time_changes_nothing(shares: list[float], end: float) -> None:
    one = trend_of([History(tuple(shares), 1.0)])
    other = trend_of([History(tuple(min(share * end, end) for share in shares), end)])
    assert other.p == pytest.approx(one.p, abs=1e-6)


def test_all_faults_on_the_last_day_have_no_growth() -> None:
    assert power_law(History((5.0, 5.0, 5.0), 5.0)) is None
