"""When a visit may be made: the hours in which a place may be entered, and what was promised.

Minutes count from midnight. Who was promised between two times expects somebody to begin between
them; the visit may last longer.
"""

from dataclasses import dataclass
from datetime import date

from faults.cases.engines.working import Rests, end_of

Windows = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Arrival:
    """On which day and between which minutes somebody was promised to begin, both included.

    Raises:
        ValueError: the times end before they begin.
    """

    day: date
    since: int
    until: int

    def __post_init__(self) -> None:
        if self.until < self.since:
            raise ValueError(f"Expected times that end after {self.since}, got {self.until}")


def let_in(
    access: Windows | None,
    arrival: Arrival | None,
    day: date,
    minutes: int,
    rests: Rests = (),
) -> Windows | None:
    """Return the minutes of a day between which a visit starts and ends.

    Args:
        access: when the place may be entered that day; None = at any hour, () = not at all.
        arrival: what was promised, if anything was.
        minutes: how long the visit takes.
        rests: the breaks of the crew that makes it.

    Returns:
        None = at any hour; () = not on that day.
    """
    if arrival is None:
        return access
    if day != arrival.day:
        return ()
    last = end_of(arrival.until, minutes, rests)
    opened = ((0, 2 * 24 * 60),) if access is None else access
    both = ((max(a, arrival.since), min(b, last)) for a, b in opened)
    return tuple((a, b) for a, b in both if a < b)


def holds(windows: Windows | None, start: int | None, end: int | None, minutes: int) -> bool:
    """Return whether a visit lies in one of the windows; without a time, whether one is as long."""
    if windows is None:
        return True
    if start is None or end is None:
        return any(until - since >= minutes for since, until in windows)
    return any(since <= start and end <= until for since, until in windows)
