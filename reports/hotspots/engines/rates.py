"""Rates of rare faults: exact intervals, two rates against each other, limits of a funnel.

All of it holds at counts of 0 to 5, where formulas for large counts do not. A count may be
fractional where faults that were never located are spread over legs; the chi-square form of the
interval takes that without change.

Source: the exact interval is Garwood's (1936), in its chi-square form; two rates are compared
given their sum (Przyborowski and Wilenski, 1940); limits of a funnel interpolate the exact
Poisson tail (Spiegelhalter). All three formulas from memory; tests hold published values.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sites.kernel.lazily import lazily, np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
else:
    Floats = Ints = Any

special, stats = lazily("scipy.special"), lazily("scipy.stats")

LEVEL = 0.95


@dataclass(frozen=True, slots=True)
class Interval:
    """The two ends of an interval, in the unit of what it is about."""

    low: float
    high: float

    def overlaps(self, other: "Interval") -> bool:
        """Return whether the two share a value."""
        return self.low <= other.high and other.low <= self.high


def _floats(values: "ArrayLike") -> Floats:
    return np.asarray(values, dtype=np.float64)


def count_limits(counts: "ArrayLike", level: float = LEVEL) -> tuple[Floats, Floats]:
    """Return the exact lower and upper limits of the mean behind each count.

    Raises:
        ValueError: a count is negative, or the level is not between 0 and 1.
    """
    found = _floats(counts)
    if (found < 0).any():
        raise ValueError(f"Expected counts >= 0, got {found.min()}")
    if not 0 < level < 1:
        raise ValueError(f"Expected 0 < level < 1, got {level}")
    tail = (1 - level) / 2
    # Half a chi-square quantile of 2k degrees is the gamma quantile of shape k.
    low = np.where(found > 0, special.gammaincinv(np.where(found > 0, found, 1.0), tail), 0.0)
    return low, special.gammainccinv(found + 1, tail)


def rate_interval(count: float, exposure: float, level: float = LEVEL) -> Interval:
    """Return the exact interval of a rate per unit of exposure.

    Raises:
        ValueError: the exposure is not above 0.
    """
    if not exposure > 0:
        raise ValueError(f"Expected exposure > 0, got {exposure}")
    low, high = count_limits(count, level)
    return Interval(float(low) / exposure, float(high) / exposure)


@dataclass(frozen=True, slots=True)
class TwoRates:
    """Two rates against each other: how many times the second the first is, and the evidence.

    `ratio` is None where the second count is 0; `interval.high` is infinite there.
    """

    ratio: float | None
    interval: Interval
    p: float
    mid_p: float

    @property
    def differ(self) -> bool:
        """Whether chance alone would rarely make such a difference (exact p below 0.05)."""
        return self.p < 1 - LEVEL


def two_rates(
    first: int, first_exposure: float, second: int, second_exposure: float
) -> TwoRates | None:
    """Compare two rates by the exact test given the sum of both counts.

    Returns:
        None where nothing was counted, or nothing observed, on one side: there is no comparison.
    """
    total = first + second
    if total == 0 or not (first_exposure > 0 and second_exposure > 0):
        return None
    share = first_exposure / (first_exposure + second_exposure)
    p = float(stats.binomtest(first, total, share).pvalue)
    mid = max(0.0, p - 0.5 * float(stats.binom.pmf(first, total, share)))
    odds = second_exposure / first_exposure
    low, high = _share_limits(first, total)
    ratio = first / first_exposure / (second / second_exposure) if second else None
    top = high / (1 - high) * odds if high < 1 else float("inf")
    return TwoRates(ratio, Interval(low / (1 - low) * odds, top), p, mid)


def _share_limits(count: int, total: int) -> tuple[float, float]:
    tail = (1 - LEVEL) / 2
    low = float(stats.beta.ppf(tail, count, total - count + 1)) if count else 0.0
    high = float(stats.beta.ppf(1 - tail, count + 1, total - count)) if count < total else 1.0
    return low, high


def funnel_ratios(expected: "ArrayLike", p: float) -> Floats:
    """Return the ratio of found to expected faults that chance stays below with probability p.

    At small expected counts the lower limit is 0: no count is so low that it would surprise.
    """
    mean = _floats(expected)
    if (mean <= 0).any():
        raise ValueError(f"Expected expected counts > 0, got {mean.min()}")
    at: Any = stats.poisson.ppf(p, mean)
    here, before = stats.poisson.cdf(at, mean), stats.poisson.cdf(at - 1, mean)
    limit: Floats = np.maximum(at - (here - p) / (here - before), 0.0) / mean
    return limit
