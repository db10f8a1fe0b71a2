"""The mean cumulative function: how many faults a stretch has had by an age, on average.

Stretches are observed for different times; each counts as long as it is observed, the last day
included. The variance keeps what belongs to one stretch together: faults of one leg come in
runs, and taking each as independent would make the band too narrow.

Source: Lawless and Nadeau (1995) for the robust variance, formula from memory; tests hold values
computed three ways.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from reports.hotspots.engines.rates import Interval
from reports.hotspots.engines.trend import History

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


def mean_cumulative(histories: Sequence[History]) -> list[CurvePoint]:
    """Return a point for each age at which a fault came, in order.

    With A the sum of 1 / at risk over a stretch's own faults and H the sum of faults / at risk
    squared over all, the variance at an age is the sum of (A - H) squared, H held where a
    stretch's observation ended. Kept as three sums over the stretches still observed, one pass
    over faults and ends is enough.
    """
    faults: dict[float, list[int]] = defaultdict(list)
    for number, one in enumerate(histories):
        for time in one.times:
            faults[time].append(number)
    ends = sorted((one.end, number) for number, one in enumerate(histories))
    own = [0.0] * len(histories)
    at_risk, sum_own, sum_squares, ended, held, mean = len(histories), 0.0, 0.0, 0.0, 0.0, 0.0
    next_end = 0
    points: list[CurvePoint] = []
    for age in sorted(faults):
        while next_end < len(ends) and ends[next_end][0] < age:
            number = ends[next_end][1]
            ended += (own[number] - held) ** 2
            sum_own -= own[number]
            sum_squares -= own[number] ** 2
            at_risk -= 1
            next_end += 1
        for number in faults[age]:
            sum_squares += (own[number] + 1 / at_risk) ** 2 - own[number] ** 2
            own[number] += 1 / at_risk
            sum_own += 1 / at_risk
        here = len(faults[age])
        mean += here / at_risk
        held += here / at_risk**2
        variance = ended + sum_squares - 2 * held * sum_own + at_risk * held**2
        points.append(CurvePoint(age, at_risk, mean, float(np.sqrt(max(variance, 0.0)))))
    return points
