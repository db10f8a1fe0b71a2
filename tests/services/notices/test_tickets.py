"""Tickets: given once, typed in, answered, cancelled and brought back."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from faults.models import Fault, Notice
from faults.notices.services.tickets import (
    OperatorLine,
    TicketFacts,
    UnableToEnterAnswers,
    UnableToGiveNotice,
    bring_notice_back,
    cancel_notice,
    change_notice,
    enter_answers,
    give_notice,
)
from sites.kernel.services.verb_days import UnableToCorrect, UnableToUseDay
from tests import make, make_notices

pytestmark = pytest.mark.django_db

TODAY = make.TODAY
FACTS = TicketFacts("A-1", make.NOW - timedelta(days=1), TODAY + timedelta(days=3), "east walk")


def give(fault: Fault | None = None, facts: TicketFacts = FACTS, **given: Any) -> Notice:
    """Give a notice for a fault."""
    if fault is None and "place" not in given:
        fault = make.fault()
    place = given.pop("place", None) or (fault.property if fault else None)
    return give_notice(place=place, fault=fault, facts=facts, by=make.user(), at=make.NOW, **given)


def test_a_notice_takes_the_rule_of_its_region_and_its_operators_once() -> None:
    rule = make_notices.rule(region="Ohio")
    place = make.place(notice_region="OHIO")
    fault = make.fault(make.station(controller=make.controller(property=place)))
    notice = give(fault, operators=["Gas", " Gas ", "", "Water  works"])
    assert notice.rule == rule
    assert [row.operator for row in notice.operators.order_by("pk")] == ["Gas", "Water works"]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"ticket": " "}, "ticket"),
        ({"ticket": "a-1"}, "ticket"),
        ({"given_at": make.NOW + timedelta(minutes=1)}, "given_at"),
        ({"proposed_start_on": TODAY - timedelta(days=2)}, "proposed_start_on"),
        ({"printed_start_on": TODAY - timedelta(days=2)}, "printed_start_on"),
        (
            {"printed_start_on": TODAY, "printed_expiry_on": TODAY - timedelta(days=1)},
            "printed_expiry_on",
        ),
    ],
)
def test_what_cannot_stand_on_a_ticket_is_refused(change: dict[str, Any], field: str) -> None:
    first = give()
    with pytest.raises(UnableToGiveNotice) as refusal:
        give(first.fault, replace(FACTS, **{"ticket": "B-2", **change}))
    assert refusal.value.field == field
    assert Notice.objects.count() == 1


def test_a_closed_fault_and_a_retired_property_take_no_notice() -> None:
    closed = make.fault(stage="withdrawn")
    with pytest.raises(UnableToGiveNotice, match="closed"):
        give(closed)
    with pytest.raises(UnableToGiveNotice, match="retired"):
        give(place=make.place(retired_on=TODAY))
    with pytest.raises(UnableToGiveNotice, match="another property"):
        give(make.fault(), place=make.place())


def test_the_printed_days_are_typed_in_later_and_the_old_values_stay() -> None:
    notice = give()
    facts = replace(FACTS, printed_start_on=TODAY, printed_expiry_on=TODAY + timedelta(days=20))
    change_notice(notice=notice, facts=facts, at=make.NOW, why="the mail came")
    notice.refresh_from_db()
    assert notice.printed_expiry_on == TODAY + timedelta(days=20)
    assert [row.printed_start_on for row in notice.history.order_by("history_id")] == [None, TODAY]


def test_a_cancelled_notice_rests_until_it_is_brought_back() -> None:
    notice = give()
    with pytest.raises(UnableToCorrect):
        cancel_notice(notice=notice, on=TODAY, why=" ", today=TODAY)
    with pytest.raises(UnableToGiveNotice, match="given after"):
        cancel_notice(notice=notice, on=TODAY - timedelta(days=2), why="no dig", today=TODAY)
    cancel_notice(notice=notice, on=TODAY, why="no dig", today=TODAY)
    for act in (
        lambda: change_notice(notice=notice, facts=FACTS, at=make.NOW),
        lambda: enter_answers(notice=notice, lines=[], today=TODAY),
        lambda: cancel_notice(notice=notice, on=TODAY, why="again", today=TODAY),
    ):
        with pytest.raises(UnableToGiveNotice, match="Bring it back first"):
            act()
    bring_notice_back(notice=notice, why="we dig after all")
    assert notice.cancelled_on is None
    with pytest.raises(UnableToGiveNotice, match="not cancelled"):
        bring_notice_back(notice=notice, why="again")


def test_answers_are_kept_changed_and_taken_off() -> None:
    notice = give(operators=["Gas", "Power"])
    gas, power = notice.operators.order_by("operator")
    changed = enter_answers(
        notice=notice,
        lines=[
            OperatorLine("Gas", "marked", TODAY, "yellow paint", gas.pk),
            OperatorLine("", row=power.pk),
            OperatorLine("Cable", "nothing here", TODAY),
            OperatorLine(" "),
        ],
        today=TODAY,
    )
    assert changed == 3
    rows = notice.operators.order_by("operator")
    assert [(row.operator, row.state, row.answered_on) for row in rows] == [
        ("Cable", "nothing here", TODAY),
        ("Gas", "marked", TODAY),
    ]
    back = [OperatorLine("Gas", "waiting", TODAY, "", gas.pk)]
    assert enter_answers(notice=notice, lines=back, today=TODAY) == 1
    gas.refresh_from_db()
    assert (gas.state, gas.answered_on) == ("waiting", None)
    assert enter_answers(notice=notice, lines=back, today=TODAY) == 0


@pytest.mark.parametrize(
    ("told", "error", "words"),
    [
        ([OperatorLine("Gas", "marked")], UnableToEnterAnswers, "which day did Gas"),
        (
            [OperatorLine("Gas", "marked", TODAY - timedelta(days=9))],
            UnableToEnterAnswers,
            "before the notice",
        ),
        (
            [OperatorLine("Gas", "marked", TODAY + timedelta(days=1))],
            UnableToUseDay,
            "has not come yet",
        ),
        ([OperatorLine("Gas"), OperatorLine("gas ")], UnableToEnterAnswers, "twice"),
    ],
)
def test_an_answer_that_cannot_be_is_refused(
    told: list[OperatorLine], error: type[Exception], words: str
) -> None:
    notice = give()
    with pytest.raises(error, match=words):
        enter_answers(notice=notice, lines=told, today=TODAY)
    assert notice.operators.count() == 0


def test_the_day_of_a_notice_is_the_propertys_day() -> None:
    place = make.place(time_zone="America/Los_Angeles")
    late = datetime(2025, 6, 15, 5, 0, tzinfo=UTC)  # the evening of the fourteenth there
    facts = replace(FACTS, given_at=late, proposed_start_on=date(2025, 6, 14))
    assert give(None, facts, place=place).proposed_start_on == date(2025, 6, 14)
