"""Overtime at its price: against every plan there is, and each side of each edge.

That overtime costs more than an ordinary hour is common practice, no source; all numbers are
made up.
"""

from dataclasses import replace
from itertools import permutations, product
from random import Random

import pytest

from faults.rota.engines import planning
from faults.rota.engines.bounding import bounded
from faults.rota.engines.clock import Clock
from faults.rota.engines.planning import Plan, Status, plan
from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task
from faults.rota.engines.reasons import Reason, Why, reasons
from faults.rota.engines.routes import kinds_of
from tests.engines.rota.cases import driven, small

MONDAY, TUESDAY = ShiftKey(0, 0), ShiftKey(0, 1)
CREW = Shift(MONDAY, 480, 960, 2, 0, overtime=30, overtime_percent=150)
TRAVEL = [[0, 20], [20, 0]]
# 480 minutes less two drives: 440 fit into the day.
JOB = Task(7, 440, 1, 500)


def late(seed: int, *, jobs: int = 4) -> Problem:
    """Return a small rota whose crews may stay some minutes longer."""
    draw, problem = Random(seed), small(seed, jobs=jobs)
    shifts = [
        replace(
            shift,
            ends=shift.ends - draw.choice([0, 120]),
            overtime=draw.choice([0, 20, 90]),
            overtime_percent=draw.choice([0, 50, 130, 300]),
        )
        for shift in problem.shifts
    ]
    return replace(problem, shifts=shifts)


def cost_of(problem: Problem, shift: Shift, order: tuple[int, ...]) -> int | None:
    """Return driving and overtime of one order, written apart from the product: the first end at
    which a shift of that length can drive it says how many minutes are over."""
    for over in range(shift.overtime + 1):
        road = driven(problem, replace(shift, ends=shift.ends + over), order)
        if road is not None:
            return road + -(-over * shift.overtime_percent // 100)
    return None


def cheapest(problem: Problem) -> tuple[int, int]:
    """Return the fewest broken locks and the least cost of all plans."""
    keys = [task.key for task in problem.tasks]
    of_set = {}
    for shift in problem.shifts:
        for number in range(1 << len(keys)):
            some = tuple(key for bit, key in enumerate(keys) if number >> bit & 1)
            costs = [cost_of(problem, shift, order) for order in permutations(some)]
            of_set[shift.key, some] = min((c for c in costs if c is not None), default=None)
    best: list[tuple[int, int]] = []
    for chosen in product([None, *(s.key for s in problem.shifts)], repeat=len(keys)):
        pairs = list(zip(problem.tasks, chosen, strict=True))
        routes = [
            of_set[shift.key, tuple(task.key for task, at in pairs if at == shift.key)]
            for shift in problem.shifts
        ]
        able = [each for each in routes if each is not None]
        if len(able) < len(routes):
            continue
        cost = sum(able) + sum(task.penalty for task, at in pairs if at is None)
        cost += sum(task.moved_cost(at) for task, at in pairs if at is not None)
        broken = sum(task.locked is not None for task, at in pairs if at is None)
        best.append((broken, cost))
    return min(best)


def adds_up(problem: Problem, made: Plan) -> bool:
    left = sum(problem.by_key[key].penalty for key in made.left_out)
    routes = [cost_of(problem, problem.shift_at[r.shift], r.keys) for r in made.routes]
    assert routes == [r.driving + r.overtime_cost for r in made.routes]
    moved = sum(problem.by_key[k].moved_cost(r.shift) for r in made.routes for k in r.keys)
    return made.objective == sum(each or 0 for each in routes) + left + moved


@pytest.mark.parametrize("chunk", [range(n, n + 20) for n in range(0, 80, 20)])
def test_small_rotas_equal_the_cheapest_of_all_plans(chunk: range) -> None:
    for seed in chunk:
        problem = late(seed)
        made = plan(problem)
        assert adds_up(problem, made), seed
        assert made.status is Status.OPTIMAL, seed
        assert (len(made.broken), made.objective) == cheapest(problem), seed


def test_overtime_never_costs_and_dearer_overtime_never_pays() -> None:
    for seed in range(60):
        problem = late(seed, jobs=5)
        without = replace(problem, shifts=[replace(s, overtime=0) for s in problem.shifts])
        dearer = replace(
            problem,
            shifts=[replace(s, overtime_percent=s.overtime_percent + 50) for s in problem.shifts],
        )
        made = plan(problem)
        if not made.broken and not plan(without).broken:
            assert made.objective <= plan(dearer).objective <= plan(without).objective, seed


def test_where_routes_are_generated_it_adds_up_and_no_bound_is_above(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    exact = [plan(late(seed, jobs=5)) for seed in range(20)]
    for seed, best in enumerate(exact):
        problem = late(seed, jobs=5)
        if not best.broken:
            found = bounded(problem, kinds_of(problem), [], Clock(5))
            assert found.is_complete
            assert found.bound <= best.objective, seed
    monkeypatch.setattr(planning, "_listed", lambda *_: None)
    for seed, best in enumerate(exact[:6]):
        problem = late(seed, jobs=5)
        made = plan(problem, seconds=1)
        assert adds_up(problem, made), seed
        assert made.bound <= best.objective <= made.objective


def of(*tasks: Task, shifts: tuple[Shift, ...] = (CREW,)) -> tuple[Plan, list[Reason]]:
    problem = Problem(shifts, tasks, TRAVEL)
    made = plan(problem)
    return made, reasons(problem, made)


def over(*tasks: Task, shifts: tuple[Shift, ...] = (CREW,)) -> list[tuple[int, int]]:
    return [(r.overtime, r.overtime_cost) for r in of(*tasks, shifts=shifts)[0].routes]


def test_minutes_at_their_weight_to_the_last_that_is_allowed() -> None:
    assert over(JOB) == [(0, 0)]
    # One minute at 150 % weighs 1.5, rounded up; two weigh 3.
    assert over(replace(JOB, minutes=441)) == [(1, 2)]
    assert over(replace(JOB, minutes=442)) == [(2, 3)]
    assert over(replace(JOB, minutes=470)) == [(30, 45)]
    made, left = of(replace(JOB, minutes=471))
    assert (made.routes, left) == ((), [Reason(7, Why.HOURS)])
    # Nobody allowed any.
    assert over(replace(JOB, minutes=441), shifts=(replace(CREW, overtime=0),)) == []


def test_only_where_it_is_worth_it() -> None:
    # 40 minutes of driving and 45 of overtime: 85 is where leaving it out costs as much.
    long = replace(JOB, minutes=470)
    assert over(replace(long, penalty=86)) == [(30, 45)]
    made, left = of(replace(long, penalty=84))
    assert made.routes == ()
    assert left == [Reason(7, Why.DRIVING, MONDAY, (), 85, in_overtime=True)]
    # Another day without overtime is taken instead, where there is one.
    tuesday = replace(CREW, key=TUESDAY, ends=990, overtime=0)
    assert over(long, shifts=(CREW, tuesday)) == [(0, 0)]


def test_two_jobs_share_the_overtime_of_one_day() -> None:
    one, two = replace(JOB, minutes=230), replace(JOB, key=8, minutes=230)
    # 460 and 40 minutes of driving are 20 too many: they weigh 30, another day 40 of driving.
    tuesday = replace(CREW, key=TUESDAY)
    assert over(one, two, shifts=(CREW, tuesday)) == [(20, 30)]
    dear = [replace(shift, overtime_percent=201) for shift in (CREW, tuesday)]
    assert over(one, two, shifts=tuple(dear)) == [(0, 0), (0, 0)]


def test_overtime_below_0_is_refused() -> None:
    for given in ({"overtime": -1}, {"overtime_percent": -1}):
        with pytest.raises(ValueError, match=r"Expected overtime of 0 or more at \(0, 0\)"):
            Problem([replace(CREW, **given)], [JOB], TRAVEL)  # type: ignore[arg-type]
