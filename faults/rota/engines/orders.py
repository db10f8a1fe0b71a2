"""That some jobs come before others, over all shifts of a plan.

In one route `routes.extend` keeps it. Between routes the day counts: see `Task.after`.
"""

from collections.abc import Iterable, Iterator, Sequence

from faults.rota.engines.problem import Problem, ShiftKey
from faults.rota.engines.routes import Kind, Route, route_of

# A rule for the choice among routes: by the number of a route, how often it counts; and the most
# that the routes chosen may count together.
Rule = tuple[dict[int, int], int]


def rules(problem: Problem, kinds: Sequence[Kind], routes: Sequence[Route]) -> Iterator[Rule]:
    """Yield what keeps each order: no route with the second job on a day by which no route of an
    earlier day has the first.

    Kinds with such jobs have one day each. One route that has both keeps the order by itself.
    """
    days = sorted({shift.key.day for shift in problem.shifts})
    for first, second in problem.orders:
        ones, others = _without(routes, first, second), _without(routes, second, first)
        day = {at: kinds[routes[at].kind].pattern.key.day for at in (*ones, *others)}
        locked = problem.by_key[second].locked
        if locked is not None:
            # It stays whatever becomes of the first, which then comes before it or not at all.
            late = [at for at in ones if day[at] >= locked.day]
            if late:
                yield dict.fromkeys((*others, *late), 1), 1
            continue
        for until in days:
            by_then = {at: 1 for at in others if day[at] <= until}
            if by_then:
                yield by_then | {at: -1 for at in ones if day[at] < until}, 0


def _without(routes: Sequence[Route], one: int, other: int) -> list[int]:
    """Return the numbers of the routes that have the one job, and not the other."""
    return [
        at for at, route in enumerate(routes) if one in route.order and other not in route.order
    ]


def fits(problem: Problem, key: int, shift: ShiftKey, had: dict[int, ShiftKey]) -> bool:
    """Whether a job on a shift keeps its order with those that have one; order in a route apart.

    Args:
        had: the shift of each other job that has one.
    """
    task = problem.by_key[key]
    for first, second in problem.orders:
        if second == key:
            at = had.get(first)
            if at is None and task.locked is None:
                return False
            if at is not None and not _comes_before(at, shift):
                return False
        elif first == key and second in had and not _comes_before(shift, had[second]):
            return False
    return True


def _comes_before(one: ShiftKey, other: ShiftKey) -> bool:
    return one == other or one.day < other.day


def mended(problem: Problem, kinds: Sequence[Kind], routes: Sequence[Route]) -> list[Route]:
    """Return the routes of a plan without the jobs that break an order; each of those, and of the
    left out ones that have an order, is put in where that costs less than leaving it out."""
    if not problem.orders:
        return list(routes)
    shifts = _shifts(kinds, routes)
    orders = {shift: route.order for shift, route in shifts.items()}
    _take_out(problem, orders)
    gone = sorted(problem.in_order - _where(orders).keys())
    by_shift = {shift.key: number for number, kind in enumerate(kinds) for shift in kind.shifts}

    def made(shift: ShiftKey, order: tuple[int, ...]) -> Route | None:
        number = by_shift[shift]
        return route_of(problem, kinds[number], number, order)

    for key in _first_ones_first(problem, gone):
        had = _where(orders)
        best: tuple[int, ShiftKey, tuple[int, ...]] | None = None
        for shift in sorted(by_shift):
            if not fits(problem, key, shift, had):
                continue
            now = orders.get(shift, ())
            before = made(shift, now)
            for at in range(len(now) + 1):
                longer = made(shift, (*now[:at], key, *now[at:]))
                if longer is not None:
                    more = longer.cost - (before.cost if before else 0)
                    best = min(best or (more, shift, longer.order), (more, shift, longer.order))
        if best is not None and best[0] < problem.by_key[key].penalty:
            orders[best[1]] = best[2]
    found = [made(shift, order) for shift, order in sorted(orders.items()) if order]
    return [route for route in found if route is not None]


def _shifts(kinds: Sequence[Kind], routes: Sequence[Route]) -> dict[ShiftKey, Route]:
    free = {number: iter(kind.shifts) for number, kind in enumerate(kinds)}
    return {next(free[route.kind]).key: route for route in routes}


def _where(orders: dict[ShiftKey, tuple[int, ...]]) -> dict[int, ShiftKey]:
    return {key: shift for shift, order in orders.items() for key in order}


def _take_out(problem: Problem, orders: dict[ShiftKey, tuple[int, ...]]) -> None:
    """Take out of `orders` what breaks an order, until nothing does.

    Where the second job is locked, the first one goes.
    """
    while True:
        had = _where(orders)
        wrong = next(
            (
                first if problem.by_key[second].locked is not None else second
                for first, second in problem.orders
                if second in had and not _is_kept(problem, first, second, had)
            ),
            None,
        )
        if wrong is None:
            return
        orders[had[wrong]] = tuple(key for key in orders[had[wrong]] if key != wrong)


def able(problem: Problem, order: Iterable[int]) -> tuple[int, ...]:
    """Return the jobs of a route without those that come before one which it has already."""
    found: list[int] = []
    for key in order:
        if problem.followers.get(key, frozenset()).isdisjoint(found):
            found.append(key)
    return tuple(found)


def _is_kept(problem: Problem, first: int, second: int, had: dict[int, ShiftKey]) -> bool:
    if first not in had:
        return problem.by_key[second].locked is not None
    return _comes_before(had[first], had[second])


def _first_ones_first(problem: Problem, keys: Iterable[int]) -> list[int]:
    """Return jobs so that none stands before one that comes before it."""
    left, found = list(keys), list[int]()
    while left:
        free = [key for key in left if not problem.by_key[key].after & set(left)]
        found += free
        left = [key for key in left if key not in free]
    return found
