"""How much legs differ beyond chance: the gamma distribution that fits counts and exposures.

Each leg's rate is taken as drawn from a gamma distribution with a mean and a shape; counts given
the rate are Poisson. The fit is by mean and shape: where legs differ no more than chance makes
them, the shape runs to infinity, all legs share one rate, and none stands out. Bounding the two
usual parameters by themselves would hide that and flag legs that only had bad luck.

Source: gamma-Poisson empirical Bayes, as with the pump failures of Gaver and O'Muircheartaigh
(1987); the likelihood is that of the negative binomial.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reports.hotspots.engines.rates import Floats, count_limits
from sites.kernel.lazily import lazily, np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

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


def fit_prior(counts: "ArrayLike", exposures: "ArrayLike") -> Prior:
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
    # As complex numbers they sort at once, where rows of a table would be compared one by one.
    kinds, times = np.unique(y + 1j * e, return_counts=True)
    y, e, n = kinds.real.copy(), kinds.imag.copy(), times.astype(np.float64)
    sums = Sums(y, e, n)
    best: tuple[float, float, float] | None = None
    for start in (_by_moments(y, e, n, pooled), 1.0):
        found = optimize.minimize(
            _misfit,
            np.array([np.log(pooled), np.log(start)]),
            args=(sums,),
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


class Sums:
    """Kinds of legs as the fit asks for them: what no guess changes is worked out once.

    Counts are few different numbers, so functions of them are looked up by `at`.
    """

    def __init__(self, y: Floats, e: Floats, n: Floats) -> None:
        self.y, self.e, self.n = y, e, n
        self.counts, self.at = np.unique(y, return_inverse=True)
        # How many legs had each of these counts.
        self.times = np.bincount(self.at, n, len(self.counts))
        self.log_e = np.log(e)


def _misfit(guess: Floats, sums: Sums) -> tuple[float, Floats]:
    """Minus the log likelihood at (log mean, log shape), and its slope; constants left out."""
    log_mean, log_a = np.clip(guess[0], -60, 60), np.clip(guess[1], -8, 30)
    mean, a = np.exp(log_mean), np.exp(log_a)
    y, n, expected = sums.y, sums.n, mean * sums.e
    alike = np.log1p(expected / a)
    # log1p(a / expected) is the same but for the logarithm of the quotient.
    other_way = alike + (log_a - log_mean) - sums.log_e
    kinds = special.gammaln(a + sums.counts) - special.gammaln(a)
    fit = float((sums.times * kinds).sum()) - float((n * (y * other_way + a * alike)).sum())
    apart = (y - expected) / (a + expected)
    slopes = special.digamma(a + sums.counts) - special.digamma(a)
    by_shape = float((sums.times * slopes).sum()) - float((n * (alike + apart)).sum())
    return -fit, -np.array([a * float((n * apart).sum()), a * by_shape])


def _pooled_misfit(y: Floats, e: Floats, n: Floats, mean: float) -> float:
    """What `_misfit` tends to as the shape grows without end."""
    expected = mean * e
    return -float((n * (y * np.log(expected) - expected)).sum())


def shrunken_mean(prior: Prior, counts: Floats, exposures: Floats) -> Floats:
    """Return each leg's rate between its own and that of all."""
    if prior.is_pooled:
        return np.ones_like(counts) * prior.mean
    mean: Floats = (prior.shape + counts) / (prior.exposure + exposures)
    return mean


def shrink(prior: Prior, counts: "ArrayLike", exposures: "ArrayLike", *, total: float) -> Shrunken:
    """Return each leg's rate between its own and that of all, with a 95 % interval.

    Args:
        total: faults behind the prior's mean; where legs are alike, they give its interval.
    """
    y = np.asarray(counts, dtype=np.float64)
    e = np.asarray(exposures, dtype=np.float64)
    if prior.is_pooled:
        low, high = count_limits(total)
        ones = shrunken_mean(prior, y, e)
        return Shrunken(ones, ones * float(low) / total, ones * float(high) / total)
    shape, exposure = prior.shape + y, prior.exposure + e
    return Shrunken(
        shrunken_mean(prior, y, e),
        special.gammaincinv(shape, 0.025) / exposure,
        special.gammainccinv(shape, 0.025) / exposure,
    )
