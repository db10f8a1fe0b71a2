"""Every set of jobs that one shift can do, each in its cheapest order."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from faults.rota.engines.clock import Clock
from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task, may_have, start_at

_NONE: frozenset[int] = frozenset()


class TooMany(Exception):
    """There are more sets of jobs than the time does for."""


@dataclass(frozen=True, slots=True)
class Kind:
    """Shifts that are alike for every job, and the jobs that they may have."""

    shifts: tuple[Shift, ...]
    tasks: tuple[Task, ...]

    @property
    def pattern(self) -> Shift:
        """The first of its shifts, as good as any."""
        return self.shifts[0]


@dataclass(frozen=True, slots=True)
class Route:
    """The jobs of one shift in their order.

    Args:
        driving: minutes from the yard over all places and back.
        moved: cost of the promises that it breaks.
        overtime: what its minutes after the shift's end weigh.
    """

    kind: int
    order: tuple[int, ...]
    driving: int
    moved: int = 0
    overtime: int = 0

    @property
    def cost(self) -> int:
        """What it adds to the whole, in minutes."""
        return self.driving + self.moved + self.overtime


class Label(NamedTuple):
    """A route under way: done at `ready` after `driving`, not yet back at the yard."""

    ready: int
    driving: int
    order: tuple[int, ...]


def kinds_of(problem: Problem) -> list[Kind]:
    """Return the shifts in groups that are alike: the same hours and yard, and each job at the same
    times and costs. Shifts of several days can be alike; one that a job is locked to is not, nor
    are those that may have a job which comes before or after another."""
    groups: dict[object, Kind] = {}
    for shift in problem.shifts:
        tasks = tuple(task for task in problem.tasks if may_have(task, shift))
        of_jobs = tuple(
            (task.key, task.on(shift.key), task.moved_cost(shift.key)) for task in tasks
        )
        day = shift.key.day if any(task.key in problem.in_order for task in tasks) else None
        hours = (shift.starts, shift.ends, shift.overtime, shift.overtime_percent)
        alike = (hours, shift.place, of_jobs, day)
        known = groups.get(alike)
        groups[alike] = Kind((*known.shifts, shift) if known else (shift,), tasks)
    return list(groups.values())


def extend(problem: Problem, shift: Shift, label: Label | None, task: Task) -> Label | None:
    """Return a route with one more job at its end; None where the shift cannot end in time, or
    where the job was to come before one that the route has."""
    travel = problem.travel
    ready, driving, order = label or Label(shift.starts, 0, ())
    if not problem.followers.get(task.key, _NONE).isdisjoint(order):
        return None
    at = problem.by_key[order[-1]].place if order else shift.place
    leg = travel[at][task.place]
    start = start_at(task, shift.key, ready + leg)
    if start is None or start + task.minutes + travel[task.place][shift.place] > shift.latest:
        return None
    return Label(start + task.minutes, driving + leg, (*order, task.key))


def routes_of(
    problem: Problem,
    kind: Kind,
    number: int,
    *,
    clock: Clock,
    worth_it: Callable[[Label], bool] = lambda _: True,
) -> list[Route]:
    """Return the cheapest route over each set of jobs that fits in a shift of this kind.

    Args:
        number: the number of the kind, to be kept with its routes.
        clock: when it is over, there are too many.
        worth_it: whether a route under way can still become one that is wanted.

    Raises:
        TooMany: the time did not do for all.
    """
    best: dict[frozenset[int], Route] = {}
    for level in _levels(problem, kind, clock, worth_it):
        for labels in level.values():
            for label in labels:
                _keep(problem, kind, number, label, best)
    return list(best.values())


def _keep(
    problem: Problem, kind: Kind, number: int, label: Label, best: dict[frozenset[int], Route]
) -> None:
    shift = kind.pattern
    last = problem.by_key[label.order[-1]]
    back = problem.travel[last.place][shift.place]
    driving, overtime = label.driving + back, shift.overtime_cost(label.ready + back)
    jobs = frozenset(label.order)
    known = best.get(jobs)
    if known is None or driving + overtime < known.driving + known.overtime:
        moved = moved_cost(problem, label.order, shift.key)
        best[jobs] = Route(number, label.order, driving, moved, overtime)


def moved_cost(problem: Problem, order: Iterable[int], shift: ShiftKey) -> int:
    """Return what the promises cost that a route breaks."""
    return sum(problem.by_key[key].moved_cost(shift) for key in order)


_Level = dict[tuple[int, int], list[Label]]


def _levels(
    problem: Problem, kind: Kind, clock: Clock, worth_it: Callable[[Label], bool]
) -> Iterator[_Level]:
    """Yield routes of one job, of two, and so on; only those that no other one outdoes.

    Of the routes over one set with one last job, one that is neither ready nor driven sooner
    than another can never become a better route.
    """
    shift, tasks = kind.pattern, kind.tasks
    level: _Level = {}
    for bit, task in enumerate(tasks):
        label = extend(problem, shift, None, task)
        if label is not None and worth_it(label):
            level[1 << bit, bit] = [label]
    while level:
        yield level
        after: _Level = {}
        for (jobs, _last), labels in level.items():
            if clock.is_over():
                raise TooMany
            for bit, task in enumerate(tasks):
                if jobs >> bit & 1:
                    continue
                for label in labels:
                    longer = extend(problem, shift, label, task)
                    if longer is not None and worth_it(longer):
                        _add(after.setdefault((jobs | 1 << bit, bit), []), longer)
        level = after


def _add(labels: list[Label], new: Label) -> None:
    """Add a route under way unless another outdoes it; drop those that it outdoes."""
    for old in labels:
        if old.ready <= new.ready and old.driving <= new.driving:
            return
    labels[:] = [o for o in labels if not (new.ready <= o.ready and new.driving <= o.driving)]
    labels.append(new)


def starts_of(problem: Problem, shift: Shift, order: Sequence[int]) -> list[tuple[int, int]] | None:
    """Return each job of an order with the minute at which it starts; None if it does not fit."""
    found: list[tuple[int, int]] = []
    label: Label | None = None
    for key in order:
        task = problem.by_key[key]
        label = extend(problem, shift, label, task) if may_have(task, shift) else None
        if label is None:
            return None
        found.append((key, label.ready - task.minutes))
    return found


def route_of(problem: Problem, kind: Kind, number: int, order: tuple[int, ...]) -> Route | None:
    """Return an order of jobs as a route of this kind; None where it cannot be driven."""
    shift = kind.pattern
    stops = starts_of(problem, shift, order)
    if not order or len(set(order)) < len(order) or stops is None:
        return None
    driving = driving_of(problem, shift, order)
    overtime = shift.overtime_cost(back_at(problem, shift, stops))
    return Route(number, order, driving, moved_cost(problem, order, shift.key), overtime)


def back_at(problem: Problem, shift: Shift, stops: Sequence[tuple[int, int]]) -> int:
    """Return when a shift is back at the yard after its last job; its start where it has none."""
    if not stops:
        return shift.starts
    key, start = stops[-1]
    task = problem.by_key[key]
    return start + task.minutes + problem.travel[task.place][shift.place]


def driving_of(problem: Problem, shift: Shift, order: Sequence[int]) -> int:
    """Return the minutes from the yard over the jobs in this order and back; 0 for none."""
    stops = [shift.place, *(problem.by_key[key].place for key in order), shift.place]
    return sum(problem.travel[a][b] for a, b in pairwise(stops)) if order else 0
