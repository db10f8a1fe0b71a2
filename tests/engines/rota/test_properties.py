"""Against every plan there is, and what must hold of the best plan whatever the rota."""

from dataclasses import replace
from random import Random

import pytest

from faults.rota.engines import planning
from faults.rota.engines.bounding import bounded
from faults.rota.engines.clock import Clock
from faults.rota.engines.planning import Status, plan
from faults.rota.engines.problem import Problem, ShiftKey
from faults.rota.engines.routes import kinds_of
from tests.engines.rota.cases import cheapest, checked, small

SEEDS = range(200)


@pytest.mark.parametrize("chunk", [SEEDS[n : n + 50] for n in range(0, len(SEEDS), 50)])
def test_two_hundred_small_rotas_equal_the_cheapest_of_all_plans(chunk: range) -> None:
    for seed in chunk:
        problem = small(seed, jobs=4)
        made = plan(problem)
        checked(problem, made)
        assert made.status is Status.OPTIMAL, seed
        assert made.objective == cheapest(problem), seed


def test_no_bound_of_generated_routes_is_above_the_best_plan() -> None:
    for seed in range(60):
        problem = small(seed)
        best = plan(problem)
        if best.broken:
            continue
        found = bounded(problem, kinds_of(problem), [], Clock(5))
        assert found.is_complete
        assert found.bound <= best.objective, seed


def test_where_routes_are_generated_the_plan_keeps_every_rule(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    exact = [plan(small(seed)) for seed in range(6)]
    monkeypatch.setattr(planning, "_listed", lambda *_: None)
    for seed, best in enumerate(exact):
        problem = small(seed)
        made = plan(problem, seconds=1)
        checked(problem, made)
        assert made.broken == best.broken
        assert made.bound <= best.objective <= made.objective


def test_one_more_crew_never_costs_and_a_lock_never_pays() -> None:
    for seed in range(40):
        problem = small(seed)
        best = plan(problem)
        spare = replace(problem.shifts[0], key=ShiftKey(9, problem.shifts[0].key.day))
        assert plan(replace(problem, shifts=[*problem.shifts, spare])).objective <= best.objective
        for route in best.routes:
            key = route.keys[0]
            if problem.by_key[key].locked is None:
                others = [s.key for s in problem.shifts if s.key != route.shift]
                for at in (route.shift, *others[:1]):
                    assert plan(_locked(problem, key, at)).objective >= best.objective
                assert plan(_locked(problem, key, route.shift)).objective == best.objective


def _locked(problem: Problem, key: int, at: ShiftKey) -> Problem:
    """Return the problem with one job locked, and as free as before to be left out where it
    cannot be there."""
    tasks = [replace(t, locked=at) if t.key == key else t for t in problem.tasks]
    return replace(problem, tasks=tasks)


def test_the_order_of_the_jobs_does_not_matter() -> None:
    for seed in range(40):
        problem = small(seed)
        tasks = list(problem.tasks)
        Random(seed).shuffle(tasks)
        assert plan(replace(problem, tasks=tasks)).objective == plan(problem).objective


def test_where_nothing_weighs_nobody_drives() -> None:
    for seed in range(20):
        problem = small(seed)
        tasks = [replace(t, penalty=0, locked=None, moving=0) for t in problem.tasks]
        made = plan(replace(problem, tasks=tasks))
        assert (made.objective, made.driving) == (0, 0)


def test_never_worse_than_taking_jobs_as_they_come() -> None:
    for seed in range(40):
        problem = small(seed)
        made = plan(problem)
        if not made.broken:
            assert made.objective <= _as_they_come(problem)


def _as_they_come(problem: Problem) -> int:
    """Each job at the end of the first shift that still takes it."""
    from tests.engines.rota.cases import driven

    orders: dict[ShiftKey, tuple[int, ...]] = {shift.key: () for shift in problem.shifts}
    for task in problem.tasks:
        for shift in problem.shifts:
            longer = (*orders[shift.key], task.key)
            if driven(problem, shift, longer) is not None:
                orders[shift.key] = longer
                break
    had = {key for order in orders.values() for key in order}
    cost = sum(task.penalty for task in problem.tasks if task.key not in had)
    for shift in problem.shifts:
        minutes = driven(problem, shift, orders[shift.key])
        assert minutes is not None
        cost += minutes
        cost += sum(problem.by_key[key].moved_cost(shift.key) for key in orders[shift.key])
    return cost


def test_it_can_be_stopped_at_any_moment(monkeypatch: pytest.MonkeyPatch) -> None:
    class Stopped(Exception):
        pass

    def stop() -> None:
        raise Stopped

    with pytest.raises(Stopped):
        plan(small(1), go_on=stop)
    # Also while routes are searched for and generated.
    monkeypatch.setattr(planning, "_listed", lambda *_: None)
    with pytest.raises(Stopped):
        plan(small(1), go_on=stop)
    monkeypatch.setattr(planning, "improved", lambda *_: [])
    with pytest.raises(Stopped):
        plan(small(1), go_on=stop)
