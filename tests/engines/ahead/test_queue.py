"""Stations worked off week by week: small cases by hand, and what must hold for any."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.ahead.engines.queue import NEVER, Played, Queue, play


def queue(off: list[float], ready: list[float], work: list[float], turn: list[float]) -> Queue:
    rows = [np.array([each], float) for each in (off, ready, work, turn)]
    return Queue(*rows, np.zeros((1, len(off)), int))


def back(found: Played) -> list[float]:
    """Return when each came back, in the order of turns."""
    return [round(float(day), 6) for day in found.back_on[0]]


def test_a_crew_works_in_the_order_of_turns() -> None:
    """Two returns a week: the first two in the first week, half of the third's work is left."""
    found = play(
        queue([0, 0, 0], [0, 0, 0], [1.0, 0.5, 1.0], [2, 1, 3]),
        np.array([2.0]), start=0, weeks=2)  # fmt: skip
    assert back(found) == [1.75, 5.25, 7 + 7 * 0.5 / 2]


def test_what_waits_is_left_until_it_is_ready() -> None:
    found = play(queue([0, 0], [9.0, 0], [1.0, 1.0], [1, 2]), np.array([1.0]), start=0, weeks=3)
    assert back(found) == [14, 7]
    late = play(queue([0], [6.5], [0.1], [1]), np.array([1.0]), start=0, weeks=1)
    assert back(late) == [6.5]


def test_hours_that_nobody_needs_are_lost() -> None:
    found = play(queue([0], [7.0], [3.0], [1]), np.array([2.0]), start=0, weeks=3)
    assert back(found) == [7 * 2 + 7 * 0.5]


def test_what_is_not_reached_stays_off() -> None:
    found = play(queue([0], [0], [3.0], [1]), np.array([1.0]), start=0, weeks=2)
    assert back(found) == [NEVER]
    assert play(queue([0], [0], [3.0], [1]), np.array([1.0]), start=0, weeks=3).back_on[0, 0] == 21


def test_counts_are_at_the_end_of_a_day() -> None:
    found = Played(
        np.array([[-400.0, 0.0, 5.0, NEVER]]), np.array([[10.0, 5.0, NEVER, NEVER]]),
        np.array([[0, 1, 1, -1]]))  # fmt: skip
    assert [int(found.off(day)[0]) for day in (-1, 0, 5, 9.9, 10)] == [1, 2, 2, 2, 1]
    assert int(found.off(6, place=1)[0]) == 1
    assert [int(found.old(day)[0]) for day in (-35, -34, 9, 10, 370, 370.5)] == [0, 1, 1, 0, 0, 1]
    assert float(found.days_off(20)[0]) == 10 + 5 + 15


sizes = st.lists(
    st.tuples(st.floats(-300, 50), st.floats(0, 60), st.floats(0.1, 3), st.floats(0, 9)),
    min_size=1,
    max_size=15,
)


@given(sizes, st.floats(0.2, 4), st.floats(1.0, 2.0))
@settings(max_examples=80, deadline=None)
def test_more_crews_never_leave_more_off(
    data: list[tuple[float, float, float, float]], returns: float, more: float
) -> None:
    off, waits, work, turn = (list(each) for each in zip(*data, strict=True))
    one = queue(off, [a + b for a, b in zip(off, waits, strict=True)], work, turn)
    few = play(one, np.array([returns]), start=0, weeks=20)
    many = play(one, np.array([returns * more]), start=0, weeks=20)
    for day in (7, 35, 140):
        assert many.off(day)[0] <= few.off(day)[0]
    done = np.isfinite(few.back_on[0])
    work_of = np.take(np.array(work), np.argsort(one.turn[0], kind="stable"))
    assert work_of[done].sum() <= returns * 20 + 1e-6
    assert (few.back_on >= few.off_on).all()


def test_queues_stand_side_by_side() -> None:
    both = queue([1], [2], [3], [4]).joined(queue([5], [6], [7], [8]))
    assert [each.tolist() for each in (both.off_on, both.ready_on, both.work, both.turn)] == [
        [[1, 5]], [[2, 6]], [[3, 7]], [[4, 8]]]  # fmt: skip
    assert both.place.shape == (1, 2)
    assert pytest.approx(both.work.sum()) == 10
