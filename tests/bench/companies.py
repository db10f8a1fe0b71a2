"""Simulated companies of known truth: faults come by season, crews work them off, day by day.

Their days are played otherwise than the product plays weeks: each crew takes one station at a
time, for as long as it takes, on working days; some fail in groups; waits are of their own kind.
"""

import heapq
from dataclasses import dataclass

import numpy as np

from reports.ahead.engines.past import Past
from reports.ahead.engines.queue import NEVER

YEARS_SEEN, YEARS_AHEAD = 3, 1
DAYS = 365 * (YEARS_SEEN + YEARS_AHEAD)


@dataclass(frozen=True)
class Company:
    """What it has seen until today, and all that came after, in days from today."""

    past: Past
    off_on: np.ndarray
    back_on: np.ndarray

    def off(self, day: float) -> int:
        """How many were off at the end of a day, past or to come."""
        return int(((self.off_on <= day) & (self.back_on > day)).sum())


def company(seed: int) -> Company:
    """Return one company; its size, season, load, order and waits are drawn."""
    rng = np.random.default_rng([seed, 77])
    events_a_year = np.exp(rng.uniform(np.log(25), np.log(150)))
    season = rng.uniform(0, 0.8)
    off_on, place, event = _faults(rng, events_a_year, season)
    crews = int(rng.integers(1, 4))
    a_year = len(off_on) / (DAYS / 365)
    load = rng.uniform(0.75, 1.08)
    days_each = load * crews * 250 / a_year
    work = days_each * rng.lognormal(-0.245, 0.7, len(off_on))
    waits = rng.choice([0.0, 1.0], p=[0.3, 0.7], size=len(off_on)) * rng.gamma(
        1.5, rng.uniform(5, 30), len(off_on)
    )
    order = off_on + rng.choice([0.0, 60.0, 600.0]) * rng.standard_normal(len(off_on))
    back_on = _worked_off(off_on, off_on + waits, work, order, crews)
    today = 365.0 * YEARS_SEEN
    since = today - 365.0 * 2.5
    seen = off_on <= today
    back = np.where(back_on <= today, back_on, NEVER)[seen] - today
    past = Past(off_on[seen] - today, back, event[seen], place[seen], since - today, 0.0)
    return Company(past, off_on - today, back_on - today)


def _faults(
    rng: np.random.Generator, a_year: float, season: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    days = np.arange(DAYS)
    years = np.exp(0.15 * rng.standard_normal(YEARS_SEEN + YEARS_AHEAD + 1))[days // 365]
    wave = np.sin(2 * np.pi * (days / 365 + rng.random()))
    rate = a_year / 365 * (1 + season * wave) * years
    counts = rng.poisson(rate)
    starts = np.repeat(days, counts) + rng.random(counts.sum())
    sizes = 1 + np.where(rng.random(len(starts)) < 0.15, rng.geometric(0.4, len(starts)), 0)
    places = rng.integers(10, size=len(starts))
    event = np.repeat(np.arange(len(starts)), sizes)
    return np.repeat(starts, sizes), np.repeat(places, sizes), event


def _worked_off(
    off_on: np.ndarray, ready_on: np.ndarray, work: np.ndarray, order: np.ndarray, crews: int
) -> np.ndarray:
    """Play day by day: each crew works on one station until it is back, five days of seven."""
    back_on = np.full(len(off_on), NEVER)
    by_day = np.argsort(ready_on, kind="stable")
    waiting: list[tuple[float, int]] = []
    busy = [(-1, 0.0)] * crews
    n = 0
    for day in range(DAYS):
        while n < len(by_day) and ready_on[by_day[n]] < day + 1:
            heapq.heappush(waiting, (order[by_day[n]], int(by_day[n])))
            n += 1
        if day % 7 >= 5:
            continue
        for crew in range(crews):
            hours = 1.0
            while hours > 1e-9:
                station, left = busy[crew]
                if station < 0:
                    if not waiting:
                        break
                    station = heapq.heappop(waiting)[1]
                    left = float(work[station])
                used = min(left, hours)
                hours, left = hours - used, left - used
                if left <= 1e-9:
                    back_on[station] = max(day + 1 - hours, ready_on[station])
                    station = -1
                busy[crew] = (station, left)
    return back_on
