"""The words of promises tried on finished faults: only what was known by then, held as it came."""

from datetime import timedelta

import pytest

from faults.models import Fault, Job
from faults.promises.services.habits import SINCE_DAYS, past_since
from faults.promises.services.looking_back import MOST_TRIED, options_on, tried_on_finished
from tests import make, make_due
from tests.services.promises.finished import ago, finished

pytestmark = pytest.mark.django_db

NOW = make.NOW


def test_a_fault_is_known_from_the_day_after_it_closed_and_for_two_years() -> None:
    finished(reported=30, visits=(26, 20), closed=19)
    finished(reported=12, visits=(10,), closed=10)
    past = past_since(ago(2 * SINCE_DAYS))
    assert list(past.before(ago(19)).first) == []
    assert list(past.before(ago(18)).first) == [4]
    assert list(past.before(ago(18)).gaps) == [6]
    assert list(past.before(ago(9)).first) == [4, 2]
    assert list(past.before(ago(19) + timedelta(days=SINCE_DAYS)).first) == [4, 2]
    assert list(past.before(ago(18) + timedelta(days=SINCE_DAYS)).first) == [2]


def test_an_answer_and_a_late_visit_are_known_from_the_day_after() -> None:
    make_due.asked(asked_on=ago(9), answer="yes", answered_on=ago(6))
    past = past_since(ago(SINCE_DAYS))
    assert list(past.before(ago(6)).answers) == []
    assert list(past.before(ago(5)).answers) == [3]


def test_what_comes_later_does_not_move_what_would_have_been_offered() -> None:
    for days in range(60, 80):
        finished(reported=days, visits=(days - 1,), closed=days - 1)
    one = finished(reported=40, visits=(39,), closed=39)
    past = past_since(ago(2 * SINCE_DAYS))
    row = next(each for each in past.finished if each.fault == one.pk)
    then = options_on(row.reported_on, row, past)
    for days in range(10, 30):
        finished(reported=days + 5, visits=(days,), closed=days)
        make.fault(reported_on=ago(days))
    later = past_since(ago(2 * SINCE_DAYS))
    assert options_on(row.reported_on, row, later) == then
    assert then[0].days <= 2


def test_who_still_waited_on_that_day_counts_though_the_end_came_later() -> None:
    one = finished(reported=40, visits=(39,), closed=39)
    for reported in (41, 40):
        finished(reported=reported, visits=(5,), closed=5)
    make.fault(reported_on=ago(300))
    given_up = make.fault(reported_on=ago(200))
    Fault.objects.filter(pk=given_up.pk).update(stage="given up", closed_on=ago(41))
    past = past_since(ago(2 * SINCE_DAYS))
    assert sorted(past.before(ago(40)).unvisited) == [1, 260]
    assert sorted(past.before(ago(41)).unvisited) == [159, 259]
    assert sorted(past.before(ago(5)).unvisited) == [35, 36, 295]
    assert sorted(past.before(ago(4)).unvisited) == [296]
    assert one.reported_on == ago(40)


def test_shares_count_what_came_by_the_day_and_not_the_day_after() -> None:
    one = finished(reported=40, visits=(39,), closed=39)
    past = past_since(ago(2 * SINCE_DAYS))
    (row,) = past.finished
    edge = next(each for each in options_on(row.reported_on, row, past) if each.tenths == 8).days
    for took, kept in ((edge, 1), (edge + 1, 0)):
        Fault.objects.filter(pk=one.pk).update(closed_on=ago(40) + timedelta(days=took))
        tried, _planned = tried_on_finished(at=NOW)
        assert (tried.faults, tried.without) == (1, 0)
        assert [(each.kept, each.of) for each in tried.shares if each.tenths == 8] == [(kept, 1)]


def test_a_fault_without_a_visit_is_not_tried_and_none_is_no_share() -> None:
    make.fault(reported_on=ago(9))
    finished(reported=30, visits=(), closed=20)
    for tried in tried_on_finished(at=NOW):
        assert (tried.faults, tried.shares) == (0, [])


def test_the_newest_are_tried() -> None:
    for days in range(MOST_TRIED + 1):
        finished(reported=days + 5, visits=(days + 3,), closed=days + 2)
    assert tried_on_finished(at=NOW)[0].faults == MOST_TRIED


def planned_then(fault: Fault, *, on: int, day: int) -> None:
    """Let the first visit have been given a day so many days ago."""
    job = fault.jobs.get()
    when = NOW - timedelta(days=on)
    Job.history.filter(id=job.pk).update(history_date=when, day=ago(day))


def test_said_when_the_first_visit_was_planned_and_not_when_it_was_entered_afterwards() -> None:
    faults = [finished(reported=40, visits=(20,), closed=20) for _each in range(3)]
    for fault, on in zip(faults, (25, 20, 19), strict=True):
        planned_then(fault, on=on, day=21)
    reported, planned = tried_on_finished(at=NOW)
    assert (reported.faults, planned.faults) == (3, 2)
    past = past_since(ago(2 * SINCE_DAYS))
    row = next(each for each in past.finished if each.fault == faults[0].pk)
    assert row.planned == (ago(25), ago(21))
    assert options_on(ago(25), row, past)[0].days >= 4


def test_a_visit_counts_as_planned_from_the_day_on_which_it_was() -> None:
    fault = finished(reported=40, visits=(20,), closed=20)
    planned_then(fault, on=25, day=-275)
    past = past_since(ago(2 * SINCE_DAYS))
    (row,) = past.finished
    assert options_on(ago(25), row, past)[0].days >= 300
    assert options_on(ago(26), row, past)[0].days < 100


def test_where_others_wait_for_long_no_day_is_offered_and_that_is_counted() -> None:
    for days in range(700, 710):
        make.fault(reported_on=ago(days))
    finished(reported=40, visits=(20,), closed=20)
    reported, _planned = tried_on_finished(at=NOW)
    assert (reported.faults, reported.without) == (1, 1)
    assert reported.shares == []
