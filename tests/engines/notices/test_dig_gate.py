"""No dig before the notice clears, after it runs out, or while an operator is silent.

The rules here are our own, made up to show the gate; days computed.
"""

from datetime import date, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.notices.engines.dig_gate import (
    Answer,
    Block,
    DigGate,
    Notice,
    PlannedDig,
    Reason,
    Reply,
    may_dig,
)
from faults.notices.engines.workdays import LifeFrom, NoticeTerms, Unit, WorkCalendar
from tests.engines.notices.places import CALENDAR, TEXAS, at, calendars, units

TERMS = NoticeTerms(2, life_n=17, max_ahead_n=14)
ALL_WELL = (Answer("Gas", Reply.MARKED), Answer("Power", Reply.CLEAR))
GIVEN_AT = at(3, 6, 16)
NOTICE = Notice(GIVEN_AT, ALL_WELL)
CLEARS_AT = at(3, 11, 7)
RUNS_OUT_AT = at(3, 29)


def dig(month: int, first: int, last: int | None = None) -> PlannedDig:
    """Return a dig from 7 to 15 o'clock, over one day or several."""
    return PlannedDig(at(month, first, 7), at(month, last or first, 15))


def gate(
    planned: PlannedDig, notice: Notice | None = NOTICE, terms: NoticeTerms | None = TERMS
) -> DigGate:
    """Ask the gate under the tests' calendar."""
    return may_dig(notice, planned, terms=terms, calendar=CALENDAR)


def blocks(answer: DigGate) -> list[Block]:
    """Return what holds the dig back, in order."""
    return [reason.block for reason in answer.reasons]


def test_says_between_which_moments_a_dig_may_go() -> None:
    answer = gate(dig(3, 11))
    assert answer.is_clear
    assert (answer.clears_at, answer.runs_out_at) == (CLEARS_AT, RUNS_OUT_AT)


def test_no_notice() -> None:
    assert gate(dig(3, 11), None).reasons == (Reason(Block.NO_NOTICE),)


def test_work_that_only_locates_is_never_held_back() -> None:
    assert may_dig(None, None, terms=None, calendar=CALENDAR).is_clear


@pytest.mark.parametrize("day", [6, 9, 10])
def test_refuses_a_day_before_it_clears(day: int) -> None:
    assert gate(dig(3, day)).reasons == (Reason(Block.WAITING, until=CLEARS_AT),)


def test_refuses_a_dig_that_starts_too_early_and_ends_in_time() -> None:
    assert blocks(gate(dig(3, 10, 12))) == [Block.WAITING]


def test_an_hour_clock_clears_within_a_day() -> None:
    saturday = Notice(at(3, 7, 9))
    answer = gate(PlannedDig(at(3, 10, 11, 58), at(3, 10, 15)), saturday, TEXAS)
    assert answer.reasons == (Reason(Block.WAITING, until=at(3, 10, 11, 59)),)
    assert gate(PlannedDig(at(3, 10, 11, 59), at(3, 10, 15)), saturday, TEXAS).is_clear


@pytest.mark.parametrize(
    ("planned", "block"),
    [
        (dig(3, 28), None),
        (dig(3, 27, 29), Block.ENDS_AFTER_IT_RUNS_OUT),
        (PlannedDig(RUNS_OUT_AT, at(3, 29, 1)), Block.RAN_OUT),
        (dig(3, 29), Block.RAN_OUT),
        (dig(4, 15), Block.RAN_OUT),
    ],
)
def test_refuses_what_does_not_end_while_it_lives(planned: PlannedDig, block: Block | None) -> None:
    expected = () if block is None else (Reason(block, on=date(2026, 3, 28)),)
    assert gate(planned).reasons == expected


def test_a_dig_over_the_whole_life_meets_both_ends() -> None:
    assert blocks(gate(dig(3, 10, 29))) == [Block.WAITING, Block.ENDS_AFTER_IT_RUNS_OUT]


@pytest.mark.parametrize("silent", [Reply.NONE, Reply.NOT_YET])
def test_names_the_operators_that_have_not_answered(silent: Reply) -> None:
    notice = Notice(GIVEN_AT, (Answer("Gas", silent), Answer("Power", Reply.CLEAR)))
    assert gate(dig(3, 11), notice).reasons == (Reason(Block.NOT_ANSWERED, operators=("Gas",)),)


def test_nobody_listed_is_not_everybody_answered() -> None:
    assert blocks(gate(dig(3, 11), Notice(GIVEN_AT))) == [Block.OPERATORS_NOT_LISTED]


def test_silence_is_no_bar_where_the_rule_asks_for_no_answer() -> None:
    terms = NoticeTerms(2, needs_positive_response=False)
    assert gate(dig(3, 11), Notice(GIVEN_AT, (Answer("Gas"),)), terms).is_clear


PRINTED = Notice(GIVEN_AT, ALL_WELL, printed_start=at(3, 9, 12), printed_expiry=at(3, 20, 12))


def test_a_rule_that_nobody_confirmed_holds_every_dig_back() -> None:
    answer = gate(dig(3, 11), terms=None)
    assert blocks(answer) == [Block.RULE_NOT_CONFIRMED]
    assert (answer.clears_at, answer.runs_out_at) == (None, None)


@pytest.mark.parametrize(
    "notice",
    [
        Notice(GIVEN_AT, ALL_WELL, printed_start=at(3, 9, 12)),
        Notice(GIVEN_AT, ALL_WELL, printed_expiry=at(3, 20, 12)),
    ],
)
def test_one_printed_moment_does_not_stand_in_for_the_rule(notice: Notice) -> None:
    assert blocks(gate(dig(3, 11), notice, None)) == [Block.RULE_NOT_CONFIRMED]


def test_both_printed_moments_stand_in_for_the_rule() -> None:
    assert gate(dig(3, 11), PRINTED, None).is_clear
    assert blocks(gate(dig(3, 9), PRINTED, None)) == [Block.WAITING]
    assert blocks(gate(dig(3, 20), PRINTED, None)) == [Block.ENDS_AFTER_IT_RUNS_OUT]


def test_without_a_rule_the_listed_operators_must_still_answer() -> None:
    notice = Notice(
        GIVEN_AT, (Answer("Gas"),), printed_start=at(3, 9, 12), printed_expiry=at(3, 20)
    )
    assert blocks(gate(dig(3, 11), notice, None)) == [Block.NOT_ANSWERED]


@pytest.mark.parametrize("terms", [TERMS, NoticeTerms(10, life_n=3), NoticeTerms(48, Unit.HOUR)])
def test_printed_moments_override_whatever_the_rule_computes(terms: NoticeTerms) -> None:
    answer = gate(dig(3, 10), PRINTED, terms)
    assert answer.is_clear
    assert (answer.clears_at, answer.runs_out_at) == (at(3, 9, 12), at(3, 20, 12))


def test_a_life_without_a_printed_expiry_is_counted_from_the_printed_start() -> None:
    notice = Notice(GIVEN_AT, ALL_WELL, proposed_start=at(3, 12), printed_start=at(3, 10))
    assert gate(dig(3, 27), notice).is_clear
    assert gate(dig(3, 28), notice).reasons == (Reason(Block.RAN_OUT, on=date(2026, 3, 27)),)


def test_nothing_clears_before_the_start_that_was_asked_for() -> None:
    notice = Notice(GIVEN_AT, ALL_WELL, proposed_start=at(3, 16, 7))
    assert gate(dig(3, 13), notice).reasons == (Reason(Block.WAITING, until=at(3, 16, 7)),)


@pytest.mark.parametrize(("day", "is_too_far"), [(20, False), (21, True)])
def test_a_start_may_be_proposed_only_so_far_ahead(day: int, is_too_far: bool) -> None:
    answer = gate(dig(3, 23), Notice(GIVEN_AT, ALL_WELL, proposed_start=at(3, day, 7)))
    expected = (Reason(Block.START_TOO_FAR_AHEAD, on=date(2026, 3, 20)),)
    assert answer.reasons == (expected if is_too_far else ())


def test_a_start_that_the_centre_printed_was_accepted() -> None:
    notice = Notice(GIVEN_AT, ALL_WELL, proposed_start=at(3, 24, 7), printed_start=at(3, 24, 7))
    assert gate(dig(3, 24), notice).is_clear


def test_every_reason_is_told_at_once() -> None:
    notice = Notice(at(3, 6, 16), (Answer("Gas"),), proposed_start=at(4, 1, 7))
    terms = NoticeTerms(2, life_n=5, life_from=LifeFrom.NOTICE, max_ahead_n=14)
    assert blocks(gate(dig(3, 30), notice, terms)) == [
        Block.START_TOO_FAR_AHEAD,
        Block.WAITING,
        Block.NOT_ANSWERED,
        Block.RAN_OUT,
    ]


def test_moments_without_a_zone_are_refused() -> None:
    bare = at(3, 12).replace(tzinfo=None)
    with pytest.raises(ValueError, match="given_at with its zone"):
        Notice(bare)
    with pytest.raises(ValueError, match="printed_expiry with its zone"):
        Notice(GIVEN_AT, printed_expiry=bare)
    with pytest.raises(ValueError, match="end with its zone"):
        PlannedDig(at(3, 12), bare)


def test_moments_out_of_order_are_refused() -> None:
    with pytest.raises(ValueError, match="printed_expiry > printed_start"):
        Notice(GIVEN_AT, printed_start=at(3, 12), printed_expiry=at(3, 12))
    with pytest.raises(ValueError, match="printed_start on or after the day of the notice"):
        Notice(GIVEN_AT, printed_start=at(3, 5))
    with pytest.raises(ValueError, match="end >= start"):
        PlannedDig(at(3, 12), at(3, 11))
    with pytest.raises(ValueError, match="operator's name"):
        Answer(" ")


@given(calendars, units, st.integers(1, 72), st.integers(1, 30), st.integers(0, 60))
def test_a_clear_dig_lies_inside_the_notice(
    calendar: WorkCalendar, unit: Unit, wait: int, life: int, days: int
) -> None:
    terms = NoticeTerms(wait, unit, life_n=life, needs_positive_response=False)
    start = GIVEN_AT + timedelta(days=days)
    planned = PlannedDig(start, start + timedelta(hours=30))
    answer = may_dig(NOTICE, planned, terms=terms, calendar=calendar)
    assert answer.clears_at is not None
    assert answer.runs_out_at is not None
    inside = answer.clears_at <= planned.start <= planned.end <= answer.runs_out_at
    assert answer.is_clear is inside


@given(calendars, units, st.integers(1, 72), st.integers(0, 60), st.integers(1, 23))
def test_a_longer_wait_never_opens_the_gate(
    calendar: WorkCalendar, unit: Unit, wait: int, days: int, hour: int
) -> None:
    start = calendar.at(date(2026, 3, 6) + timedelta(days=days), time(hour))
    planned = PlannedDig(start, start)
    shorter, longer = (
        may_dig(NOTICE, planned, terms=NoticeTerms(n, unit), calendar=calendar).is_clear
        for n in (wait, wait + 1)
    )
    assert shorter or not longer
