"""The edges of the dig gate: the minute before, the minute itself, the minute after; two of each.

The rule is the one of test_dig_gate.py: a notice of Friday 6 March 2026 at 16 h clears on
Wednesday 11 March at 7 h and runs out with 28 March. Made up, days computed.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

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
from faults.notices.engines.workdays import LifeFrom, NoticeTerms, Unit
from tests.engines.notices.places import CALENDAR, at
from tests.engines.notices.test_dig_gate import (
    ALL_WELL,
    CLEARS_AT,
    GIVEN_AT,
    NOTICE,
    RUNS_OUT_AT,
    TERMS,
    blocks,
    dig,
    gate,
)

MINUTE = timedelta(minutes=1)
LAST = date(2026, 3, 28)


@pytest.mark.parametrize(
    ("start", "expected"),
    [
        (CLEARS_AT - MINUTE, (Reason(Block.WAITING, until=CLEARS_AT),)),
        (CLEARS_AT, ()),
        (CLEARS_AT + MINUTE, ()),
    ],
)
def test_a_dig_may_start_in_the_minute_in_which_it_clears(
    start: datetime, expected: tuple[Reason, ...]
) -> None:
    assert gate(PlannedDig(start, at(3, 11, 15))).reasons == expected


@pytest.mark.parametrize(
    ("end", "expected"),
    [
        (RUNS_OUT_AT - MINUTE, ()),
        (RUNS_OUT_AT, ()),
        (RUNS_OUT_AT + MINUTE, (Reason(Block.ENDS_AFTER_IT_RUNS_OUT, on=LAST),)),
    ],
)
def test_a_dig_may_end_in_the_minute_in_which_it_runs_out(
    end: datetime, expected: tuple[Reason, ...]
) -> None:
    assert gate(PlannedDig(at(3, 28, 7), end)).reasons == expected


@pytest.mark.parametrize(
    ("start", "expected"),
    [
        (RUNS_OUT_AT - MINUTE, (Reason(Block.ENDS_AFTER_IT_RUNS_OUT, on=LAST),)),
        (RUNS_OUT_AT, (Reason(Block.RAN_OUT, on=LAST),)),
        (RUNS_OUT_AT + MINUTE, (Reason(Block.RAN_OUT, on=LAST),)),
    ],
)
def test_a_notice_has_run_out_for_what_starts_in_that_minute(
    start: datetime, expected: tuple[Reason, ...]
) -> None:
    assert gate(PlannedDig(start, at(3, 29, 9))).reasons == expected


@pytest.mark.parametrize(
    ("moment", "is_clear"),
    [(CLEARS_AT - MINUTE, False), (CLEARS_AT, True), (RUNS_OUT_AT, True)],
)
def test_a_dig_of_no_length_is_judged_by_its_one_moment(moment: datetime, is_clear: bool) -> None:
    assert gate(PlannedDig(moment, moment)).is_clear is is_clear


def test_a_dig_that_ends_before_it_starts_is_refused_to_the_minute() -> None:
    with pytest.raises(ValueError, match="end >= start"):
        PlannedDig(CLEARS_AT, CLEARS_AT - MINUTE)
    assert PlannedDig(CLEARS_AT, CLEARS_AT).end == CLEARS_AT


@pytest.mark.parametrize(
    ("expiry", "last"),
    [
        (at(3, 20), date(2026, 3, 19)),
        (at(3, 20) + timedelta(microseconds=1), date(2026, 3, 20)),
        (at(3, 20, 0, 1), date(2026, 3, 20)),
    ],
)
def test_the_last_day_is_the_one_that_ends_at_midnight(expiry: datetime, last: date) -> None:
    printed = replace(NOTICE, printed_start=CLEARS_AT, printed_expiry=expiry)
    assert gate(dig(3, 21), printed).reasons == (Reason(Block.RAN_OUT, on=last),)


def test_a_life_and_a_limit_in_working_days_pass_over_the_weekend() -> None:
    # Clear on Wednesday the 11th, 3 working days on is Monday the 16th; 2 after the 6th the 10th.
    working = {"life_unit": Unit.WORKING_DAY, "max_ahead_unit": Unit.WORKING_DAY}
    terms = NoticeTerms(2, life_n=3, max_ahead_n=2, **working)  # type: ignore[arg-type]
    assert gate(dig(3, 16), NOTICE, terms).runs_out_at == at(3, 17)
    near, far = (replace(NOTICE, proposed_start=at(3, day, 7)) for day in (10, 11))
    assert blocks(gate(dig(3, 11), near, terms)) == []
    assert gate(dig(3, 11), far, terms).reasons == (
        Reason(Block.START_TOO_FAR_AHEAD, on=date(2026, 3, 10)),
    )


def test_what_nobody_said_is_not_known() -> None:
    assert Answer("Gas").reply is Reply.NONE
    bare = Notice(GIVEN_AT)
    assert bare.answers == ()
    assert (bare.proposed_start, bare.printed_start, bare.printed_expiry) == (None, None, None)
    reason = Reason(Block.WAITING)
    assert (reason.until, reason.on, reason.operators) == (None, None, ())
    answer = DigGate()
    assert (answer.reasons, answer.clears_at, answer.runs_out_at) == ((), None, None)


@pytest.mark.parametrize(
    ("proposed", "clears_at"),
    [
        (CLEARS_AT - MINUTE, CLEARS_AT),
        (CLEARS_AT, CLEARS_AT),
        (CLEARS_AT + MINUTE, CLEARS_AT + MINUTE),
    ],
)
def test_the_later_of_the_wait_and_the_start_that_was_asked_for_clears(
    proposed: datetime, clears_at: datetime
) -> None:
    assert gate(dig(3, 12), replace(NOTICE, proposed_start=proposed)).clears_at == clears_at


@pytest.mark.parametrize("zone_start", [datetime(2026, 3, 21, 4, 59, tzinfo=UTC)])
def test_how_far_ahead_is_read_on_the_wall_clock_of_the_property(zone_start: datetime) -> None:
    # 23:59 in Chicago on the 20th, the last day allowed; a minute later it is the 21st.
    near = replace(NOTICE, proposed_start=zone_start)
    assert gate(dig(3, 23), near).is_clear
    far = replace(NOTICE, proposed_start=zone_start + MINUTE)
    assert blocks(gate(dig(3, 23), far)) == [Block.START_TOO_FAR_AHEAD]


def test_a_notice_late_at_night_elsewhere_counts_days_from_the_propertys_day() -> None:
    # 6 March 23:00 in Chicago is the 7th in UTC; lives 21 days from the notice: the 27th.
    terms = NoticeTerms(2, life_n=21, life_from=LifeFrom.NOTICE, max_ahead_n=14)
    notice = Notice(datetime(2026, 3, 7, 5, 0, tzinfo=UTC), ALL_WELL, at(3, 20, 7))
    answer = gate(dig(3, 27), notice, terms)
    assert answer.is_clear
    assert answer.runs_out_at == at(3, 28)
    late = replace(notice, proposed_start=at(3, 21, 7))
    assert blocks(gate(dig(3, 27), late, terms)) == [Block.START_TOO_FAR_AHEAD]


def test_the_life_is_counted_from_the_start_that_was_asked_for_though_the_wait_outlasts_it() -> (
    None
):
    # Asked for Monday the 9th, clear on the 11th: 17 days from the 9th is the sooner one.
    answer = gate(dig(3, 12), replace(NOTICE, proposed_start=at(3, 9, 7)))
    assert (answer.clears_at, answer.runs_out_at) == (CLEARS_AT, at(3, 27))


def test_a_printed_start_alone_says_when_it_clears_but_not_that_it_is_known_to_live() -> None:
    printed = replace(NOTICE, printed_start=at(3, 9, 12))
    answer = gate(dig(3, 8), printed, None)
    assert (answer.clears_at, answer.runs_out_at) == (at(3, 9, 12), None)
    assert blocks(answer) == [Block.RULE_NOT_CONFIRMED, Block.WAITING]


def test_a_printed_expiry_alone_still_says_when_it_runs_out() -> None:
    printed = replace(NOTICE, printed_expiry=at(3, 20, 12))
    answer = gate(dig(3, 21), printed, None)
    assert (answer.clears_at, answer.runs_out_at) == (None, at(3, 20, 12))
    assert blocks(answer) == [Block.RULE_NOT_CONFIRMED, Block.RAN_OUT]


def test_without_a_life_it_clears_and_never_runs_out() -> None:
    answer = gate(dig(12, 1), NOTICE, NoticeTerms(2))
    assert answer.is_clear
    assert (answer.clears_at, answer.runs_out_at) == (CLEARS_AT, None)


@pytest.mark.parametrize(
    ("replies", "waited_on"),
    [
        ((Reply.MARKED, Reply.CLEAR), ()),
        ((Reply.NONE, Reply.CLEAR), ("Gas",)),
        ((Reply.MARKED, Reply.NOT_YET), ("Power",)),
        ((Reply.NOT_YET, Reply.NONE), ("Gas", "Power")),
    ],
)
def test_every_one_of_two_operators_must_have_answered(
    replies: tuple[Reply, Reply], waited_on: tuple[str, ...]
) -> None:
    answers = (Answer("Gas", replies[0]), Answer("Power", replies[1]))
    expected = (Reason(Block.NOT_ANSWERED, operators=waited_on),) if waited_on else ()
    assert gate(dig(3, 11), Notice(GIVEN_AT, answers)).reasons == expected
    printed = Notice(GIVEN_AT, answers, printed_start=at(3, 9), printed_expiry=at(3, 20))
    assert gate(dig(3, 11), printed, None).reasons == expected


def test_both_printed_moments_and_nobody_listed_stand_without_a_rule() -> None:
    printed = Notice(GIVEN_AT, printed_start=at(3, 9), printed_expiry=at(3, 20))
    assert gate(dig(3, 11), printed, None).is_clear
    assert blocks(gate(dig(3, 11), printed)) == [Block.OPERATORS_NOT_LISTED]


@pytest.mark.parametrize("name", ["proposed_start", "printed_start", "printed_expiry"])
def test_a_moment_of_the_ticket_may_lie_within_a_day_before_the_notice(name: str) -> None:
    day_before = GIVEN_AT - timedelta(days=1)
    with pytest.raises(ValueError, match=f"Expected {name} on or after"):
        Notice(GIVEN_AT, **{name: day_before})  # type: ignore[arg-type]
    near = day_before + MINUTE
    assert getattr(Notice(GIVEN_AT, **{name: near}), name) == near  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["proposed_start", "printed_start", "printed_expiry"])
def test_every_moment_of_the_ticket_carries_its_zone(name: str) -> None:
    bare = at(3, 12).replace(tzinfo=None)
    with pytest.raises(ValueError, match=f"Expected {name} with its zone"):
        Notice(GIVEN_AT, **{name: bare})  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="Expected start with its zone"):
        PlannedDig(bare, at(3, 12))


def test_a_printed_life_of_one_minute_is_a_life() -> None:
    start = at(3, 12)
    printed = Notice(GIVEN_AT, printed_start=start, printed_expiry=start + MINUTE)
    assert printed.printed_expiry == start + MINUTE


def test_moments_are_shown_on_the_propertys_clock() -> None:
    utc = datetime(2026, 3, 9, 17, tzinfo=UTC)
    printed = Notice(GIVEN_AT, ALL_WELL, printed_start=utc, printed_expiry=utc + timedelta(9))
    answer = gate(dig(3, 11), printed)
    assert answer.clears_at is not None
    assert answer.runs_out_at is not None
    assert {answer.clears_at.tzinfo, answer.runs_out_at.tzinfo} == {CALENDAR.zone}


def test_the_gate_of_this_file_is_the_products() -> None:
    answer = may_dig(NOTICE, dig(3, 11), terms=TERMS, calendar=CALENDAR)
    assert answer == gate(dig(3, 11))
