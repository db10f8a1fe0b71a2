"""When a crew works on a day: its hours and break, who of it is there, and how skilled they are.

Times are minutes of the day. The hours of a crew's day are those of its week, no longer than from
when the first of its people begins until the last one ends; a person counts with the whole day. So
its breaks are the times in between in which nobody works: as long as one of them does, the crew
does.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Hours:
    """Working hours of one day.

    Raises:
        ValueError: they end before they begin.
    """

    start: int
    end: int

    def __post_init__(self) -> None:
        if self.end <= self.start:
            raise ValueError(f"Expected an end after {self.start}, got {self.end}")


# By weekday, Monday = 0; a day without hours of its own has the usual ones.
Week = Mapping[int, Hours | None]
Pause = tuple[int, int]
# The breaks of one day in their order, none of which touches another.
Rests = tuple[Pause, ...]
# By weekday too; a day without a break of its own has the usual one.
Pauses = Mapping[int, Pause]
_NO_PAUSES: Pauses = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Person:
    """One person of a crew on a day.

    Args:
        week: the weekdays on which the person works; empty = those of the crew.
        is_away: ill, or not there for another reason.
        pauses: the breaks of weekdays on which they are not those of the crew.
    """

    name: str
    skill: int
    week: Week
    is_away: bool = False
    pauses: Pauses = field(default_factory=dict)

    def hours(self, weekday: int, usual: Hours) -> Hours | None:
        """Return when the person works that day; None = not at all."""
        if self.is_away or (self.week and weekday not in self.week):
            return None
        return self.week.get(weekday) or usual

    def works(
        self, weekday: int, usual: Hours, pause: Pause | None, second: Pause | None = None
    ) -> list[Hours]:
        """Return when the person works that day, the breaks taken out; empty = not at all."""
        hours = self.hours(weekday, usual)
        rests = _joined(self.pauses.get(weekday, pause), second)
        return [] if hours is None else _works(hours, rests)


class Off(StrEnum):
    """Why a crew does not work on a day."""

    AWAY = "away"
    HOLIDAY = "holiday"
    WEEKDAY = "weekday"


@dataclass(frozen=True, slots=True)
class WorkingDay:
    """What a crew can do on one day.

    Args:
        start, end: its hours; the usual ones where it does not work.
        rests: its breaks between its hours.
        skill: the best of who is there; 0 = nobody.
        people: how many are there.
        off, why: why it does not work, and the words that were given for it.
        absent: who of it is not there.
        overtime: minutes after its end that it may still work or be on the road.
        overtime_percent: what such a minute costs, in per cent of an ordinary one.
    """

    start: int
    end: int
    rests: Rests
    skill: int
    people: int
    off: Off | None = None
    why: str = ""
    absent: tuple[str, ...] = ()
    overtime: int = 0
    overtime_percent: int = 100

    @property
    def latest(self) -> int:
        """When its work is over at the latest."""
        return self.end + self.overtime

    @property
    def most_minutes(self) -> int:
        """The minutes that can be worked with overtime; 0 on a day off."""
        return self.minutes + self.overtime if self.off is None else 0

    @property
    def is_worked(self) -> bool:
        """Whether the crew works and somebody of it is there."""
        return self.off is None and self.skill > 0

    @property
    def minutes(self) -> int:
        """The minutes that can be worked; 0 on a day off."""
        if self.off is not None:
            return 0
        return self.end - self.start - sum(b - a for a, b in self.rests)

    def end_of(self, start: int, minutes: int) -> int:
        """Return when work that starts then is done: breaks count for nothing."""
        return end_of(start, minutes, self.rests)

    def holds(self, start: int, minutes: int) -> bool:
        """Whether work that starts then begins in the working hours, and ends in them or in
        overtime."""
        in_break = is_in(start, self.rests)
        is_late = self.end_of(start, minutes) > self.latest
        return self.off is None and start >= self.start and not in_break and not is_late


def is_in(minute: int, rests: Rests) -> bool:
    """Whether a minute of the day lies in a break."""
    return any(begins <= minute < ends for begins, ends in rests)


def end_of(start: int, minutes: int, rests: Rests) -> int:
    """Return when work is done that is interrupted by breaks.

    Work that starts in a break begins at once: only who plans it against a rule does so.
    """
    end = start + minutes
    for begins, ends in rests:
        if start < begins < end:
            end += ends - begins
    return end


def working_day(
    day: date,
    *,
    usual: Hours,
    week: Week,
    pause: Pause | None = None,
    pauses: Pauses = _NO_PAUSES,
    second: Pause | None = None,
    away: str | None = None,
    holiday: str | None = None,
    people: Sequence[Person] = (),
    overtime: int = 0,
    overtime_percent: int = 100,
) -> WorkingDay:
    """Return what a crew can do on a day.

    Args:
        week: the weekdays of the crew; empty = nothing was said, so it works on every day.
        pause, pauses: the usual break of the crew; those of weekdays with another one.
        second: a further break of the crew, on all of its days.
        away, holiday: why it is away, and the name of the holiday; None = it is not.
    """
    weekday = day.weekday()
    rests = _joined(pauses.get(weekday, pause), second)
    own = week.get(weekday) or usual
    usually = pauses.get(weekday, pause)
    by_person = [(one, one.works(weekday, own, usually, second)) for one in people]
    there = [one for one, works in by_person if works]
    start, end = own.start, own.end
    if there:
        every = [work for _, works in by_person for work in works]
        start = max(start, min(work.start for work in every))
        end = min(end, max(work.end for work in every))
        rests = _gaps(every)
    start, end, rests = _around(start, end, rests)
    if end <= start:
        # Their hours and the crew's have nothing in common, or their break alone: nobody is there.
        there, start, end = [], own.start, own.end
    off, why = _off(week, weekday, away, holiday)
    here = {id(one) for one in there}
    return WorkingDay(
        start,
        end,
        rests,
        max((one.skill for one in there), default=0),
        len(there),
        off,
        why,
        tuple(one.name for one in people if id(one) not in here),
        overtime,
        overtime_percent,
    )


def _joined(*pauses: Pause | None) -> Rests:
    """Return breaks in their order; two that touch are one."""
    found: list[Pause] = []
    for begins, ends in sorted(pause for pause in pauses if pause is not None):
        if found and begins <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], ends))
        else:
            found.append((begins, ends))
    return tuple(found)


def _gaps(works: Sequence[Hours]) -> Rests:
    """Return the times between the first and the last work in which nobody works."""
    found: list[Pause] = []
    until = min(work.start for work in works)
    for work in sorted(works, key=lambda each: each.start):
        if work.start > until:
            found.append((until, work.start))
        until = max(until, work.end)
    return tuple(found)


def _works(hours: Hours, rests: Rests) -> list[Hours]:
    """Return when a person works: before, between and after the breaks."""
    start, end, inside = _around(hours.start, hours.end, rests)
    edges = [start, *(minute for rest in inside for minute in rest), end]
    return [Hours(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if a < b]


def _around(start: int, end: int, rests: Rests) -> tuple[int, int, Rests]:
    """Return hours and the breaks that lie in them: where a day begins or ends in a break, its
    work begins after it, or ends before it."""
    inside = []
    for begins, ends in rests:
        if ends <= start or end <= begins:
            continue
        if start >= begins:
            start = ends
        elif end <= ends:
            end = begins
        else:
            inside.append((begins, ends))
    return start, end, tuple(inside)


def _off(week: Week, weekday: int, away: str | None, holiday: str | None) -> tuple[Off | None, str]:
    """Return the gravest reason: nobody is sent while away, a reason lets work on other days."""
    if away is not None:
        return Off.AWAY, away
    if holiday is not None:
        return Off.HOLIDAY, holiday
    if week and weekday not in week:
        return Off.WEEKDAY, ""
    return None, ""


def on_working_clock(minute: int, rests: Rests) -> int:
    """Return a minute of the day on a clock that stands still during breaks."""
    return minute - sum(min(minute, ends) - begins for begins, ends in rests if minute > begins)


def start_by_day(minute: int, rests: Rests) -> int:
    """Return the minute of the day at which work starts that starts then on the working clock.

    What would start as a break begins starts after it.
    """
    for begins, ends in rests:
        if minute >= begins:
            minute += ends - begins
    return minute
