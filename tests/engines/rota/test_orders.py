"""Jobs that come before others: against every plan there is, and each side of each edge.

The rule is the trade's (nobody digs for a break that nobody located); the day as its unit is our
own choice, no source.
"""

from collections.abc import Mapping
from dataclasses import replace
from itertools import permutations, product
from random import Random

import pytest

from faults.rota.engines import planning
from faults.rota.engines.clock import Clock
from faults.rota.engines.improving import improved
from faults.rota.engines.planning import Plan, Status, plan
from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task
from faults.rota.engines.reasons import Reason, Why, reasons
from faults.rota.engines.routes import kinds_of
from tests.engines.rota.cases import checked, driven, small

KEYS = [ShiftKey(crew, day) for day in range(2) for crew in range(2)]
MONDAY, MONDAY_OTHER, TUESDAY, TUESDAY_OTHER = KEYS
SHIFTS = [Shift(key, 480, 960, 2, 0) for key in KEYS]
TRAVEL = [[0, 20], [20, 0]]
LOCATE = Task(1, 100, 1, 1000)
DIG = Task(2, 100, 1, 1000, after=frozenset({1}))


def ordered(seed: int, *, jobs: int = 4) -> Problem:
    """Return a small rota in which one or two jobs come after others, half of them in a chain."""
    draw, problem = Random(seed), small(seed, jobs=jobs)
    row = draw.sample(range(jobs), 3)
    after = {row[1]: {row[0]}, row[2]: draw.choice([set(), {row[0]}, {row[1]}])}
    tasks = [replace(t, after=frozenset(after.get(t.key, ()))) for t in problem.tasks]
    return replace(problem, tasks=tasks)


def keeps(problem: Problem, had: Mapping[int, tuple[ShiftKey, int]]) -> bool:
    """Whether a plan keeps every order; written apart from the product."""
    for task in problem.tasks:
        for first in task.after:
            one, other = had.get(first), had.get(task.key)
            if problem.by_key[first].locked and task.locked:
                continue  # Both were fixed by people.
            if one is None and other is not None and task.locked is None:
                return False
            if one is None or other is None:
                continue
            if one[0] == other[0]:
                if one[1] > other[1]:
                    return False
            elif one[0].day >= other[0].day:
                return False
    return True


def cheapest(problem: Problem) -> tuple[int, int]:
    """Return the fewest broken locks and the least cost of all plans: each shift for each job,
    each order of each shift."""
    best = (99, 0)
    for chosen in product([None, *(s.key for s in problem.shifts)], repeat=len(problem.tasks)):
        there = {
            s.key: [t.key for t, at in zip(problem.tasks, chosen, strict=True) if at == s.key]
            for s in problem.shifts
        }
        left = [t for t, at in zip(problem.tasks, chosen, strict=True) if at is None]
        cost = sum(t.penalty for t in left)
        for task, at in zip(problem.tasks, chosen, strict=True):
            cost += task.moved_cost(at) if at is not None else 0
        broken = sum(t.locked is not None for t in left)
        if (broken, cost) >= best:
            continue
        for orders in product(*(permutations(keys) for keys in there.values())):
            had = {
                key: (shift, at)
                for shift, order in zip(there, orders, strict=True)
                for at, key in enumerate(order)
            }
            minutes = [
                driven(problem, shift, order)
                for shift, order in zip(problem.shifts, orders, strict=True)
            ]
            road = [each for each in minutes if each is not None]
            if len(road) == len(minutes) and keeps(problem, had):
                best = min(best, (broken, cost + sum(road)))
    return best


def where(made: Plan) -> dict[int, tuple[ShiftKey, int]]:
    return {key: (route.shift, at) for route in made.routes for at, key in enumerate(route.keys)}


def locked_together(problem: Problem) -> bool:
    """Whether two jobs of one order are both locked: which of their orders stands is told below."""
    return any(t.locked and problem.by_key[f].locked for t in problem.tasks for f in t.after)


@pytest.mark.parametrize("chunk", [range(n, n + 20) for n in range(0, 80, 20)])
def test_small_rotas_equal_the_cheapest_of_all_plans(chunk: range) -> None:
    for seed in chunk:
        problem = ordered(seed)
        if locked_together(problem):
            continue
        made = plan(problem)
        checked(problem, made)
        assert keeps(problem, where(made)), seed
        assert made.status is Status.OPTIMAL, seed
        assert (len(made.broken), made.objective) == cheapest(problem), seed


def test_an_order_never_pays_and_without_one_nothing_changes() -> None:
    for seed in range(60):
        problem = ordered(seed, jobs=5)
        without = replace(problem, tasks=[replace(t, after=frozenset()) for t in problem.tasks])
        free, bound = plan(without), plan(problem)
        if not free.broken and not bound.broken:
            assert bound.objective >= free.objective, seed
        assert plan(small(seed)).objective == plan(replace(small(seed))).objective


def test_where_routes_are_generated_every_order_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    exact = [plan(ordered(seed, jobs=5)) for seed in range(6)]
    monkeypatch.setattr(planning, "_listed", lambda *_: None)
    for seed, best in enumerate(exact):
        problem = ordered(seed, jobs=5)
        made = plan(problem, seconds=1)
        checked(problem, made)
        assert keeps(problem, where(made)), seed
        assert made.bound <= best.objective <= made.objective


def test_what_a_local_search_finds_is_mended() -> None:
    for seed in range(12):
        problem = ordered(seed, jobs=5)
        kinds = kinds_of(problem)
        free = {number: iter(kind.shifts) for number, kind in enumerate(kinds)}
        had = {
            key: (shift.key, at)
            for route in improved(problem, kinds, Clock(0.1))
            for shift in [next(free[route.kind])]
            for at, key in enumerate(route.order)
        }
        assert keeps(problem, had), seed


def of(*tasks: Task, shifts: list[Shift] = SHIFTS) -> tuple[dict[int, ShiftKey], list[Reason]]:
    problem = Problem(shifts, tasks, TRAVEL)
    made = plan(problem)
    return {key: shift for key, (shift, _) in where(made).items()}, reasons(problem, made)


def test_on_one_day_only_behind_it_with_the_same_crew() -> None:
    # One drive for both: the same day, the same crew, the locate first.
    problem = Problem(SHIFTS, (DIG, LOCATE), TRAVEL)
    (route,) = plan(problem).routes
    assert route.stops == ((1, 500), (2, 600))
    # 240 minutes each do not fit into one day of 440: the other crew's Monday is no choice.
    long, later = replace(LOCATE, minutes=240), replace(DIG, minutes=240)
    at, left = of(long, later)
    assert (at[1].day, at[2].day, left) == (0, 1, [])
    at, left = of(long, later, shifts=SHIFTS[:2])
    assert list(at) == [1]
    assert left == [Reason(2, Why.FORERUNNER, at[1], (1,))]
    # To the minute: 440 are both in one day, 441 are not.
    fits = of(replace(LOCATE, minutes=220), replace(DIG, minutes=220), shifts=SHIFTS[:2])
    assert fits[0][1] == fits[0][2]
    assert of(replace(LOCATE, minutes=220), replace(DIG, minutes=221), shifts=SHIFTS[:2])[1] != []


def test_left_out_with_the_one_that_comes_first() -> None:
    hard = replace(LOCATE, skill=3)
    at, left = of(hard, DIG)
    assert at == {}
    assert left == [Reason(1, Why.SKILL), Reason(2, Why.FORERUNNER, None, (1,))]
    # Of two that come first, one left out is enough.
    at, left = of(LOCATE, replace(hard, key=3), replace(DIG, after=frozenset({1, 3})))
    assert set(at) == {1}
    assert left[-1] == Reason(2, Why.FORERUNNER, None, (3,))


def test_what_comes_after_may_be_worth_the_drive_to_both() -> None:
    # 40 minutes of driving for a locate that weighs 30: only what follows pays for it.
    cheap = replace(LOCATE, penalty=30)
    assert of(cheap)[0] == {}
    assert set(of(cheap, replace(DIG, penalty=11))[0]) == {1, 2}
    assert of(cheap, replace(DIG, penalty=9))[0] == {}


def test_a_locked_one_stays_and_the_other_goes_around_it() -> None:
    at, left = of(LOCATE, replace(DIG, locked=TUESDAY))
    assert (at[2], left) == (TUESDAY, [])
    assert at[1] == TUESDAY or at[1].day == 0
    # Fixed at 8:20 on the first day, so nothing comes before it; the other crew does not count.
    fixed = replace(DIG, locked=MONDAY, always=((500, 600),))
    at, left = of(LOCATE, fixed)
    assert at == {2: MONDAY}
    assert left == [Reason(1, Why.FOLLOWER, MONDAY, (2,))]
    # The first one locked: the second comes behind it.
    at, left = of(replace(LOCATE, locked=TUESDAY, minutes=300), replace(DIG, minutes=200))
    assert (list(at), left) == ([1], [Reason(2, Why.FORERUNNER, TUESDAY, (1,))])


def test_two_locked_against_the_order_stay_as_people_fixed_them() -> None:
    first = replace(LOCATE, locked=TUESDAY)
    for second in (MONDAY, MONDAY_OTHER, TUESDAY_OTHER):
        at, left = of(first, replace(DIG, locked=second))
        assert (at, left) == ({1: TUESDAY, 2: second}, [])
    # On one day without times the order is kept; with times against it, those stand.
    problem = Problem(SHIFTS, (replace(DIG, locked=TUESDAY), first), TRAVEL)
    assert [route.keys for route in plan(problem).routes] == [(1, 2)]
    timed = replace(DIG, locked=TUESDAY, always=((500, 600),))
    problem = Problem(SHIFTS, (timed, first), TRAVEL)
    assert [route.keys for route in plan(problem).routes] == [(2, 1)]


def test_jobs_after_unknown_ones_and_rings_are_refused() -> None:
    with pytest.raises(ValueError, match="Expected a known job before job 2, got 1"):
        Problem(SHIFTS, (DIG,), TRAVEL)
    with pytest.raises(ValueError, match=r"jobs \[1, 2\] wait for each other"):
        Problem(SHIFTS, (replace(LOCATE, after=frozenset({2})), DIG), TRAVEL)
    with pytest.raises(ValueError, match=r"jobs \[1\] wait"):
        Problem(SHIFTS, (replace(LOCATE, after=frozenset({1})),), TRAVEL)
