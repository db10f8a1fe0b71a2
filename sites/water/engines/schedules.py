"""On how many days a schedule waters, counted without going through the days one by one."""

from dataclasses import dataclass
from datetime import date

from sites.stopgaps.engines.spells import Interval

WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True, slots=True)
class Weekdays:
    """Some days of the week, Monday is 0.

    Raises:
        ValueError: no day, or one beyond Sunday.
    """

    days: frozenset[int]

    def __post_init__(self) -> None:
        if not self.days or not self.days <= set(range(7)):
            raise ValueError(f"Expected days of the week from 0 to 6, got {sorted(self.days)}")

    def count(self, start: date, end: date, _anchor: date) -> int:
        """Return how many such days lie in [start, end)."""
        length = (end - start).days
        if length <= 0:
            return 0
        weeks, rest = divmod(length, 7)
        first = start.weekday()
        return weeks * len(self.days) + sum((first + n) % 7 in self.days for n in range(rest))


@dataclass(frozen=True, slots=True)
class EveryDays:
    """Every so many days, counted from the schedule's first day.

    Raises:
        ValueError: fewer than one.
    """

    every: int

    def __post_init__(self) -> None:
        if self.every < 1:
            raise ValueError(f"Expected every 1 day or more, got {self.every}")

    def count(self, start: date, end: date, anchor: date) -> int:
        """Return how many such days lie in [start, end), none before the anchor."""
        return self._before(end, anchor) - self._before(max(start, anchor), anchor)

    def _before(self, day: date, anchor: date) -> int:
        ahead = (day - anchor).days
        return -(-ahead // self.every) if ahead > 0 else 0


Pattern = Weekdays | EveryDays


def read_pattern(text: str) -> Pattern | None:
    """Return the days that "Mon Wed Fri" or "every 3" name; None where they say nothing."""
    words = text.split()
    if len(words) == 2 and words[0] == "every" and words[1].isdigit() and int(words[1]):
        return EveryDays(int(words[1]))
    named = frozenset(WEEK.index(word) for word in words if word in WEEK)
    return Weekdays(named) if named and len(named) == len(words) else None


@dataclass(frozen=True, slots=True)
class Schedule:
    """When a station waters over `days`: `starts` times on each day of `pattern`.

    `is_by_clock` = the controller or central runs it, which a broken wire keeps from the valve.
    `pattern` None = nobody wrote down on which days; `is_one_start_assumed` = nor how often.
    `counted_from` is the day from which "every so many days" counts, where that is earlier: who
    changes only the minutes of a timer leaves its rhythm as it is.
    """

    days: Interval
    pattern: Pattern | None
    starts: int
    minutes: float
    is_by_clock: bool = False
    is_one_start_assumed: bool = False
    counted_from: date | None = None

    def __post_init__(self) -> None:
        if self.starts < 1 or self.minutes < 0:
            raise ValueError(
                f"Expected starts >= 1 and minutes >= 0, got {self.starts} and {self.minutes}"
            )

    def minutes_in(self, start: date, end: date) -> float:
        """Return the minutes that it runs in [start, end), all of which it holds."""
        if self.pattern is None or not self.minutes:
            return 0.0
        runs = self.pattern.count(start, end, self.counted_from or self.days.from_on)
        return runs * self.starts * self.minutes
