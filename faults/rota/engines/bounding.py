"""Column generation: better routes for a plan, and a bound that no plan can undercut.

That some jobs come before others is not priced: without that rule plans cost less at most, so the
bound holds with it too.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import ceil

from faults.rota.engines.choosing import matrix, weights
from faults.rota.engines.clock import Clock
from faults.rota.engines.orders import able
from faults.rota.engines.pricing import Pricer, pricers
from faults.rota.engines.problem import Problem
from faults.rota.engines.routes import Kind, Route, TooMany, route_of, routes_of
from sites.kernel.lazily import np

_EPSILON = 1e-6
_A_ROUND = 20
# What leaving a job out may cost at first, over the detour that it costs in the first plan: the
# worths of jobs swing far less while few routes are known.
_DETOURS = 2.0
_LEAST_PRICE_MIN = 15.0
# From here on, what is still paid for is priced in full.
_NEARLY_CLOSED = 0.05


@dataclass
class Bounded:
    """What column generation found.

    Args:
        routes: those that can be driven, the first plan's among them.
        bound: no plan costs less, in minutes; 0 where the time did not do for one.
        is_complete: whether no further route could lower the bound's own problem.
        proof: from what the bound follows; None where the time did not do for one.
    """

    routes: list[Route]
    bound: int
    is_complete: bool
    proof: "Proof | None" = None


@dataclass(frozen=True, slots=True)
class Proof:
    """A bound with the worth of each job and the least reduced cost of each kind of shift.

    A plan costs at least the bound, and for each of its routes what that route's reduced cost is
    above the least of its kind. So a route that is too far above is in no better plan.
    """

    bound: float
    worth: dict[int, float]
    least: tuple[float, ...]
    pricers: Sequence[Pricer]

    def routes(
        self, problem: Problem, kinds: Sequence[Kind], below: int, clock: Clock
    ) -> list[Route] | None:
        """Return every route that a plan of less than `below` can have; None where the
        time does not do for all."""
        found: list[Route] = []
        for pricer, kind, least in zip(self.pricers, kinds, self.least, strict=True):
            if not pricer.size:
                continue
            rests, limit = pricer.rests(self.worth), below - self.bound + least + _EPSILON
            try:
                found += routes_of(
                    problem,
                    kind,
                    pricer.number,
                    clock=clock,
                    worth_it=lambda label, r=rests, top=limit: r.least(label) <= top,  # type: ignore[misc]
                )
            except TooMany:
                return None
        return found


@dataclass
class _Rounds:
    """The routes so far, the price of leaving each job out, the best bound and its worths."""

    problem: Problem
    kinds: Sequence[Kind]
    pricers: Sequence[Pricer]
    prices: dict[int, float]
    routes: dict[tuple[int, tuple[int, ...]], Route] = field(default_factory=dict)
    bound: float = 0.0
    best: dict[int, float] = field(default_factory=dict)
    proof: Proof | None = None

    def add(self, routes: Iterable[Route]) -> int:
        """Keep the new ones; return how many were."""
        before = len(self.routes)
        for route in routes:
            self.routes.setdefault((route.kind, route.order), route)
        return len(self.routes) - before


def bounded(
    problem: Problem, kinds: Sequence[Kind], first: Sequence[Route], clock: Clock
) -> Bounded:
    """Return routes and a bound, by about when the clock is over.

    Args:
        first: the routes of a plan that is known, to begin with.
    """
    prices = _first_prices(problem, kinds, first)
    rounds = _Rounds(problem, kinds, pricers(problem, kinds), prices)
    rounds.best = {key: price / _DETOURS for key, price in prices.items()}
    rounds.add(first)
    is_complete = False
    while not is_complete and not clock.is_over():
        is_complete = _round(rounds)
    found = [route for route in rounds.routes.values() if _is_able(problem, route)]
    return Bounded(found, max(0, ceil(rounds.bound - _EPSILON)), is_complete, rounds.proof)


def _round(rounds: _Rounds) -> bool:
    """Solve for the routes so far, price new ones; return whether there is nothing left to find.

    Worths of the moment swing, so routes are priced half-way to those of the best bound first.
    """
    value, worth, rents, paid = _solved(rounds)
    half_way = {key: (worth[key] + rounds.best[key]) / 2 for key in worth}
    low, found = _priced(rounds, half_way, worth, rents)
    if not found:
        low, found = _priced(rounds, worth, worth, rents)
    gap, most = value - low, weights(rounds.problem)
    soft = [key for key in paid if rounds.prices[key] < most[key]]
    if soft and (not found or gap < max(1.0, _NEARLY_CLOSED * value)):
        for key in soft:
            rounds.prices[key] = most[key]
        return False
    return not found or gap <= 1 - _EPSILON


def _priced(
    rounds: _Rounds, at: dict[int, float], worth: dict[int, float], rents: Sequence[float]
) -> tuple[float, int]:
    """Price routes at some worths; return their bound, and how many new ones lower the cost.

    The bound holds for any worths: their sum, and for each shift what its best route earns
    beyond them.
    """
    low, found, least = sum(at.values()), 0, []
    for pricer, kind, rent in zip(rounds.pricers, rounds.kinds, rents, strict=True):
        priced = pricer.price(at, _A_ROUND)
        least.append(min(0.0, priced.least))
        low += len(kind.shifts) * least[-1]
        for route in (*priced.routes, *_once_each(rounds, kind, priced.routes)):
            earns = sum(worth[key] for key in route.order) + rent
            if rounds.add([route]) and route.cost < earns - _EPSILON:
                found += 1
    if low > rounds.bound:
        rounds.bound, rounds.best = low, at
        rounds.proof = Proof(low, at, tuple(least), rounds.pricers)
    return low, found


def _solved(rounds: _Rounds) -> tuple[float, dict[int, float], list[float], list[int]]:
    """Return the cost of the best mixture of routes, each job's worth, the rent of each kind of
    shift (0 or below), and the jobs that the mixture leaves out in part."""
    from scipy.optimize import linprog
    from scipy.sparse import csc_array, eye_array, hstack

    tasks, kinds = rounds.problem.tasks, rounds.kinds
    routes = list(rounds.routes.values())
    taken = matrix(rounds.problem, kinds, routes).tocsr()
    size = len(tasks)
    costs = [*(route.cost for route in routes), *(rounds.prices[task.key] for task in tasks)]
    solved = linprog(
        costs,
        A_eq=hstack([taken[:size], eye_array(size)]),
        b_eq=np.ones(size),
        A_ub=hstack([taken[size:], csc_array((len(kinds), size))]),
        b_ub=[len(kind.shifts) for kind in kinds],
        bounds=(0, None),
        method="highs",
    )
    worth = {
        task.key: float(each) for task, each in zip(tasks, solved.eqlin.marginals, strict=True)
    }
    left = solved.x[len(routes) :]
    paid = [task.key for task, share in zip(tasks, left, strict=True) if share > _EPSILON]
    return float(solved.fun), worth, [float(each) for each in solved.ineqlin.marginals], paid


def _is_able(problem: Problem, route: Route) -> bool:
    """Whether it comes to each job once, and keeps every order of jobs."""
    return len(set(route.order)) == len(route.order) and able(problem, route.order) == route.order


def _once_each(rounds: _Rounds, kind: Kind, routes: Iterable[Route]) -> Iterable[Route]:
    """Yield the routes that come to a job twice again, as one can drive them: once."""
    for route in routes:
        order = tuple(dict.fromkeys(route.order))
        if len(order) < len(route.order):
            made = route_of(rounds.problem, kind, route.kind, order)
            if made is not None:
                yield made


def _first_prices(
    problem: Problem, kinds: Sequence[Kind], first: Iterable[Route]
) -> dict[int, float]:
    prices = {key: float(weight) for key, weight in weights(problem).items()}
    for route in first:
        yard = kinds[route.kind].pattern.place
        stops = [yard, *(problem.by_key[key].place for key in route.order), yard]
        for key, before, here, after in zip(route.order, stops, stops[1:], stops[2:], strict=False):
            travel = problem.travel
            detour = travel[before][here] + travel[here][after] - travel[before][after]
            prices[key] = min(prices[key], max(_LEAST_PRICE_MIN, _DETOURS * detour))
    return prices
