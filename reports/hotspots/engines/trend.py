"""Whether faults of one stretch come faster or slower: exact tests and the power law.

Times run from the first day of observation, 0 < t <= end, in any unit; observation ends at
`end`, which is not a fault (time-truncated). Sorting the gaps between faults destroys what a
trend is read from, so only times are taken.

Source: MIL-HDBK-189 (1981), appendix C, for the chi-square test and the power law. Formulas
from memory; tests hold its values and those of the NIST/SEMATECH e-Handbook of Statistical
Methods, 8.2.2 and 8.4.5.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from sites.kernel.lazily import lazily, np

special = lazily("scipy.special")

FEWEST = 3
ALPHA = 0.05


class Direction(StrEnum):
    """What a trend test allows to say."""

    FASTER = "faster"
    SLOWER = "slower"
    NO_TREND_SHOWN = "no trend shown"
    TOO_FEW = "too few"


@dataclass(frozen=True, slots=True)
class History:
    """The faults of one stretch: times since observation began, which ended at `end`.

    Raises:
        ValueError: a time lies outside 0 < t <= end.
    """

    times: tuple[float, ...]
    end: float

    def __post_init__(self) -> None:
        if not self.end > 0:
            raise ValueError(f"Expected end > 0, got {self.end}")
        for time in self.times:
            if not 0 < time <= self.end:
                raise ValueError(f"Expected 0 < time <= {self.end}, got {time}")


@dataclass(frozen=True, slots=True)
class Trend:
    """The exact test of a steady rate, over one stretch or many with ends of their own.

    `faster_p` and `slower_p` are one-sided; `laplace` is None below three faults, where its
    normal form is off.
    """

    count: int
    chi_square: float
    degrees: int
    faster_p: float
    slower_p: float
    laplace: float | None

    @property
    def p(self) -> float:
        """Two-sided: twice the smaller tail."""
        return min(1.0, 2 * min(self.faster_p, self.slower_p))

    @property
    def direction(self) -> Direction:
        """What may be said of it; below three faults nothing."""
        if self.count < FEWEST:
            return Direction.TOO_FEW
        if self.p >= ALPHA:
            return Direction.NO_TREND_SHOWN
        return Direction.FASTER if self.faster_p < self.slower_p else Direction.SLOWER


def trend_of(histories: Sequence[History]) -> Trend:
    """Test whether faults come at a steady rate; each history by its own end."""
    parts = [time / one.end for one in histories for time in one.times]
    count = len(parts)
    if count == 0:
        return Trend(0, 0.0, 0, 1.0, 1.0, None)
    shares = np.array(parts)
    chi_square = float(-2 * np.log(shares).sum())
    degrees = 2 * count
    laplace = None
    if count >= FEWEST:
        laplace = float((shares.mean() - 0.5) * np.sqrt(12 * count))
    return Trend(
        count,
        chi_square,
        degrees,
        float(special.chdtr(degrees, chi_square)),
        float(special.chdtrc(degrees, chi_square)),
        laplace,
    )


@dataclass(frozen=True, slots=True)
class PowerLaw:
    """Expected faults by time t: scale x t ** growth. Growth above 1: faults come faster."""

    growth: float
    scale: float
    count: int
    end: float

    @property
    def rate_now(self) -> float:
        """Faults per unit of time at the end of observation."""
        return self.count * self.growth / self.end

    @property
    def interval_now(self) -> float:
        """Time between faults at the end of observation."""
        return 1 / self.rate_now


def power_law(history: History, *, modified: bool = False) -> PowerLaw | None:
    """Fit the power law; None below three faults.

    Args:
        modified: take the growth without its bias, (n - 1) / S, in place of n / S.
    """
    n = len(history.times)
    if n < FEWEST:
        return None
    logs = float(np.log(history.end / np.array(history.times)).sum())
    if logs == 0:  # all on the last day: the law has no finite growth
        return None
    growth = (n - 1 if modified else n) / logs
    return PowerLaw(growth, n / history.end**growth, n, history.end)
