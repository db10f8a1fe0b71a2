"""What past faults cost."""

from collections.abc import Sequence
from typing import NamedTuple

from sites.kernel.lazily import np


class PastCost(NamedTuple):
    """What past faults cost: the mean, the error of that mean, and how far single ones lie off."""

    mean: float
    se: float
    sd: float


def past_cost(costs: Sequence[float]) -> PastCost | None:
    """Return what past faults cost; None below two of them."""
    if len(costs) < 2:
        return None
    values = np.array(costs, float)
    sd = float(values.std(ddof=1))
    return PastCost(float(values.mean()), sd / len(values) ** 0.5, sd)
