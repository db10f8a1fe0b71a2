"""What a rota is asked for: shifts, jobs with their rules, and the minutes between places."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

Windows = tuple[tuple[int, int], ...]


class ShiftKey(NamedTuple):
    """One crew (or technician) on one day."""

    crew: int
    day: int


@dataclass(frozen=True, slots=True)
class Shift:
    """A crew's working time on one day, in minutes of the day.

    Args:
        starts: it leaves the yard not before.
        ends: it is back at the yard by then, or in overtime.
        place: row of its yard in the table of travel.
        gear: what it carries.
        overtime: minutes after its end that it may still be on the road or at work; 0 = none.
        overtime_percent: what such a minute weighs, in per cent of a minute of driving.
    """

    key: ShiftKey
    starts: int
    ends: int
    skill: int
    place: int
    gear: frozenset[str] = frozenset()
    overtime: int = 0
    overtime_percent: int = 100

    @property
    def latest(self) -> int:
        """When it is back at the latest."""
        return self.ends + self.overtime

    def overtime_cost(self, back_at: int) -> int:
        """Return what it weighs to be back at a minute, rounded up to whole minutes."""
        return -(-max(0, back_at - self.ends) * self.overtime_percent // 100)


@dataclass(frozen=True, slots=True)
class Task:
    """One job to be planned.

    Args:
        place: row of its property in the table of travel.
        penalty: minutes of driving that leaving it out weighs as much as.
        first_day, last_day: both included.
        windows: the minutes of each shift, or else of each day, between which it starts and ends;
            a day that is not named has `always`, an empty tuple is a closed day.
        locked: the only shift that it may have; it is never left out for others.
        promised: the shift that someone was told; another one costs `moving`.
        promised_at: the minute that was told; on the promised shift it starts then or not at all.
        after: keys of the jobs that come first: it has a later day than each of them, or comes
            after it in the same route. On one day with another crew it would rest on a guess of
            when the first one ends. Where one of them has no shift, it has none either, unless
            it is locked to one.
    """

    key: int
    minutes: int
    place: int
    penalty: int
    skill: int = 0
    first_day: int = 0
    last_day: int | None = None
    always: Windows = ((0, 24 * 60),)
    windows: Mapping[int | ShiftKey, Windows] = field(default_factory=dict)
    gear: frozenset[str] = frozenset()
    locked: ShiftKey | None = None
    promised: ShiftKey | None = None
    promised_at: int | None = None
    moving: int = 0
    after: frozenset[int] = frozenset()

    def on(self, shift: ShiftKey) -> Windows:
        """Return when a crew may work on it, on a day; empty outside its days."""
        day = shift.day
        if day < self.first_day or (self.last_day is not None and day > self.last_day):
            return ()
        if shift == self.promised and self.promised_at is not None:
            return ((self.promised_at, self.promised_at + self.minutes),)
        return self.windows.get(shift, self.windows.get(day, self.always))

    def moved_cost(self, shift: ShiftKey) -> int:
        """Return what it costs to have it on a shift, for having been promised another."""
        return self.moving if self.promised is not None and self.promised != shift else 0


@dataclass(frozen=True)
class Problem:
    """Jobs to be planned on shifts.

    Args:
        travel: whole minutes from row to column, rounded up; yards and properties alike.

    Raises:
        ValueError: two jobs or shifts with one key, a place without a row, minutes below 0, a job
            after one that is not there, or jobs that wait for each other.
    """

    shifts: Sequence[Shift]
    tasks: Sequence[Task]
    travel: Sequence[Sequence[int]]

    def __post_init__(self) -> None:
        _unlike([shift.key for shift in self.shifts], "shift")
        _unlike([task.key for task in self.tasks], "job")
        size = len(self.travel)
        if any(len(row) != size for row in self.travel):
            raise ValueError("Expected as many columns of travel as rows")
        if any(minutes < 0 for row in self.travel for minutes in row):
            raise ValueError("Expected travel of 0 minutes or more")
        for place in (*(s.place for s in self.shifts), *(t.place for t in self.tasks)):
            if not 0 <= place < size:
                raise ValueError(f"Expected a place in 0..{size - 1}, got {place}")
        for shift in self.shifts:
            if shift.overtime < 0 or shift.overtime_percent < 0:
                raise ValueError(f"Expected overtime of 0 or more at {tuple(shift.key)}")
        for task in self.tasks:
            if task.minutes < 0 or task.penalty < 0 or task.moving < 0:
                raise ValueError(f"Expected minutes and costs of 0 or more at job {task.key}")
        _refuse_unknown_or_rings(self.by_key)

    @cached_property
    def by_key(self) -> dict[int, Task]:
        """The jobs by their keys."""
        return {task.key: task for task in self.tasks}

    @cached_property
    def orders(self) -> list[tuple[int, int]]:
        """The pairs of jobs of which the first comes before the second.

        Two that are locked against it stay: whoever fixed them knew of both.
        """
        pairs = [(first, task.key) for task in self.tasks for first in sorted(task.after)]
        return [pair for pair in pairs if not self._locked_against(*pair)]

    def _locked_against(self, first: int, second: int) -> bool:
        one, other = self.by_key[first], self.by_key[second]
        if one.locked is None or other.locked is None:
            return False
        if one.locked.day != other.locked.day:
            return one.locked.day > other.locked.day
        shift = self.shift_at.get(one.locked)
        if one.locked != other.locked or shift is None:
            return True
        there = shift.starts + self.travel[shift.place][one.place]
        starts = start_at(one, shift.key, there)
        closes = max((closes for _, closes in other.on(shift.key)), default=0)
        return starts is None or starts + one.minutes > closes - other.minutes

    @cached_property
    def followers(self) -> dict[int, frozenset[int]]:
        """The jobs that come after each job; those without any are left out."""
        found: dict[int, frozenset[int]] = {}
        for first, second in self.orders:
            found[first] = found.get(first, frozenset()) | {second}
        return found

    @cached_property
    def in_order(self) -> frozenset[int]:
        """The jobs that come before or after another one."""
        return frozenset(key for pair in self.orders for key in pair)

    @cached_property
    def shift_at(self) -> dict[ShiftKey, Shift]:
        """The shifts by crew and day."""
        return {shift.key: shift for shift in self.shifts}


def _unlike(keys: Sequence[object], what: str) -> None:
    if len(set(keys)) < len(keys):
        raise ValueError(f"Expected each {what} once")


def _refuse_unknown_or_rings(tasks: Mapping[int, Task]) -> None:
    done: set[int] = set()
    waiting = {key: task.after for key, task in tasks.items()}
    for key, after in waiting.items():
        if unknown := sorted(after - waiting.keys()):
            raise ValueError(f"Expected a known job before job {key}, got {unknown[0]}")
    while waiting:
        free = {key for key, after in waiting.items() if after <= done}
        if not free:
            raise ValueError(f"Expected an order, but jobs {sorted(waiting)} wait for each other")
        done |= free
        waiting = {key: after for key, after in waiting.items() if key not in free}


def start_at(task: Task, shift: ShiftKey, ready: int) -> int | None:
    """Return the first minute at which a job can start so that it ends in the same window."""
    for opens, closes in task.on(shift):
        start = max(ready, opens)
        if start + task.minutes <= closes:
            return start
    return None


def may_have(task: Task, shift: Shift) -> bool:
    """Whether a shift may have a job at all, alone on its day."""
    if task.skill > shift.skill or not task.gear <= shift.gear:
        return False
    if task.locked is not None and task.locked != shift.key:
        return False
    return bool(task.on(shift.key))
