"""A plan that was made in a hurry gets its locked jobs back; the rule is the engine's own."""

from faults.rota.engines.improving import with_locks
from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task
from faults.rota.engines.routes import kinds_of, route_of

KEY = ShiftKey(0, 0)


def day(*tasks: Task) -> Problem:
    shifts = [Shift(KEY, 480, 960, 3, 0), Shift(ShiftKey(1, 0), 480, 960, 3, 0)]
    return Problem(shifts, tasks, [[0, 20], [20, 0]])


def orders(problem: Problem, *had: int) -> list[tuple[int, ...]]:
    """The orders after locks were put in, of a plan in which the first crew has these jobs."""
    kinds = kinds_of(problem)
    number = next(n for n, kind in enumerate(kinds) if kind.pattern.key == KEY)
    made = route_of(problem, kinds[number], number, had) if had else None
    return [route.order for route in with_locks(problem, kinds, [made] if made else [])]


def test_what_weighs_the_least_gives_way() -> None:
    locked = Task(1, 200, 1, 250, locked=KEY)
    problem = day(locked, Task(2, 200, 1, 500), Task(3, 200, 1, 1000))
    assert [set(order) for order in orders(problem, 2, 3)] == [{1, 3}]
    # Where there is room, nobody gives way.
    assert [set(order) for order in orders(problem, 3)] == [{1, 3}]
    assert orders(problem) == [(1,)]


def test_two_locked_jobs_and_one_that_cannot_be_had() -> None:
    one, two = (Task(key, 200, 1, 250, locked=KEY) for key in (1, 2))
    problem = day(one, two, Task(3, 200, 1, 1000))
    assert [set(order) for order in orders(problem, 3)] == [{1, 2}]
    # 300 minutes beside 200 are more than the 440 that two drives leave: the first one stays.
    problem = day(one, Task(2, 300, 1, 250, locked=KEY), Task(3, 200, 1, 1000))
    assert orders(problem, 1) == [(1,)]


def test_a_plan_that_has_them_stays() -> None:
    locked = Task(1, 200, 1, 250, locked=KEY)
    problem = day(locked, Task(2, 200, 1, 500))
    assert orders(problem, 2, 1) == [(2, 1)]
    assert orders(day(Task(2, 200, 1, 500)), 2) == [(2,)]
