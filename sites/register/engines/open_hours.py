"""When a place may be entered: weekly hours, days on which nobody may work, and both together."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, time

WHOLE_DAY = (time.min, time.max)
Hours = tuple[time, time]


@dataclass(frozen=True, slots=True)
class WeekHours:
    """Hours of one weekday, Monday = 0.

    Raises:
        ValueError: a weekday outside 0..6, or hours that end before they begin.
    """

    weekday: int
    opens_at: time
    closes_at: time

    def __post_init__(self) -> None:
        if not 0 <= self.weekday <= 6:
            raise ValueError(f"Expected weekday in 0..6, got {self.weekday}")
        if self.closes_at <= self.opens_at:
            raise ValueError(f"Expected closes_at > opens_at, got {self.closes_at}")


@dataclass(frozen=True, slots=True)
class Closed:
    """Days over [from_on, to_on) on which nobody may work, and why."""

    from_on: date
    to_on: date
    why: str = ""


@dataclass(frozen=True, slots=True)
class Open:
    """The hours of one day, in order; with a blackout there are none, and `why` says it."""

    hours: tuple[Hours, ...]
    why: str = ""

    def longest_min(self) -> int:
        """Return the minutes of the longest stretch."""
        return max((minutes_between(*each) for each in self.hours), default=0)

    def holds(self, starts_at: time, minutes: int) -> bool:
        """Return whether work that starts then ends before the place closes again."""
        return any(
            opens <= starts_at and minutes_between(starts_at, closes) >= minutes
            for opens, closes in self.hours
            if starts_at < closes
        )


def minutes_between(start: time, end: time) -> int:
    """Return whole minutes from one time of a day to a later one; midnight's end counts whole."""
    if end == time.max:
        return 24 * 60 - start.hour * 60 - start.minute
    return (end.hour - start.hour) * 60 + end.minute - start.minute


def open_on(day: date, hours: Iterable[WeekHours], blackouts: Iterable[Closed]) -> Open:
    """Return when a place may be entered on a day.

    A place without any hours is open at any time; one with hours is closed on weekdays that
    have none. A blackout closes it whatever the hours say.
    """
    for closed in sorted(blackouts, key=lambda each: (each.from_on, each.to_on, each.why)):
        if closed.from_on <= day < closed.to_on:
            return Open((), closed.why)
    week = list(hours)
    if not week:
        return Open((WHOLE_DAY,))
    own = ((each.opens_at, each.closes_at) for each in week if each.weekday == day.weekday())
    return Open(tuple(sorted(own)))
