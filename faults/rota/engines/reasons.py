"""Why a job is left out of a plan: the rule that shuts it out, or the jobs that took its place."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

from faults.rota.engines.orders import fits
from faults.rota.engines.planning import Plan
from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task, may_have
from faults.rota.engines.routes import back_at, driving_of, extend, starts_of


class Why(StrEnum):
    """The rule; the earlier ones are looked at first."""

    SKILL = "skill"
    GEAR = "gear"
    LOCK = "lock"
    DAYS = "days"
    CLOSED = "closed"
    HOURS = "hours"
    FORERUNNER = "forerunner"
    FOLLOWER = "follower"
    OUTBID = "outbid"
    DRIVING = "driving"


@dataclass(frozen=True, slots=True)
class Reason:
    """Why one job has no shift.

    Args:
        shift: the shift that comes nearest, for `OUTBID` and `DRIVING`; that of `by`, for
            `FORERUNNER` (None = it is left out itself) and `FOLLOWER`.
        by: the jobs that would have to go, for `OUTBID`; the one that comes first, and is left out
            or leaves no time after it, for `FORERUNNER`; the one that is fixed so soon that nothing
            has room before it, for `FOLLOWER`.
        extra: minutes of driving that it would add, overtime by its weight, for `DRIVING`.
        in_overtime: whether overtime is among those.
    """

    key: int
    why: Why
    shift: ShiftKey | None = None
    by: tuple[int, ...] = ()
    extra: int = 0
    in_overtime: bool = False


def reasons(problem: Problem, plan: Plan) -> list[Reason]:
    """Return why each job that is left out is, in the order of the plan."""
    had = {route.shift: route.keys for route in plan.routes}
    return [_reason(problem, problem.by_key[key], had) for key in plan.left_out]


def _reason(problem: Problem, task: Task, had: dict[ShiftKey, tuple[int, ...]]) -> Reason:
    able = [shift for shift in problem.shifts if _alone(problem, shift, task)]
    if not able:
        return Reason(task.key, _rule(problem, task))
    at = {key: shift for shift, keys in had.items() for key in keys}
    found = [
        near
        for shift in able
        if fits(problem, task.key, shift.key, at)
        if (near := _nearest(problem, task, shift, had.get(shift.key, ())))
    ]
    return min(found, key=lambda each: each[0])[1] if found else _of_order(problem, task, at)


def _of_order(problem: Problem, task: Task, at: dict[int, ShiftKey]) -> Reason:
    """Return which other job leaves no shift for one that could have some."""
    firsts = [first for first, second in problem.orders if second == task.key]
    missing = [first for first in firsts if first not in at]
    if missing:
        return Reason(task.key, Why.FORERUNNER, None, (missing[0],))
    if firsts:
        last = max(firsts, key=lambda first: (at[first].day, first))
        return Reason(task.key, Why.FORERUNNER, at[last], (last,))
    seconds = [key for key in problem.followers[task.key] if key in at]
    soonest = min(seconds, key=lambda key: (at[key].day, key))
    return Reason(task.key, Why.FOLLOWER, at[soonest], (soonest,))


def _alone(problem: Problem, shift: Shift, task: Task) -> bool:
    return may_have(task, shift) and extend(problem, shift, None, task) is not None


def _rule(problem: Problem, task: Task) -> Why:
    """Return the first rule that no shift passes of those that passed the ones before."""
    left: Sequence[Shift] = problem.shifts
    days = range(task.first_day, 10**6 if task.last_day is None else task.last_day + 1)
    rules = [
        (Why.SKILL, [s for s in left if s.skill >= task.skill]),
        (Why.GEAR, [s for s in left if task.gear <= s.gear]),
        (Why.LOCK, [s for s in left if task.locked in (None, s.key)]),
        (Why.DAYS, [s for s in left if s.key.day in days]),
        (Why.CLOSED, [s for s in left if task.on(s.key)]),
    ]
    for why, passing in rules:
        left = [shift for shift in left if shift in passing]
        if not left:
            return Why.LOCK if task.locked is not None and why is not Why.LOCK else why
    return Why.HOURS


def _nearest(
    problem: Problem, task: Task, shift: Shift, keys: tuple[int, ...]
) -> tuple[tuple[int, int, int], Reason] | None:
    """Return how much has to go for a job to come on a shift, and that as a reason; None where
    one that comes before or after it, and so cannot go, leaves no room."""
    before, late = _cost(problem, shift, keys)
    bound = {key for pair in problem.orders if task.key in pair for key in pair}
    free = [key for key in keys if key not in bound]
    for count in range(len(free) + 1):
        found = []
        for gone in combinations(free, count):
            kept = [key for key in keys if key not in gone]
            added = _inserted(problem, shift, kept, task.key)
            if added is not None:
                worth = sum(problem.by_key[key].penalty for key in gone)
                found.append((worth, added[0] - before, gone, added[1] > late))
        if found:
            worth, extra, gone, over = min(found)
            why = Why.OUTBID if gone else Why.DRIVING
            return (count, worth, extra), Reason(task.key, why, shift.key, gone, extra, over)
    return None


def _inserted(
    problem: Problem, shift: Shift, keys: Sequence[int], new: int
) -> tuple[int, int] | None:
    """Return the cost with one more job at its best place in an order; None if it fits none."""
    orders = ([*keys[:at], new, *keys[at:]] for at in range(len(keys) + 1))
    able = [order for order in orders if starts_of(problem, shift, order) is not None]
    return min((_cost(problem, shift, order) for order in able), default=None)


def _cost(problem: Problem, shift: Shift, keys: Sequence[int]) -> tuple[int, int]:
    """Return the driving with the weight of overtime, and that weight alone, of an order that
    fits."""
    over = shift.overtime_cost(back_at(problem, shift, starts_of(problem, shift, keys) or ()))
    return driving_of(problem, shift, keys) + over, over
