"""Individuals chart of one station's ohms: does it creep, or is it the meter's noise?

Limits are the mean plus and minus 2.66 times the mean moving range (3 / 1.128, where 1.128 is
the mean range of two normal values). Readings after a swap of wire or coil start a new chart.

A chart of a few readings has limits that are themselves uncertain, so it flags more often by
chance than the textbook's 1 in 370; `false_alarm_chance` says how often, by simulation with a
seed, for the number of readings that the limits rest on.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from statistics import fmean
from typing import TYPE_CHECKING, Any, TypeVar

from sites.kernel.lazily import np

if TYPE_CHECKING:
    import numpy.typing as npt

    Draws = npt.NDArray[np.float64]
else:
    Draws = Any

Row = TypeVar("Row")

MEAN_RANGE_OF_TWO = 1.128
FEWEST_FOR_LIMITS = 5
TRIALS = 20_000
SEED = 20_260_101
# Beyond so many the chance no longer moves by what the simulation can tell.
MOST_SIMULATED = 200
# So many readings in a row that each rise: chance alone does that once in 5! = 120 orders.
RISING_RUN = 5
# So many standard errors of what readings share: chance alone passes that once in about 40.
WIDENED_BY = 2.0


@dataclass(frozen=True, slots=True)
class Limits:
    """Centre and limits of an individuals chart, in the readings' own unit."""

    centre: float
    mean_moving_range: float
    lower: float
    upper: float
    count: int


def limits_of(values: Sequence[float]) -> Limits | None:
    """Return the chart's limits, or None where fewer than five readings are known.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.2.
    """
    if len(values) < FEWEST_FOR_LIMITS:
        return None
    centre = fmean(values)
    ranges = [abs(b - a) for a, b in itertools.pairwise(values)]
    mean_range = fmean(ranges)
    reach = 3 * mean_range / MEAN_RANGE_OF_TWO
    return Limits(centre, mean_range, centre - reach, centre + reach, len(values))


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the newest reading says of a station whose earlier ones set the limits."""

    limits: Limits | None
    is_above: bool
    is_below: bool
    is_rising: bool
    false_alarm_chance: float | None
    creeping_chance: float | None

    @property
    def is_creeping(self) -> bool:
        """A joint that corrodes reads higher and higher."""
        return self.is_above or self.is_rising


def judge_newest(
    values: Sequence[float], *, least_band: float = 0.0, shared_error: float = 0.0
) -> Verdict:
    """Judge the last value against limits that the values before it set.

    Args:
        least_band: half a band, in the readings' unit, below which nothing is flagged: a chart
            of equal readings has limits of no width, and a meter has its own resolution.
        shared_error: a standard error that neighbouring readings have in common, such as that of
            the season: their own scatter does not show it, so it widens the limits, and a run
            must rise by more than it could make.
    """
    earlier = values[:-1]
    limits = limits_of(earlier)
    is_rising = _rises(values, least=WIDENED_BY * 2**0.5 * shared_error)
    if limits is not None and shared_error:
        more = WIDENED_BY * shared_error
        limits = replace(limits, lower=limits.lower - more, upper=limits.upper + more)
    if limits is None:
        return Verdict(None, False, False, is_rising, None, creeping_chance(len(earlier)))
    newest = values[-1]
    above = newest > max(limits.upper, limits.centre + least_band)
    below = newest < min(limits.lower, limits.centre - least_band)
    return Verdict(
        limits,
        above,
        below,
        is_rising,
        false_alarm_chance(limits.count),
        creeping_chance(limits.count),
    )


def _rises(values: Sequence[float], *, least: float) -> bool:
    last = values[-RISING_RUN:]
    if len(last) < RISING_RUN or last[-1] - last[0] <= least:
        return False
    return all(a < b for a, b in itertools.pairwise(last))


@cache
def false_alarm_chance(count: int) -> float:
    """Return how often a sound station's next reading falls outside limits from `count`.

    Computed by simulation of normal readings with a fixed seed; about 1/370 for very many.
    """
    if count < FEWEST_FOR_LIMITS:
        raise ValueError(f"Expected at least {FEWEST_FOR_LIMITS} readings, got {count}")
    _draws, off, reach = _simulated(min(count, MOST_SIMULATED))
    return float(np.mean(np.abs(off) > reach))


@cache
def creeping_chance(count: int) -> float | None:
    """Return how often a sound station's next reading is called creeping by chance.

    That is: above the limits of the `count` before it, or the last of a rising run. None where
    there are too few readings for either.
    """
    if count + 1 < RISING_RUN:
        return None
    draws, off, reach = _simulated(min(count, MOST_SIMULATED))
    flagged = (np.diff(draws[:, -RISING_RUN:], axis=1) > 0).all(axis=1)
    if count >= FEWEST_FOR_LIMITS:
        flagged |= off > reach
    return float(np.mean(flagged))


def _simulated(count: int) -> tuple[Draws, Draws, Draws]:
    """Draw sound readings; return them, how far the newest lies off, and how far it may."""
    draws = np.random.default_rng(SEED).standard_normal((TRIALS, count + 1))
    earlier = draws[:, :-1]
    reach = 3 * np.abs(np.diff(earlier, axis=1)).mean(axis=1) / MEAN_RANGE_OF_TWO
    return draws, draws[:, -1] - earlier.mean(axis=1), reach


def since_restart(rows: Sequence[Row], starts: Sequence[bool]) -> list[Row]:
    """Return the rows from the last restart on: the first row after a swap or a new coil."""
    first = max((n for n, restarts in enumerate(starts) if restarts), default=0)
    return list(rows[first:])
