"""The edges of what a station waits on: the day before, the day itself, the day after; two visits.

Days are those of waits_cases.py: off since 1 May 2025, moved on 20 May, today 15 June.
"""

from dataclasses import MISSING, fields, replace
from datetime import date, timedelta

import pytest

from faults.cases.engines.stages import Stage
from faults.waits.engines.waits import Consent, Facts, Ticket, Waiting, WaitsOn, waiting
from faults.work.engines.visits import Held, VisitState
from sites.stopgaps.engines.spells import Reason
from tests.engines.waits.cases import CLEAR, MOVED, OFF, TODAY, back, day, dig, facts, look

ONE = timedelta(days=1)
YESTERDAY, TOMORROW = TODAY - ONE, TODAY + ONE


@pytest.mark.parametrize(
    ("chosen_until", "expected"),
    [
        (YESTERDAY, Waiting(WaitsOn.ASK, YESTERDAY)),
        (TODAY, Waiting(WaitsOn.CLIENTS_CHOICE, OFF, TODAY)),
        (TOMORROW, Waiting(WaitsOn.CLIENTS_CHOICE, OFF, TOMORROW)),
    ],
)
def test_the_clients_own_day_still_holds_on_that_day(chosen_until: date, expected: Waiting) -> None:
    assert waiting(facts(reason=Reason.CLIENT, chosen_until=chosen_until)) == expected


@pytest.mark.parametrize(
    ("closed_as", "closed_on", "expected"),
    [
        (Stage.GIVEN_UP, OFF - ONE, Waiting(WaitsOn.REPORT, OFF)),
        (Stage.GIVEN_UP, OFF, Waiting(WaitsOn.GIVEN_UP, OFF)),
        (Stage.GIVEN_UP, OFF + ONE, Waiting(WaitsOn.GIVEN_UP, OFF + ONE)),
        (Stage.RETURNED, OFF - ONE, Waiting(WaitsOn.REPORT, OFF)),
        (Stage.RETURNED, OFF, Waiting(WaitsOn.REPORT, OFF)),
        (Stage.RETURNED, OFF + ONE, Waiting(WaitsOn.AFTER_RETURN, OFF + ONE)),
        (Stage.WITHDRAWN, OFF - ONE, Waiting(WaitsOn.REPORT, OFF)),
        (Stage.WITHDRAWN, OFF, Waiting(WaitsOn.REPORT, OFF)),
        (Stage.WITHDRAWN, OFF + ONE, Waiting(WaitsOn.REPORT, OFF + ONE)),
    ],
)
def test_a_fault_that_closed_counts_from_the_first_day_off(
    closed_as: Stage, closed_on: date, expected: Waiting
) -> None:
    assert waiting(facts(closed_as=closed_as, closed_on=closed_on)) == expected


@pytest.mark.parametrize("closed", [Stage.RETURNED, Stage.GIVEN_UP, Stage.WITHDRAWN])
def test_a_closed_stage_is_no_open_fault(closed: Stage) -> None:
    assert waiting(facts(closed)) == Waiting(WaitsOn.REPORT, OFF)


@pytest.mark.parametrize("held", list(Held))
@pytest.mark.parametrize("state", [VisitState.STARTED, VisitState.DONE])
def test_what_held_a_visit_is_over_once_the_visit_is_under_way(
    held: Held, state: VisitState
) -> None:
    one = {"held": held, "held_since": day(21), "day": day(25), "number": 3, "state": state}
    assert waiting(facts(Stage.SCHEDULED, visits=look(**one))) == Waiting(
        WaitsOn.VISIT_RESULT, day(25), None, 3
    )
    assert waiting(facts(Stage.AGREED, **CLEAR, visits=dig(**one))) == Waiting(
        WaitsOn.MEND_RESULT, day(25), None, 3
    )
    number, until = (3, None) if state is VisitState.STARTED else (None, None)
    assert waiting(facts(Stage.MENDED, visits=back(**one))) == Waiting(
        WaitsOn.PROOF, MOVED, until, number
    )


def test_a_visit_held_since_nobody_knows_when_is_held_since_the_last_move() -> None:
    known = facts(Stage.SCHEDULED, visits=look(held=Held.PARTS, number=4))
    assert waiting(known) == Waiting(WaitsOn.PARTS, MOVED, None, 4)
    assert waiting(replace(known, moved_on=None)) == Waiting(WaitsOn.PARTS, OFF, None, 4)


@pytest.mark.parametrize(("on", "ahead"), [(YESTERDAY, False), (TODAY, True), (TOMORROW, True)])
def test_a_planned_day_is_ahead_until_it_is_over(on: date, ahead: bool) -> None:
    for stage, visits, more, coming, gone in (
        (Stage.REPORTED, look, {}, WaitsOn.VISIT_DAY, WaitsOn.VISIT_RESULT),
        (Stage.SCHEDULED, look, {}, WaitsOn.VISIT_DAY, WaitsOn.VISIT_RESULT),
        (Stage.AGREED, dig, CLEAR, WaitsOn.DIG_DAY, WaitsOn.MEND_RESULT),
    ):
        found = waiting(facts(stage, **more, visits=visits(day=on, number=8)))
        expected = Waiting(coming, MOVED, on, 8) if ahead else Waiting(gone, on, None, 8)
        assert found == expected


@pytest.mark.parametrize(
    ("on", "since"), [(MOVED - ONE, MOVED), (MOVED, MOVED), (MOVED + ONE, MOVED + ONE)]
)
def test_a_day_that_went_by_before_the_last_move_counts_from_the_move(
    on: date, since: date
) -> None:
    assert waiting(facts(Stage.SCHEDULED, visits=look(day=on))).since == since


@pytest.mark.parametrize(("on", "kept"), [(MOVED - ONE, False), (MOVED, True), (MOVED + ONE, True)])
def test_an_answer_counts_from_the_day_on_which_the_station_was_found(on: date, kept: bool) -> None:
    asked = Waiting(WaitsOn.ASK, MOVED)
    for consent, on_what in (
        (Consent.REFUSED, WaitsOn.REFUSED),
        (Consent.AGREED, WaitsOn.AGREE),
    ):
        found = waiting(facts(Stage.FOUND, consent=consent, consent_on=on))
        assert found == (Waiting(on_what, on) if kept else asked)
    # A question that is still open is still open, however old.
    found = waiting(facts(Stage.FOUND, consent=Consent.ASKED, consent_on=on))
    assert found == Waiting(WaitsOn.ANSWER, on)


def test_an_answer_without_a_day_counts_from_the_last_move() -> None:
    for consent, on in (
        (Consent.ASKED, WaitsOn.ANSWER),
        (Consent.REFUSED, WaitsOn.REFUSED),
        (Consent.AGREED, WaitsOn.AGREE),
    ):
        assert waiting(facts(Stage.FOUND, consent=consent)) == Waiting(on, MOVED)
        without = facts(Stage.FOUND, consent=consent, consent_on=day(9), moved_on=None)
        assert waiting(without) == Waiting(on, day(9))


@pytest.mark.parametrize(
    ("state", "on"),
    [
        (VisitState.PLANNED, WaitsOn.NOTICE),
        (VisitState.STARTED, WaitsOn.MEND_RESULT),
        (VisitState.DONE, WaitsOn.MEND_RESULT),
        (VisitState.WITHDRAWN, WaitsOn.NOTICE),
    ],
)
@pytest.mark.parametrize("ticket", [Ticket.NONE, Ticket.RAN_OUT])
def test_a_notice_is_missed_until_the_hole_is_begun(
    state: VisitState, on: WaitsOn, ticket: Ticket
) -> None:
    known = facts(Stage.AGREED, ticket=ticket, visits=dig(day=day(25), state=state))
    assert waiting(known).on is on


@pytest.mark.parametrize(
    ("state", "on"), [(VisitState.STARTED, WaitsOn.MEND_RESULT), (VisitState.PLANNED, None)]
)
def test_a_notice_that_waits_is_waited_for_until_the_hole_is_begun(
    state: VisitState, on: WaitsOn | None
) -> None:
    known = facts(Stage.AGREED, ticket=Ticket.WAITING, visits=dig(day=day(25), state=state))
    assert waiting(known).on is (on or WaitsOn.NOTICE_CLEAR)


def test_a_notice_without_a_day_counts_from_the_last_move() -> None:
    known = facts(Stage.AGREED, ticket=Ticket.WAITING, ticket_clear_on=TODAY)
    assert waiting(known) == Waiting(WaitsOn.NOTICE_CLEAR, MOVED, TODAY)


@pytest.mark.parametrize(
    ("clear_on", "until"), [(YESTERDAY, None), (TODAY, TODAY), (TOMORROW, TOMORROW)]
)
def test_a_day_that_is_past_is_no_day_to_wait_for(clear_on: date, until: date | None) -> None:
    known = facts(Stage.AGREED, ticket=Ticket.WAITING, ticket_on=day(21), ticket_clear_on=clear_on)
    assert waiting(known) == Waiting(WaitsOn.NOTICE_CLEAR, day(21), until)


@pytest.mark.parametrize(
    ("moved_on", "since"), [(YESTERDAY, YESTERDAY), (TODAY, TODAY), (TOMORROW, TODAY)]
)
def test_nobody_waits_since_a_day_that_has_not_come(moved_on: date, since: date) -> None:
    assert waiting(facts(Stage.MENDED, moved_on=moved_on)).since == since


@pytest.mark.parametrize("ahead", [-1, 0, 1])
def test_a_spell_that_begins_ahead_waits_since_its_first_day(ahead: int) -> None:
    off = TODAY + ahead * ONE
    assert waiting(Facts(TODAY, off, Reason.WIRE)) == Waiting(WaitsOn.REPORT, off)


def test_a_reason_without_a_day_holds_since_the_spell_began() -> None:
    assert waiting(facts(reason=Reason.LINK_LOST)) == Waiting(WaitsOn.LINK, OFF)


@pytest.mark.parametrize("stage", [Stage.MENDED, Stage.PROVEN])
def test_a_visit_to_bring_back_gives_its_day_and_number_while_it_is_open(stage: Stage) -> None:
    on = WaitsOn.PROOF if stage is Stage.MENDED else WaitsOn.RETURN
    planned = back(day=TOMORROW, number=6)
    assert waiting(facts(stage, visits=planned)) == Waiting(on, MOVED, TOMORROW, 6)
    for state in (VisitState.DONE, VisitState.WITHDRAWN):
        over = back(day=TOMORROW, number=6, state=state)
        assert waiting(facts(stage, visits=over)) == Waiting(on, MOVED)


@pytest.mark.parametrize(
    ("ended_on", "on"),
    [
        (MOVED - ONE, WaitsOn.DIG),
        (MOVED, WaitsOn.MEND_RESULT),
        (MOVED + ONE, WaitsOn.MEND_RESULT),
    ],
)
def test_a_dig_of_an_earlier_round_gives_no_result_now(ended_on: date, on: WaitsOn) -> None:
    done = dig(state=VisitState.DONE, ended_on=ended_on)
    assert waiting(facts(Stage.AGREED, **CLEAR, visits=done)).on is on


def test_a_visit_without_a_day_still_says_which_it_is() -> None:
    assert waiting(facts(Stage.REPORTED, visits=look(number=5))) == Waiting(
        WaitsOn.VISIT, MOVED, None, 5
    )


def test_what_nobody_said_is_not_known() -> None:
    bare = {each.name: each.default for each in fields(Facts) if each.default is not MISSING}
    assert bare.pop("consent") is Consent.NOT_ASKED
    assert bare.pop("ticket") is Ticket.NONE
    assert set(bare.values()) == {None}
    assert Facts(TODAY, OFF, Reason.WIRE).visits == ()
    answer = Waiting(WaitsOn.REPORT, OFF)
    assert (answer.until, answer.visit) == (None, None)
