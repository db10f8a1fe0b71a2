"""Promised days in a rota. The rule and its minutes are our own choice, no source."""

import pytest

from faults.rota.engines.keeping import KEEPING_MIN, plan_keeping
from faults.rota.engines.planning import plan
from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task
from tests.engines.rota.cases import checked, small


def week(*tasks: Task, days: int = 2, hours: int = 8) -> Problem:
    """One crew with a yard in place 0 and two places, 20 minutes from it and 30 from another."""
    shifts = [Shift(ShiftKey(0, day), 480, 480 + 60 * hours, 3, 0) for day in range(days)]
    return Problem(shifts, tasks, [[0, 20, 20], [20, 0, 30], [20, 30, 0]])


def day_of(problem: Problem, promised: dict[int, int]) -> dict[int, int]:
    """The day of each job that has one."""
    made = plan_keeping(problem, promised, seconds=5)
    checked(made.problem, made.plan)
    return {key: route.shift.day for route in made.plan.routes for key in route.keys}


@pytest.mark.parametrize(("promised", "first"), [(0, 0), (1, None), (2, None)])
def test_a_promised_day_binds_up_to_that_day(promised: int, first: int | None) -> None:
    # Each job fills a day; without promises either may be first, and leaving out costs the most.
    one, other = Task(1, 400, 1, 250), Task(2, 400, 2, 250)
    days = day_of(week(one, other), {2: promised})
    assert days.keys() == {1, 2}
    assert first is None or days[2] == first
    assert days[2] <= promised


def test_two_promises_of_which_one_can_be_kept() -> None:
    urgent, other = Task(1, 400, 1, 500), Task(2, 400, 2, 250)
    made = plan_keeping(week(urgent, other), {1: 0, 2: 0}, seconds=5)
    # The other one is let go, and comes a day late rather than not at all.
    assert made.let_go == {2}
    assert [route.keys for route in made.plan.routes] == [(1,), (2,)]
    assert made.plan.left_out == ()


def test_what_was_promised_before_the_first_day_comes_late() -> None:
    made = plan_keeping(week(Task(1, 60, 1, 250)), {1: -1}, seconds=5)
    assert made.let_go == {1}
    assert [route.keys for route in made.plan.routes] == [(1,)]


def test_a_job_that_no_day_may_have_is_not_let_go() -> None:
    # Skill 4 is nobody's, on whichever day.
    made = plan_keeping(week(Task(1, 60, 1, 250, skill=4)), {1: 0}, seconds=5)
    assert (made.let_go, made.plan.left_out) == (frozenset(), (1,))


def test_a_promise_outweighs_one_priority_and_not_three() -> None:
    # One day, room for one job. 250 + 500 stand against 500, 750 (a tie) and 2000.
    assert KEEPING_MIN == 500
    kept = Task(1, 400, 1, 250)
    for penalty, winner in ((500, 1), (749, 1), (751, 2), (2000, 2)):
        problem = week(kept, Task(2, 400, 2, penalty), days=1)
        assert day_of(problem, {1: 0}) == {winner: 0}


def test_an_earlier_last_day_stays() -> None:
    tied = Task(1, 400, 1, 250, last_day=0)
    assert day_of(week(tied, Task(2, 400, 2, 250)), {1: 1}) == {1: 0, 2: 1}


def test_a_locked_job_keeps_its_shift_and_weight() -> None:
    locked = Task(1, 60, 1, 250, locked=ShiftKey(0, 1))
    made = plan_keeping(week(locked), {1: 0}, seconds=5)
    assert [route.shift.day for route in made.plan.routes] == [1]
    assert made.problem.by_key[1] == locked


@pytest.mark.parametrize("seed", range(12))
def test_without_promises_it_is_the_plain_plan(seed: int) -> None:
    problem = small(seed)
    assert plan_keeping(problem, {}, seconds=5).plan == plan(problem, seconds=5)


@pytest.mark.parametrize("seed", range(12))
def test_no_kept_promise_is_late(seed: int) -> None:
    problem = small(seed, days=3)
    free = [task.key for task in problem.tasks if task.locked is None]
    promised = {key: key % 3 for key in free}
    made = plan_keeping(problem, promised, seconds=5)
    checked(made.problem, made.plan)
    for route in made.plan.routes:
        for key in route.keys:
            if key in promised and key not in made.let_go:
                assert route.shift.day <= promised[key]
    # Who was promised the last day loses nothing by being let go.
    for key in made.let_go:
        assert promised[key] < 2
