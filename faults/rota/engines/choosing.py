"""The best choice among routes, by integer programming (HiGHS through scipy)."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

from faults.rota.engines.orders import rules
from faults.rota.engines.problem import Problem
from faults.rota.engines.routes import Kind, Route
from sites.kernel.lazily import np

if TYPE_CHECKING:
    from scipy.optimize import LinearConstraint
    from scipy.sparse import csc_array

_NEARLY = 1e-6


@dataclass(frozen=True, slots=True)
class Choice:
    """Routes that together make a plan.

    Args:
        bound: no choice of these routes costs less; None where the time did not do for one.
    """

    routes: tuple[Route, ...]
    bound: int | None


def weights(problem: Problem) -> dict[int, int]:
    """Return what leaving out each job weighs: a locked one more than all others together."""
    most = sum(task.penalty + task.moving for task in problem.tasks)
    most += sum(max(row, default=0) for row in problem.travel) * 2
    return {
        task.key: task.penalty + (most + 1 if task.locked is not None else 0)
        for task in problem.tasks
    }


def choose(
    problem: Problem, kinds: Sequence[Kind], routes: Sequence[Route], seconds: float
) -> Choice | None:
    """Return the cheapest choice: each job at most once, each kind as often as it has shifts, no
    job before one that has to come first.

    Returns:
        None where the time did not do for any choice.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    weigh = weights(problem)
    if not routes:
        return Choice((), sum(weigh.values()))
    costs = np.array([route.cost - sum(weigh[k] for k in route.order) for route in routes], float)
    limits = [1] * len(problem.tasks) + [len(kind.shifts) for kind in kinds]
    result = milp(
        costs,
        constraints=[
            LinearConstraint(matrix(problem, kinds, routes), ub=limits),
            *_orders(problem, kinds, routes),
        ],
        bounds=Bounds(0, 1),
        integrality=np.ones(len(routes)),
        options={"mip_rel_gap": 0, "time_limit": max(seconds, 0.01)},
    )
    if result.x is None:
        return None
    chosen = tuple(route for route, share in zip(routes, result.x, strict=True) if share > 0.5)
    bound = getattr(result, "mip_dual_bound", None)
    whole = None if bound is None or not np.isfinite(bound) else ceil(bound - _NEARLY)
    return Choice(chosen, None if whole is None else whole + sum(weigh.values()))


def matrix(problem: Problem, kinds: Sequence[Kind], routes: Sequence[Route]) -> "csc_array":
    """Return which route takes which job and which kind: jobs first, then kinds, by routes."""
    from scipy.sparse import csc_array

    row_of = {task.key: row for row, task in enumerate(problem.tasks)}
    rows, columns = [], []
    for column, route in enumerate(routes):
        for row in (*(row_of[key] for key in route.order), len(row_of) + route.kind):
            rows.append(row)
            columns.append(column)
    shape = (len(row_of) + len(kinds), len(routes))
    return csc_array((np.ones(len(rows)), (rows, columns)), shape=shape)


def _orders(
    problem: Problem, kinds: Sequence[Kind], routes: Sequence[Route]
) -> "list[LinearConstraint]":
    from scipy.optimize import LinearConstraint
    from scipy.sparse import csc_array

    found = list(rules(problem, kinds, routes))
    if not found:
        return []
    cells = [(row, at, times) for row, (rule, _) in enumerate(found) for at, times in rule.items()]
    rows, columns, values = zip(*cells, strict=True)
    table = csc_array((values, (rows, columns)), shape=(len(found), len(routes)))
    return [LinearConstraint(table, ub=[most for _, most in found])]
