"""Which of several visits a station looks to, at the edges of their days and numbers."""

from datetime import date, timedelta

import pytest

from faults.cases.engines.stages import Stage
from faults.work.engines.visits import Purpose, Visit, VisitState, visit_for
from tests.engines.waits.cases import MOVED, TODAY, day, dig

ONE = timedelta(days=1)
TOMORROW = TODAY + ONE

# Which of two visits counts: the numbers tell them apart.
AT = {"day": TODAY, "number": 1}


@pytest.mark.parametrize(
    ("first", "second", "chosen"),
    [
        # Under way comes before planned, even where the planned one is sooner.
        (AT, {"day": TOMORROW, "number": 2, "state": VisitState.STARTED}, 2),
        (AT, {"day": TOMORROW, "number": 2}, 1),
        ({"day": TOMORROW, "number": 1}, {"day": TODAY, "number": 2}, 2),
        # One without a day comes last; on one day the older comes first.
        ({"number": 1}, {"day": TOMORROW, "number": 2}, 2),
        (AT, {"day": TODAY, "number": 2}, 1),
        ({"day": TODAY, "number": 3}, {"day": TODAY, "number": 2}, 2),
        # An open one comes before one that is over.
        ({"day": day(25), "number": 1, "state": VisitState.DONE}, {"number": 2}, 2),
        # Of two that are over, the later; on one day the younger.
        (
            {"day": day(25), "number": 1, "state": VisitState.DONE},
            {"day": day(24), "number": 2, "state": VisitState.DONE},
            1,
        ),
        (
            {"ended_on": day(25), "number": 1, "state": VisitState.DONE},
            {"ended_on": day(25), "number": 2, "state": VisitState.DONE},
            2,
        ),
        # The day it ended counts before the day it was planned for.
        (
            {"day": day(29), "ended_on": day(23), "number": 1, "state": VisitState.DONE},
            {"day": day(24), "number": 2, "state": VisitState.DONE},
            2,
        ),
        # One that was done comes before one that was withdrawn; of two withdrawn, the younger.
        (
            {"day": day(25), "number": 1, "state": VisitState.DONE},
            {"day": day(26), "number": 2, "state": VisitState.WITHDRAWN},
            1,
        ),
        (
            {"day": day(26), "number": 1, "state": VisitState.WITHDRAWN},
            {"day": day(25), "number": 2, "state": VisitState.WITHDRAWN},
            2,
        ),
    ],
)
def test_of_two_visits_one_counts(
    first: dict[str, object], second: dict[str, object], chosen: int
) -> None:
    for visits in ((*dig(**first), *dig(**second)), (*dig(**second), *dig(**first))):
        found = visit_for(Stage.AGREED, visits, MOVED)
        assert found is not None
        assert found.number == chosen


@pytest.mark.parametrize(
    ("ended_on", "counts"), [(MOVED - ONE, False), (MOVED, True), (MOVED + ONE, True)]
)
def test_a_visit_that_was_done_counts_from_the_day_of_the_last_move(
    ended_on: date, counts: bool
) -> None:
    one = Visit(Purpose.DIG, VisitState.DONE, ended_on=ended_on)
    assert visit_for(Stage.AGREED, (one,), MOVED) == (one if counts else None)
    assert visit_for(Stage.AGREED, (one,), None) == one


def test_a_visit_that_was_done_nobody_knows_when_counts_only_where_no_move_has_a_day() -> None:
    one = Visit(Purpose.DIG, VisitState.DONE)
    assert visit_for(Stage.AGREED, (one,), MOVED) is None
    assert visit_for(Stage.AGREED, (one,), None) == one


def test_a_stage_that_no_visit_serves_looks_to_none() -> None:
    assert visit_for(Stage.FOUND, (Visit(Purpose.LOOK), Visit(Purpose.DIG)), MOVED) is None


def test_what_nobody_said_of_a_visit_is_not_known() -> None:
    visit = Visit()
    assert (visit.purpose, visit.state, visit.number) == (Purpose.LOOK, VisitState.PLANNED, 0)
    assert (visit.day, visit.ended_on, visit.held, visit.held_since) == (None, None, None, None)
