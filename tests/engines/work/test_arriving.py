"""When a visit may be made: access hours and promised times, before, at and after their edges."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.work.engines.arriving import Arrival, holds, let_in
from faults.work.engines.clashes import ClashKind, JobAt, clashes

DAY = date(2025, 6, 16)
EIGHT, TEN, NOON = 8 * 60, 10 * 60, 12 * 60
PROMISED = Arrival(DAY, EIGHT, TEN)


def found(start: int | None, **given: object) -> set[ClashKind]:
    """What speaks against a job of 105 minutes that was promised between eight and ten."""
    facts = {"day": DAY, "start": start, "arrival": PROMISED, **given}
    job = JobAt(1, 105, 1, **facts)  # type: ignore[arg-type]
    return {clash.kind for clash in clashes([job], [], today=DAY)}


@pytest.mark.parametrize(
    ("start", "keeps"),
    [(EIGHT - 1, False), (EIGHT, True), (TEN, True), (TEN + 1, False), (None, True)],
)
def test_somebody_begins_between_the_promised_times(start: int | None, *, keeps: bool) -> None:
    assert (ClashKind.PROMISED in found(start)) is not keeps


@pytest.mark.parametrize(("days", "keeps"), [(-1, False), (0, True), (1, False)])
def test_promised_times_are_of_one_day(days: int, *, keeps: bool) -> None:
    there = found(EIGHT, day=DAY + timedelta(days=days))
    assert (ClashKind.PROMISED in there) is not keeps
    assert let_in(None, PROMISED, DAY + timedelta(days=1), 60) == ()


def test_a_closed_door_is_named_as_such_and_not_as_a_promise() -> None:
    assert found(EIGHT, access=((NOON, NOON + 120),)) == {ClashKind.CLOSED}
    assert found(EIGHT, access=()) == {ClashKind.CLOSED}
    # Open from nine on: nine to ten is left of the promise.
    assert found(EIGHT + 60, access=((EIGHT + 60, NOON),)) == set()
    assert found(TEN + 1, access=((EIGHT, NOON),)) == {ClashKind.PROMISED}


def test_a_break_within_the_visit_is_no_breach() -> None:
    rests = ((TEN + 30, TEN + 60),)
    assert found(TEN, rests=rests) == set()
    assert let_in(None, PROMISED, DAY, 105, rests) == ((EIGHT, TEN + 105 + 30),)


def test_without_a_promise_the_doors_alone_decide() -> None:
    for access in (None, (), ((EIGHT, TEN), (NOON, NOON + 60))):
        assert let_in(access, None, DAY, 60) == access
    assert holds(None, EIGHT, TEN, 120)
    assert not holds((), None, None, 1)
    assert holds(((EIGHT, TEN),), None, None, 120)
    assert not holds(((EIGHT, TEN),), None, None, 121)


def test_times_that_end_before_they_begin_are_refused() -> None:
    assert Arrival(DAY, TEN, TEN).until == TEN
    with pytest.raises(ValueError, match="end after 600"):
        Arrival(DAY, TEN, TEN - 1)


@given(st.integers(0, 1300), st.integers(0, 120), st.integers(1, 600), st.integers(0, 1439))
def test_a_visit_is_let_in_just_where_it_begins_in_time(
    since: int, length: int, minutes: int, start: int
) -> None:
    arrival = Arrival(DAY, since, since + length)
    windows = let_in(None, arrival, DAY, minutes)
    assert holds(windows, start, start + minutes, minutes) is (since <= start <= since + length)
