"""Made-up weeks: the ways by hand do as they say, and the rota beats each of them.

The small form of `tests/bench/bench_weeks.py`, which plans fifty. The rules by hand are common
practice, no source.
"""

import pytest

from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task
from tests.bench.bench_weeks import (
    BY_HAND,
    by_hand,
    by_rota,
    compared,
    most_urgent,
    nearest,
    oldest,
    score,
)
from tests.bench.weeks import Week, made_up

FIRST, SECOND = ShiftKey(0, 0), ShiftKey(0, 1)


def two_days(*tasks: Task) -> Week:
    """One crew; places 1, 2 and 3 lie 10, 20 and 30 minutes from the yard, on one road."""
    shifts = [Shift(key, 480, 960, 3, 0) for key in (FIRST, SECOND)]
    travel = [[abs(a - b) * 10 for b in range(4)] for a in range(4)]
    problem = Problem(shifts, tasks, travel)
    return Week(problem, {1: 1, 2: 2, 3: 4}, {1: 5, 2: 50, 3: 20}, {1: 0, 2: 0})


def test_each_way_by_hand_takes_the_jobs_by_its_rule() -> None:
    week = two_days(*(Task(key, 200, key, 250) for key in (1, 2, 3)))
    assert by_hand(week, nearest) == {FIRST: [1, 2], SECOND: [3]}
    assert by_hand(week, oldest) == {FIRST: [2, 3], SECOND: [1]}
    assert by_hand(week, most_urgent) == {FIRST: [3, 2], SECOND: [1]}


def test_what_is_locked_keeps_its_room() -> None:
    locked = Task(3, 200, 3, 250, always=((700, 900),), locked=FIRST)
    week = two_days(Task(1, 300, 1, 250), Task(2, 150, 2, 250), locked)
    # 300 minutes from 8:10 on would come to place 3 too late.
    assert by_hand(week, nearest) == {FIRST: [2, 3], SECOND: [1]}


def test_a_week_is_counted() -> None:
    week = two_days(Task(1, 200, 1, 300), Task(2, 200, 2, 400), Task(3, 200, 3, 2100))
    made = score(week, {FIRST: [2], SECOND: [1]})
    assert (made.driving, made.done, made.left_min, made.first_left) == (60, 2, 2100, 1)
    # Both were promised the first day.
    assert (made.kept, made.late) == (1, 1)
    assert (made.whole, made.per_job) == (2160, 30.0)


def test_the_rota_beats_each_way_by_hand() -> None:
    made = compared(range(1, 4), seconds=2)
    rota = made.by_way["rota"]
    assert len(rota) == 3
    for way in BY_HAND:
        by_way = made.by_way[way]
        assert sum(one.left_min for one in rota) < sum(one.left_min for one in by_way)
        assert sum(one.kept for one in rota) > sum(one.kept for one in by_way)
        assert sum(one.done for one in rota) > sum(one.done for one in by_way)


@pytest.mark.parametrize("seed", range(1, 9))
def test_the_weeks_have_all_that_they_say(seed: int) -> None:
    week = made_up(seed)
    tasks = week.problem.tasks
    assert made_up(seed).problem == week.problem
    assert len(tasks) > 20
    assert any(task.locked for task in tasks)
    assert any(task.gear for task in tasks)
    assert {task.key for task in tasks} & week.promised.keys()
    assert len({task.skill for task in tasks}) == 3
    assert any(task.last_day is not None for task in tasks)


def test_a_choice_that_was_cut_short_is_no_worse_than_by_hand() -> None:
    # In this week all routes can be listed, and choosing among them takes longer than there is.
    week = made_up(15)
    routes, _proven = by_rota(week, seconds=3)
    rota, hand = score(week, routes), score(week, by_hand(week, nearest))
    assert rota.left_min < hand.left_min
    assert rota.done > hand.done
