"""How long a kind of battery set lasts: from sets that were found empty or still charged.

Sets wear out, so lives are Weibull with a shape of 4. Before any set of a kind is known, its scale
is log-normal about the company's own rule. Both are our own assumptions, no source. A set that was
found empty died at the latest on that day; one that still had charge is censored; one of which
nobody said how it was found says nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import exp, log

SHAPE = 4.0
# Standard deviation of the logarithm of the scale: three times in four it lies between two thirds
# of what the rule says and one and a half times that.
PRIOR_SD = 0.35
# A set is due while this share of its kind still runs.
STILL_RUN = 0.9
# Where the scale may lie, in standard deviations from the rule; a grid is as good as exact here.
GRID = tuple(n / 20 for n in range(-140, 141))
BISECTIONS = 50


@dataclass(frozen=True, slots=True)
class Life:
    """One set: the days that it was in, and whether it was found empty."""

    days: int
    is_empty: bool

    def __post_init__(self) -> None:
        if self.days <= 0:
            raise ValueError(f"Expected days > 0, got {self.days}")


@dataclass(frozen=True, slots=True)
class Fit:
    """What the sets of one kind say: how many, how many were empty, and when one is due."""

    total: int
    empty: int
    due_days: int


def fit_lives(lives: Sequence[Life], *, prior_days: int) -> Fit:
    """Return when a set is due, so that nine of ten still run then.

    Args:
        prior_days: when it is due where nothing is known: the company's own rule.

    Raises:
        ValueError: the prior has no days.
    """
    if prior_days <= 0:
        raise ValueError(f"Expected prior_days > 0, got {prior_days}")
    empty = sum(life.is_empty for life in lives)
    # In units of the scale in the middle of the prior, so that no power grows large.
    unit = prior_days / _prior_quantile()
    worn = sum((life.days / unit) ** SHAPE for life in lives)
    return Fit(len(lives), empty, max(1, round(unit * _quantile(empty, worn))))


@cache
def _prior_quantile() -> float:
    return _quantile(0, 0.0)


def _quantile(empty: int, worn: float) -> float:
    """Return by when one of ten has died, over all scales that the sets leave likely."""
    scales = [exp(PRIOR_SD * z) for z in GRID]
    logs = [
        -z * z / 2 - SHAPE * empty * log(scale) - worn / scale**SHAPE
        for z, scale in zip(GRID, scales, strict=True)
    ]
    top = max(logs)
    weights = [exp(each - top) for each in logs]
    whole = sum(weights)
    low, high = 0.0, 2 * scales[-1]
    for _n in range(BISECTIONS):
        middle = (low + high) / 2
        alive = sum(
            weight * exp(-((middle / scale) ** SHAPE))
            for weight, scale in zip(weights, scales, strict=True)
        )
        if alive > STILL_RUN * whole:
            low = middle
        else:
            high = middle
    return (low + high) / 2
