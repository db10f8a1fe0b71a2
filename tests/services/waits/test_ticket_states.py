"""How the notices of many faults stand, in a fixed number of queries."""

from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from faults.models import DigOverride, Fault
from faults.waits.engines.waits import Ticket
from faults.waits.services.notice_states import ticket_states
from tests import make, make_notices

pytestmark = pytest.mark.django_db


def fault_here(**given: Any) -> Fault:
    """A fault at a property of the region Ohio."""
    place = make.place(notice_region="Ohio")
    return make.fault(make.station(controller=make.controller(property=place)), **given)


def state(fault: Fault, today: date) -> tuple[Ticket, date | None, date | None]:
    """How the fault's ticket stands."""
    return ticket_states([fault.pk], today=today)[fault.pk]


def test_a_ticket_waits_clears_and_runs_out() -> None:
    # Mon 2 June 2025 10:00, two working days: Thu 5 is clear; ten days from the 2nd: Thu 12.
    make_notices.rule(region="Ohio")
    fault = fault_here()
    make_notices.notice("Gas", fault=fault)
    given, clear = date(2025, 6, 2), date(2025, 6, 5)
    assert state(fault, date(2025, 6, 4)) == (Ticket.WAITING, given, clear)
    assert state(fault, clear) == (Ticket.CLEAR, clear, clear)
    assert state(fault, date(2025, 6, 12)) == (Ticket.CLEAR, clear, clear)
    assert state(fault, date(2025, 6, 13)) == (Ticket.RAN_OUT, date(2025, 6, 13), clear)


def test_without_a_ticket_there_is_none() -> None:
    assert state(fault_here(), make.TODAY) == (Ticket.NONE, None, None)


def test_an_operator_who_has_not_answered_is_waited_on() -> None:
    make_notices.rule(region="Ohio")
    fault = fault_here()
    make_notices.notice("Gas", fault=fault, states={"Gas": "waiting"})
    assert state(fault, date(2025, 6, 6))[0] is Ticket.WAITING


@pytest.mark.parametrize(("rule", "operators"), [({"confirmed_on": None}, ["Gas"]), ({}, [])])
def test_what_only_we_can_put_right_is_our_move(rule: dict[str, Any], operators: list[str]) -> None:
    make_notices.rule(region="Ohio", **rule)
    fault = fault_here()
    make_notices.notice(*operators, fault=fault)
    assert state(fault, date(2025, 6, 6))[:2] == (Ticket.NONE, date(2025, 6, 2))


def test_nothing_is_dug_where_the_cause_lies_outside_the_wire() -> None:
    assert state(fault_here(cause_side="valve or water"), make.TODAY)[0] is Ticket.NOT_NEEDED


def test_the_owners_word_counts_as_clear() -> None:
    fault = fault_here()
    job = make_notices.dig(fault=fault)
    DigOverride.objects.create(job=job, reason="because", at=datetime(2025, 6, 9, 12, tzinfo=UTC))
    assert state(fault, make.TODAY) == (Ticket.CLEAR, date(2025, 6, 9), None)


def test_the_queries_do_not_grow_with_the_faults() -> None:
    make_notices.rule(region="Ohio")

    def asked(count: int) -> int:
        faults = [fault_here() for _ in range(count)]
        for each in faults:
            make_notices.notice("Gas", "Power", fault=each)
            make_notices.notice("Gas", property=each.property)
        with CaptureQueriesContext(connection) as queries:
            found = ticket_states([each.pk for each in faults], today=date(2025, 6, 6))
        assert {each[0] for each in found.values()} == {Ticket.CLEAR}
        return len(queries)

    assert (asked(3), asked(30)) == (7, 7)
