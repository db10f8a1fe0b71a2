"""Shrinking rates: the pump failures, and legs that differ only by chance."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, special

from reports.hotspots.engines.prior import NothingToFit, fit_prior, shrink
from reports.hotspots.engines.rates import Floats

# Pump failures and thousands of hours (Gaver and O'Muircheartaigh, 1987). Copies with 18 or 20
# failures of the sixth pump are wrong.
FAILURES = [5, 1, 5, 14, 3, 19, 1, 1, 4, 22]
ROUNDED = [94.3, 15.7, 62.9, 126, 5.24, 31.4, 1.05, 1.05, 2.1, 10.5]
EXACT = [94.32, 15.72, 62.88, 125.76, 5.24, 31.44, 1.05, 1.05, 2.10, 10.48]
# Largest likelihood of the negative binomial by two optimisers of scipy 1.17.1 that agree.
# (shape, exposure that the prior is worth, posterior means)
FITS = [
    (
        ROUNDED,
        (0.822966, 1.261656),
        [0.06093, 0.10748, 0.09075, 0.11648, 0.58800, 0.60692, 0.7886, 0.7886, 1.4347, 1.94046],
    ),
    (
        EXACT,
        (0.82256, 1.26026),
        [0.06092, 0.10733, 0.09078, 0.11669, 0.58806, 0.60619, 0.7889, 0.7889, 1.43518, 1.94396],
    ),
]


@pytest.mark.parametrize(("hours", "fit", "means"), FITS)
def test_pumps(hours: list[float], fit: tuple[float, float], means: list[float]) -> None:
    prior = fit_prior(FAILURES, hours)
    assert (prior.shape, prior.exposure) == pytest.approx(fit, abs=1e-4)
    found = shrink(prior, FAILURES, hours, total=sum(FAILURES))
    assert list(found.mean) == pytest.approx(means, abs=1e-4)


def test_pumps_as_published() -> None:
    # Found in print: a Monte-Carlo answer of .8221657 and 1.2589865, so the tolerance is wide.
    prior = fit_prior(FAILURES, EXACT)
    assert (prior.shape, prior.exposure) == pytest.approx((0.8221657, 1.2589865), abs=5e-3)


def test_legs_that_differ_by_chance_alone_share_one_rate() -> None:
    prior = fit_prior([1, 1, 0, 1, 1, 1, 0, 1], [1.0] * 8)
    found = shrink(prior, [1, 0], [1.0, 9.0], total=6)
    assert prior.is_pooled
    assert prior.mean == pytest.approx(6 / 8)
    # Garwood's limits of 6 faults, 2.2019 and 13.0595, over 8 legs.
    assert (found.low[0], found.high[0]) == pytest.approx((2.2019 / 8, 13.0595 / 8), abs=1e-4)
    assert found.mean[0] == found.mean[1]


def test_a_short_leg_with_one_fault_does_not_top_a_long_one_with_six() -> None:
    counts, feet = [1, 6, 0, 0, 0, 1, 0, 2], [0.2, 1.5, 2.0, 1.0, 3.0, 2.0, 1.0, 2.0]
    found = shrink(fit_prior(counts, feet), counts, feet, total=10)
    assert found.mean[1] > found.mean[0]
    assert 1 / 0.2 > 6 / 1.5


@pytest.mark.parametrize(("counts", "feet"), [([0, 0], [1, 2]), ([1], [0]), ([], [])])
def test_without_a_fault_there_is_nothing_to_fit(counts: list[int], feet: list[float]) -> None:
    with pytest.raises(NothingToFit):
        fit_prior(counts, feet)


def misfit(at: Floats, y: list[int], e: list[float]) -> float:
    """Minus the log likelihood in the two usual parameters, written out."""
    a, b = np.exp(at)
    counts, feet = np.array(y), np.array(e)
    return -float(
        np.sum(
            special.gammaln(a + counts)
            - special.gammaln(a)
            + a * np.log(b / (b + feet))
            + counts * np.log(feet / (b + feet))
        )
    )


@settings(deadline=None, max_examples=25)
@given(st.lists(st.tuples(st.integers(0, 8), st.floats(0.1, 10)), min_size=5, max_size=40))
def test_no_other_prior_fits_better(rows: list[tuple[int, float]]) -> None:
    counts, feet = [y for y, _ in rows], [e for _, e in rows]
    if sum(counts) == 0:
        return
    prior = fit_prior(counts, feet)
    other = optimize.minimize(misfit, [0.0, 0.0], (counts, feet), method="Nelder-Mead")
    # Beyond a million the written-out likelihood is but rounding, so both are held there.
    theirs = misfit(other.x - max(0.0, other.x[0] - np.log(1e6)), counts, feet)
    shape = min(prior.shape, 1e6)
    ours = misfit(np.log([shape, shape / prior.mean]), counts, feet)
    assert ours <= theirs + 1e-3


def test_a_fit_of_many_legs_finds_what_made_them() -> None:
    random = np.random.default_rng(20260101)
    feet = random.lognormal(0, 0.6, 40_000)
    counts = random.poisson(random.gamma(0.7, 2 / 0.7, 40_000) * feet)
    prior = fit_prior(counts, feet)
    assert (prior.mean, prior.shape) == pytest.approx((2.0, 0.7), rel=0.03)
