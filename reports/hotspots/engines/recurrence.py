"""The mean cumulative function: how many faults a stretch has had by an age, on average.

Stretches are observed for different times; each counts as long as it is observed, the last day
included. The variance keeps what belongs to one stretch together: faults of one leg come in
runs, and taking each as independent would make the band too narrow.

Source: Lawless and Nadeau (1995) for the robust variance, formula from memory; tests hold values
computed three ways.
"""

from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

from reports.hotspots.engines.rates import Floats, Interval, Ints
from sites.kernel.lazily import np

Z95 = NormalDist().inv_cdf(0.975)


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """The mean number of faults by an age, of how many stretches, and its standard error."""

    age: float
    at_risk: int
    mean: float
    error: float

    @property
    def interval(self) -> Interval:
        """The plain 95 % interval; its lower end may lie below 0."""
        return Interval(self.mean - Z95 * self.error, self.mean + Z95 * self.error)


def curve(times: Floats, owners: Ints, ends: Floats) -> list[CurvePoint]:
    """Return a point for each age at which a fault came, in order.

    With A the sum of 1 / at risk over a stretch's own faults and H the sum of faults / at risk
    squared over all, the variance at an age is the sum of (A - H) squared, H held where a
    stretch's observation ended. Three sums over the stretches still observed are enough.

    Args:
        times: of each fault, 0 < t <= its stretch's end.
        owners: the place of each fault's stretch in `ends`.
        ends: when the observation of each stretch ended, that moment included.
    """
    if not len(times):
        return []
    ages, at, here = np.unique(times, return_inverse=True, return_counts=True)
    by_end = np.argsort(ends, kind="stable")
    # How many stretches had ended before each age.
    gone = np.searchsorted(ends[by_end], ages, side="left")
    at_risk = len(ends) - gone
    held = np.cumsum(here / at_risk**2)
    own, square = _own_sums(at, owners, 1 / at_risk[at], len(ages))
    whole = np.bincount(owners, 1 / at_risk[at], len(ends))[by_end]
    # What had been held when each stretch ended: all ages up to its end.
    up_to = np.searchsorted(ages, ends[by_end], side="right")
    apart = (whole - np.concatenate([[0.0], held])[up_to]) ** 2
    ended, left, left_squares = (_running(each)[gone] for each in (apart, whole, whole**2))
    variance = ended + square - left_squares - 2 * held * (own - left) + at_risk * held**2
    errors = np.sqrt(np.maximum(variance, 0.0))
    means = np.cumsum(here / at_risk)
    lines = zip(ages.tolist(), at_risk.tolist(), means.tolist(), errors.tolist(), strict=True)
    return [CurvePoint(*line) for line in lines]


def _running(values: "np.ndarray[Any, Any]") -> Floats:
    return np.concatenate([[0.0], np.cumsum(values)])


def _own_sums(at: Ints, owners: Ints, steps: Floats, ages: int) -> tuple[Floats, Floats]:
    """Return by age the sums over all stretches of A and of A squared, ended ones too."""
    order = np.lexsort((at, owners))
    step, owner = steps[order], owners[order]
    summed = np.cumsum(step)
    is_first = np.concatenate([[True], owner[1:] != owner[:-1]])
    before_all = np.where(is_first, summed - step, 0.0)
    before = summed - step - np.maximum.accumulate(before_all)
    square = np.bincount(at[order], step * (2 * before + step), ages)
    return np.cumsum(np.bincount(at, steps, ages)), np.cumsum(square)
