"""Rates at small counts, against published and computed values."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats import rates as reference

from reports.hotspots.engines.rates import (
    count_limits,
    funnel_ratios,
    rate_interval,
    two_rates,
)

# Garwood's exact 95 % limits; statsmodels 0.15.0 confint_poisson(x, 1, method="exact-c") gives
# the same. Rows 0 and 10 were also found in a public calculator's table.
EXACT = {
    0: (0, 3.6889),
    1: (0.0253, 5.5716),
    2: (0.2422, 7.2247),
    3: (0.6187, 8.7673),
    4: (1.0899, 10.2416),
    5: (1.6235, 11.6683),
    6: (2.2019, 13.0595),
    8: (3.4538, 15.7632),
    10: (4.7954, 18.3904),
}


@pytest.mark.parametrize(("count", "limits"), EXACT.items())
def test_exact_limits_of_a_count(count: int, limits: tuple[float, float]) -> None:
    low, high = count_limits(count)
    assert (float(low), float(high)) == pytest.approx(limits, abs=1e-4)
    assert (low, high) == pytest.approx(reference.confint_poisson(count, 1, method="exact-c"))


def test_no_fault_is_not_a_rate_of_zero() -> None:
    found = rate_interval(0, 2.0)
    assert found.low == 0
    assert found.high == pytest.approx(3.6889 / 2, abs=1e-4)


@pytest.mark.parametrize("exposure", [0.0, -1.0, math.nan])
def test_nothing_observed_has_no_rate(exposure: float) -> None:
    with pytest.raises(ValueError, match="exposure > 0"):
        rate_interval(1, exposure)


def test_a_negative_count_is_refused() -> None:
    with pytest.raises(ValueError, match="counts >= 0"):
        count_limits([1, -1])


@given(st.integers(0, 40), st.floats(0.5, 0.999))
def test_limits_enclose_the_count_and_hold_their_tails(count: int, level: float) -> None:
    low, high = (float(each) for each in count_limits(count, level))
    assert low <= count <= high
    assert stats.poisson.cdf(count, high) == pytest.approx((1 - level) / 2)
    if count:
        assert stats.poisson.sf(count - 1, low) == pytest.approx((1 - level) / 2)


def test_two_rates_given_their_sum() -> None:
    # Gu et al. (2008), example 1. Exact and mid-p: values that statsmodels 0.15.0 keeps from R's
    # exactci in its results_rates.py.
    found = two_rates(60, 51477.5, 30, 54308.7)
    assert found is not None
    assert found.p == pytest.approx(0.000675182658686, abs=5e-6)
    assert found.mid_p == pytest.approx(0.000557262406619, abs=5e-6)
    assert found.ratio == pytest.approx(60 / 51477.5 / (30 / 54308.7))
    assert found.interval.low > 1
    assert found.differ


@given(st.integers(0, 8), st.integers(0, 8), st.floats(0.1, 50), st.floats(0.1, 50))
def test_two_rates_agree_with_statsmodels(a: int, b: int, e: float, f: float) -> None:
    found = two_rates(a, e, b, f)
    if a + b == 0:
        assert found is None
        return
    assert found is not None
    if b == 0:  # the other library divides by this rate
        a, e, b, f = b, f, a, e
    other = reference.test_poisson_2indep(a, e, b, f, method="exact-cond")
    assert found.p == pytest.approx(float(other.pvalue), abs=1e-9)
    if found.ratio is not None:
        assert found.interval.low <= found.ratio <= found.interval.high


def test_nothing_on_one_side_is_no_comparison() -> None:
    assert two_rates(3, 1.0, 0, 0.0) is None
    assert two_rates(0, 1.0, 0, 1.0) is None
    only = two_rates(3, 1.0, 0, 1.0)
    assert only is not None
    assert (only.ratio, only.interval.high) == (None, math.inf)


# Computed from the interpolated exact limits (scipy 1.17.1): ratio of found to expected at
# p = .001, .025, .975, .999. The formula is Spiegelhalter's, from memory.
FUNNEL = {
    1: (0, 0, 2.9019, 4.8676),
    2: (0, 0, 2.3831, 3.5563),
    10: (0.1221, 0.3775, 1.6160, 2.0662),
}


@pytest.mark.parametrize(("expected", "limits"), FUNNEL.items())
def test_limits_of_the_funnel(expected: int, limits: tuple[float, ...]) -> None:
    found = [float(funnel_ratios(expected, p)) for p in (0.001, 0.025, 0.975, 0.999)]
    assert found == pytest.approx(limits, abs=1e-4)


def test_a_funnel_needs_something_expected() -> None:
    with pytest.raises(ValueError, match="expected counts > 0"):
        funnel_ratios(np.array([1.0, 0.0]), 0.975)
