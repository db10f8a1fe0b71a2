"""Days off central control: half-open intervals, one reason a day, unbroken spells.

A *claim* says that one thing (a stopgap, a lost link) holds a station off central control over
[from_on, to_on). Claims overlap freely. `periods_off` turns them into parts with exactly one
reason a day, by precedence, and `spells` joins parts that touch. Days on which the station is
not meant to be under central control at all are cut out: they belong to no spell.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from itertools import pairwise


class Reason(StrEnum):
    """Why a station is off central control, in order of precedence."""

    WIRE = "wire"
    VALVE = "valve or solenoid"
    CONTROLLER = "controller"
    LINK_LOST = "link lost"
    CLIENT = "client's choice"
    NOT_KNOWN = "not known"


PRECEDENCE = {reason: rank for rank, reason in enumerate(Reason)}


@dataclass(frozen=True, slots=True)
class Interval:
    """The days from `from_on` up to, and not including, `to_on` (None = still going on).

    Raises:
        ValueError: `to_on` is before `from_on`.
    """

    from_on: date
    to_on: date | None = None

    def __post_init__(self) -> None:
        if self.to_on is not None and self.to_on < self.from_on:
            raise ValueError(f"Expected to_on >= from_on, got {self.from_on} to {self.to_on}")

    def holds(self, day: date) -> bool:
        """Return whether `day` lies in the interval."""
        return self.from_on <= day and (self.to_on is None or day < self.to_on)


@dataclass(frozen=True, slots=True)
class Claim:
    """One thing that holds a station off central control.

    `source` names it to the caller; `is_exact` is false where the first day is only the latest
    that it can have been.
    """

    days: Interval
    reason: Reason
    source: int | None = None
    is_exact: bool = True


@dataclass(frozen=True, slots=True)
class Part:
    """Days of one spell that have one reason and one source."""

    days: Interval
    reason: Reason
    source: int | None
    is_exact: bool


@dataclass(frozen=True, slots=True)
class Spell:
    """An unbroken time off central control, and the parts that make it up, in order."""

    days: Interval
    parts: tuple[Part, ...]

    @property
    def is_exact(self) -> bool:
        """Whether the first day is known, and not only the latest that it can have been."""
        return self.parts[0].is_exact


def periods_off(claims: Iterable[Claim], outside: Iterable[Interval] = ()) -> list[Part]:
    """Return parts in order of days, never overlapping, one reason a day.

    Args:
        claims: in any order; those of no length are ignored.
        outside: days on which the station is not meant to be under central control.
    """
    live = [claim for claim in claims if claim.days.to_on != claim.days.from_on]
    gaps = list(outside)
    parts: list[Part] = []
    for days in _stretches([claim.days for claim in live] + gaps):
        if any(gap.holds(days.from_on) for gap in gaps):
            continue
        here = [claim for claim in live if claim.days.holds(days.from_on)]
        if here:
            _append(parts, days, min(here, key=_rank))
    return parts


def spells(parts: Sequence[Part]) -> list[Spell]:
    """Join parts that touch. Expects the order that `periods_off` returns."""
    runs: list[list[Part]] = []
    for part in parts:
        if runs and runs[-1][-1].days.to_on == part.days.from_on:
            runs[-1].append(part)
        else:
            runs.append([part])
    return [Spell(Interval(run[0].days.from_on, run[-1].days.to_on), tuple(run)) for run in runs]


def days_in(days: Interval, *, until: date) -> int:
    """Return how many days of the interval lie before `until`; 0 where it starts later."""
    end = until if days.to_on is None else min(days.to_on, until)
    return max(0, (end - days.from_on).days)


def watering_days_in(
    days: Interval, *, until: date, season: tuple[tuple[int, int], tuple[int, int]] | None
) -> int:
    """Return how many days of the interval, before `until`, lie in the watering season.

    Args:
        season: (month, day) of start-up and of shut-down, the latter not included; it may run
            across the new year. None = all year.
    """
    count = days_in(days, until=until)
    if season is None or count == 0:
        return count
    return sum(in_season(days.from_on + timedelta(days=ahead), season) for ahead in range(count))


def in_season(day: date, season: tuple[tuple[int, int], tuple[int, int]]) -> bool:
    """Return whether `day` lies in the season, whose last day is not included."""
    start, stop = season
    here = (day.month, day.day)
    return start <= here < stop if start <= stop else (here >= start or here < stop)


def _rank(claim: Claim) -> tuple[int, date, int]:
    return PRECEDENCE[claim.reason], claim.days.from_on, claim.source or 0


def _stretches(intervals: Sequence[Interval]) -> list[Interval]:
    """Cut the time line at every edge, so that nothing changes inside a stretch."""
    edges = sorted(
        {interval.from_on for interval in intervals}
        | {interval.to_on for interval in intervals if interval.to_on is not None}
    )
    closed = [Interval(start, end) for start, end in pairwise(edges)]
    return [*closed, Interval(edges[-1])] if edges else []


def _append(parts: list[Part], days: Interval, claim: Claim) -> None:
    """Add the stretch, or lengthen the last part where the same claim goes on."""
    last = parts[-1] if parts else None
    if (
        last is not None
        and last.days.to_on == days.from_on
        and (last.reason, last.source) == (claim.reason, claim.source)
    ):
        parts[-1] = Part(
            Interval(last.days.from_on, days.to_on), last.reason, last.source, last.is_exact
        )
        return
    # A claim that takes over later than its own first day starts on a day that is known.
    is_exact = claim.is_exact or claim.days.from_on != days.from_on
    parts.append(Part(days, claim.reason, claim.source, is_exact))
