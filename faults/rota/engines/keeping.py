"""Plans that keep promised days where they can be kept: the rules of each job, set so.

What is made smallest stays what it is. A promised job may have no later day than was promised,
and leaving it out weighs more. Those that cannot be kept so are let go, all others still being
bound, and it is planned again: a visit that comes late is better than none.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from faults.rota.engines.clock import Clock
from faults.rota.engines.planning import DEFAULT_SECONDS, Plan, Status, plan
from faults.rota.engines.problem import Problem, Task, may_have

# Our own choice, no source: as much as a job of the second priority.
KEEPING_MIN = 500
# Plans that only look which promises can be kept, and their share of the time each. Each lets go
# what it could not keep; the rest of the time is for the plan itself.
_LOOKS = 2
_LOOK_SHARE = 0.2


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A plan with the problem that it solves.

    Args:
        problem: the jobs with the days that still bind them.
        let_go: the promised jobs that no longer are bound to their days.
    """

    plan: Plan
    problem: Problem
    let_go: frozenset[int] = frozenset()


def plan_keeping(
    problem: Problem,
    promised: Mapping[int, int],
    *,
    seconds: float = DEFAULT_SECONDS,
    go_on: Callable[[], None] = lambda: None,
) -> KeptPlan:
    """Return the best plan of those that keep promised days.

    Args:
        promised: the last day that was promised, by the job's key; below 0 = before the first.
            A job that is locked stays where it is.
        go_on: called often; what it raises ends the planning.
    """
    clock, let_go = Clock(seconds, go_on), frozenset[int]()
    for _ in range(_LOOKS if promised else 0):
        bound = {key: day for key, day in promised.items() if key not in let_go}
        asked = _bound_to(problem, promised, bound)
        made = plan(asked, seconds=seconds * _LOOK_SHARE, go_on=go_on)
        late = {key for key in made.left_out if key in bound and _has_later(problem, key, bound)}
        if not late and made.status is Status.OPTIMAL:
            return KeptPlan(made, asked, let_go)
        if not late:
            break
        let_go |= late
    asked = _bound_to(problem, promised, {k: d for k, d in promised.items() if k not in let_go})
    made = plan(asked, seconds=max(clock.left, seconds * _LOOK_SHARE), go_on=go_on)
    return KeptPlan(made, asked, let_go)


def _bound_to(problem: Problem, promised: Mapping[int, int], bound: Mapping[int, int]) -> Problem:
    tasks = [
        _bound(task, bound.get(task.key)) if task.key in promised else task
        for task in problem.tasks
    ]
    return Problem(problem.shifts, tasks, problem.travel)


def _bound(task: Task, day: int | None) -> Task:
    """Return a promised job; without a day it only weighs more."""
    if task.locked is not None:
        return task
    last = (
        task.last_day if day is None else min(day, day if task.last_day is None else task.last_day)
    )
    return replace(task, last_day=last, penalty=task.penalty + KEEPING_MIN)


def _has_later(problem: Problem, key: int, bound: Mapping[int, int]) -> bool:
    task = problem.by_key[key]
    return any(shift.key.day > bound[key] and may_have(task, shift) for shift in problem.shifts)
