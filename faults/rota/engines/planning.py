"""A plan for some crews and days: proven the best where it can be, else with its gap."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from faults.rota.engines.bounding import Proof, bounded
from faults.rota.engines.choosing import Choice, choose, weights
from faults.rota.engines.clock import Clock
from faults.rota.engines.improving import improved
from faults.rota.engines.problem import Problem, ShiftKey
from faults.rota.engines.routes import (
    Kind,
    Route,
    TooMany,
    back_at,
    kinds_of,
    routes_of,
    starts_of,
)

DEFAULT_SECONDS = 30.0
# How much of the time may go to listing all routes; where there is little time, more of it, as
# days of few jobs need so many seconds.
LIST_SHARE, LIST_AT_LEAST_S, LIST_AT_MOST = 0.2, 4.0, 0.6
# How much of what is left goes to the choice among all routes; the rest is for want of a proof.
_CHOICE_SHARE = 0.75
# How much of what is left goes to the local search, and of the rest to the bound.
_SEARCH_SHARE, _BOUND_SHARE = 0.35, 0.65


class Status(StrEnum):
    """Whether a plan is known to be the best."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"


class Method(StrEnum):
    """How a plan was made."""

    ALL_ROUTES = "all routes"
    GENERATED = "generated routes"
    LOCAL_SEARCH = "local search"


@dataclass(frozen=True, slots=True)
class Planned:
    """One shift's jobs in their order, each with the minute of the day at which it starts.

    Args:
        overtime: minutes from the shift's end until it is back.
        overtime_cost: what those weigh, in minutes of driving.
    """

    shift: ShiftKey
    stops: tuple[tuple[int, int], ...]
    driving: int
    overtime: int = 0
    overtime_cost: int = 0

    @property
    def keys(self) -> tuple[int, ...]:
        """The jobs alone."""
        return tuple(key for key, _ in self.stops)


@dataclass(frozen=True, slots=True)
class Plan:
    """A rota.

    Args:
        objective: driving, overtime by its weight, penalties of what is left out and of broken
            promises, in minutes.
        bound: no plan has a smaller objective.
        left_out: keys of the jobs without a shift, in their order.
        broken: those of them that were locked to a shift, and cannot have it.
    """

    routes: tuple[Planned, ...]
    left_out: tuple[int, ...]
    objective: int
    bound: int
    method: Method
    broken: tuple[int, ...] = ()

    @property
    def status(self) -> Status:
        """Optimal only where the bound is the objective itself."""
        return Status.OPTIMAL if self.bound == self.objective else Status.FEASIBLE

    @property
    def gap(self) -> float:
        """Return by which share of the objective a better plan could be cheaper."""
        return (self.objective - self.bound) / self.objective if self.objective else 0.0

    @property
    def driving(self) -> int:
        """Minutes on the road, of all."""
        return sum(route.driving for route in self.routes)


def plan(
    problem: Problem,
    *,
    seconds: float = DEFAULT_SECONDS,
    go_on: Callable[[], None] = lambda: None,
) -> Plan:
    """Return the best plan that `seconds` allow.

    A job that is locked to a shift is never left out in favour of others, nor moved.

    Args:
        go_on: called often; what it raises ends the planning.
    """
    clock = Clock(seconds, go_on)
    kinds = kinds_of(problem)
    listed = _listed(problem, kinds, clock.share(_list_share(seconds)))
    if listed is not None:
        chosen = choose(problem, kinds, listed, clock.left * _CHOICE_SHARE)
        if chosen is not None and chosen.bound is not None:
            return _chosen(problem, kinds, chosen, clock)
    return _generated(problem, kinds, clock)


def _chosen(problem: Problem, kinds: Sequence[Kind], chosen: Choice, clock: Clock) -> Plan:
    """Return the choice of all routes; where the time did not do for its proof, what a local
    search finds in the rest of it may be better."""
    assert chosen.bound is not None
    made = _plan(problem, kinds, chosen.routes, chosen.bound, Method.ALL_ROUTES)
    if made.status is Status.OPTIMAL:
        return made
    other = improved(problem, kinds, clock)
    if _cost(problem, other) < _cost(problem, chosen.routes):
        return _plan(problem, kinds, other, chosen.bound, Method.LOCAL_SEARCH)
    return made


def _list_share(seconds: float) -> float:
    return min(LIST_AT_MOST, max(LIST_SHARE, LIST_AT_LEAST_S / seconds))


def _listed(problem: Problem, kinds: Sequence[Kind], clock: Clock) -> list[Route] | None:
    """Return every route of every kind; None where the time does not do for all."""
    found: list[Route] = []
    for number, kind in enumerate(kinds):
        try:
            found += routes_of(problem, kind, number, clock=clock)
        except TooMany:
            return None
    return found


def _generated(problem: Problem, kinds: Sequence[Kind], clock: Clock) -> Plan:
    first = improved(problem, kinds, clock.share(_SEARCH_SHARE))
    more = bounded(problem, kinds, first, clock.share(_BOUND_SHARE))
    best, method = first, Method.LOCAL_SEARCH
    chosen = choose(problem, kinds, more.routes, max(1.0, clock.left / 2))
    if chosen is not None and _cost(problem, chosen.routes) < _cost(problem, first):
        best, method = list(chosen.routes), Method.GENERATED
    cost, bound = _cost(problem, best), more.bound
    if more.is_complete and more.proof is not None and bound < cost:
        better = _proven(problem, kinds, more.proof, cost, clock)
        if better is not None:
            bound = max(bound, min(cost, better.bound or 0))
            if better.routes and _cost(problem, better.routes) < cost:
                best, method = list(better.routes), Method.GENERATED
    return _plan(problem, kinds, best, bound, method)


def _proven(
    problem: Problem, kinds: Sequence[Kind], proof: Proof, cost: int, clock: Clock
) -> Choice | None:
    """Choose among all routes that a cheaper plan can have; None where there are too many."""
    routes = proof.routes(problem, kinds, cost, clock.share(0.5))
    if routes is None:
        return None
    return choose(problem, kinds, routes, max(1.0, clock.left))


def _cost(problem: Problem, routes: Iterable[Route]) -> int:
    """Return the cost with the full weight of locks."""
    chosen = list(routes)
    had = {key for route in chosen for key in route.order}
    weigh = weights(problem)
    return sum(route.cost for route in chosen) + sum(
        weight for key, weight in weigh.items() if key not in had
    )


def _plan(
    problem: Problem, kinds: Sequence[Kind], routes: Iterable[Route], bound: int, method: Method
) -> Plan:
    """Give each route its shift, and take the weight of broken locks out of cost and bound."""
    chosen = list(routes)
    free = {number: iter(kind.shifts) for number, kind in enumerate(kinds)}
    made = []
    for route in sorted(chosen, key=lambda each: each.order):
        shift = next(free[route.kind])
        stops = starts_of(problem, shift, route.order)
        assert stops is not None
        over = max(0, back_at(problem, shift, stops) - shift.ends)
        made.append(Planned(shift.key, tuple(stops), route.driving, over, route.overtime))
    had = {key for route in chosen for key in route.order}
    left = [task for task in problem.tasks if task.key not in had]
    weigh = weights(problem)
    broken = tuple(task.key for task in left if task.locked is not None)
    extra = sum(weigh[key] - problem.by_key[key].penalty for key in broken)
    objective = _cost(problem, chosen) - extra
    return Plan(
        tuple(sorted(made, key=lambda each: (each.shift.day, each.shift.crew))),
        tuple(task.key for task in left),
        objective,
        min(objective, max(0, bound - extra)),
        method,
        broken,
    )
