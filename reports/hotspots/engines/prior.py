"""How much legs differ beyond chance: the gamma distribution that fits counts and exposures.

Each leg's rate is taken as drawn from a gamma distribution with a mean and a shape; counts given
the rate are Poisson. The fit is by mean and shape: where legs differ no more than chance makes
them, the shape runs to infinity, all legs share one rate, and none stands out. Bounding the two
usual parameters by themselves would hide that and flag legs that only had bad luck.

Source: gamma-Poisson empirical Bayes, as with the pump failures of Gaver and O'Muircheartaigh
(1987); the likelihood is that of the negative binomial.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from reports.hotspots.engines.rates import Floats, count_limits
from sites.kernel.lazily import lazily

optimize, special = lazily("scipy.optimize"), lazily("scipy.special")

# No register is large enough to tell a shape beyond this from infinity.
LARGEST_LOG_SHAPE = 12.0
GAIN_NEEDED = 1e-6


class NothingToFit(ValueError):
    """No fault, or no leg that was observed."""


@dataclass(frozen=True, slots=True)
class Prior:
    """The mean rate of legs, and how alike they are; an infinite shape says all are alike."""

    mean: float
    shape: float

    @property
    def is_pooled(self) -> bool:
        """Whether legs differ no more than chance makes them."""
        return not np.isfinite(self.shape)

    @property
    def exposure(self) -> float:
        """The exposure that the prior is worth, in the unit of the fit."""
        return self.shape / self.mean


@dataclass(frozen=True, slots=True)
class Shrunken:
    """The rates of legs given their counts: mean and interval for each, in order."""

    mean: Floats
    low: Floats
    high: Floats


def fit_prior(counts: ArrayLike, exposures: ArrayLike) -> Prior:
    """Fit mean and shape by the largest likelihood.

    Raises:
        NothingToFit: no fault was counted, or nothing was observed.
    """
    y = np.asarray(counts, dtype=np.float64)
    e = np.asarray(exposures, dtype=np.float64)
    y, e = y[e > 0], e[e > 0]
    if y.sum() == 0:
        raise NothingToFit("Expected at least one fault on a leg that was observed")
    pooled = float(y.sum() / e.sum())
    # Legs of one count and one exposure say the same: rare counts, so there are few kinds.
    kinds, times = np.unique(np.column_stack([y, e]), axis=0, return_counts=True)
    y, e, n = kinds[:, 0], kinds[:, 1], times.astype(np.float64)
    best: tuple[float, float, float] | None = None
    for start in (_by_moments(y, e, n, pooled), 1.0):
        found = optimize.minimize(
            _misfit,
            np.array([np.log(pooled), np.log(start)]),
            args=(y, e, n),
            jac=True,
            # Its whole state is two numbers: a solver that calls BLAS would wait for threads.
            method="BFGS",
            options={"gtol": 1e-7, "maxiter": 500},
        )
        if best is None or found.fun < best[0]:
            best = (float(found.fun), float(found.x[0]), float(found.x[1]))
    assert best is not None
    if best[0] > _pooled_misfit(y, e, n, pooled) - GAIN_NEEDED or best[2] >= LARGEST_LOG_SHAPE:
        return Prior(pooled, float("inf"))
    return Prior(float(np.exp(best[1])), float(np.exp(best[2])))


def _by_moments(y: Floats, e: Floats, n: Floats, mean: float) -> float:
    excess = float((n * ((y - mean * e) ** 2 - y)).sum())
    return float(np.clip((n * (mean * e) ** 2).sum() / excess, 0.05, 1e4)) if excess > 0 else 50.0


def _misfit(at: Floats, y: Floats, e: Floats, n: Floats) -> tuple[float, Floats]:
    """Minus the log likelihood at (log mean, log shape), and its slope; constants left out."""
    mean, a = np.exp(np.clip(at[0], -60, 60)), np.exp(np.clip(at[1], -8, 30))
    expected = mean * e
    fit = (
        special.gammaln(a + y)
        - special.gammaln(a)
        - y * np.log1p(a / expected)
        - a * np.log1p(expected / a)
    )
    by_mean = a * (y - expected) / (a + expected)
    by_shape = a * (
        special.digamma(a + y)
        - special.digamma(a)
        - np.log1p(expected / a)
        - (y - expected) / (a + expected)
    )
    return -float((n * fit).sum()), -np.array([(n * by_mean).sum(), (n * by_shape).sum()])


def _pooled_misfit(y: Floats, e: Floats, n: Floats, mean: float) -> float:
    """What `_misfit` tends to as the shape grows without end."""
    expected = mean * e
    return -float((n * (y * np.log(expected) - expected)).sum())


def shrink(prior: Prior, counts: ArrayLike, exposures: ArrayLike, *, total: float) -> Shrunken:
    """Return each leg's rate between its own and that of all, with a 95 % interval.

    Args:
        total: faults behind the prior's mean; where legs are alike, they give its interval.
    """
    y = np.asarray(counts, dtype=np.float64)
    e = np.asarray(exposures, dtype=np.float64)
    if prior.is_pooled:
        low, high = count_limits(total)
        ones = np.ones_like(y) * prior.mean
        return Shrunken(ones, ones * float(low) / total, ones * float(high) / total)
    shape, exposure = prior.shape + y, prior.exposure + e
    return Shrunken(
        shape / exposure,
        special.gammaincinv(shape, 0.025) / exposure,
        special.gammainccinv(shape, 0.025) / exposure,
    )
