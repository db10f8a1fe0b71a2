"""A dig is refused on each wrong day with its reason, through the gate that a job asks."""

from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from faults.models import Fault, Job, NoticeRule
from faults.notices.engines.dig_gate import Block
from faults.notices.services import dig_gate
from faults.notices.services.closed import tick_days
from faults.notices.services.gate import judge_job
from faults.notices.services.terms import last_day
from faults.notices.services.words import dig_days, headline, reasons_in_words
from tests import make, make_notices

pytestmark = pytest.mark.django_db

ZONE = ZoneInfo("America/New_York")


def at(day: str, hour: int = 9, minute: int = 0) -> datetime:
    """A moment on the property's clock."""
    return datetime.combine(date.fromisoformat(day), time(hour, minute), ZONE)


def fault_here(**given: Any) -> Fault:
    """A fault at a property of the region Ohio."""
    place = make.place(notice_region=" ohio ", time_zone="America/New_York", **given)
    return make.fault(make.station(controller=make.controller(property=place)))


def ready(
    *operators: str, given_at: datetime, rule: NoticeRule | None = None, **ticket: Any
) -> Job:
    """A dig of an hour whose ticket was given then; the rule is that of Ohio."""
    fault = fault_here()
    rule = rule or make_notices.rule(region="Ohio")
    proposed = ticket.pop("proposed_start_on", given_at.date())
    make_notices.notice(
        *(operators or ("Gas",)),
        fault=fault,
        given_at=given_at,
        proposed_start_on=proposed,
        **ticket,
    )
    return make_notices.dig(fault=fault)


def blocks(job: Job, moment: datetime) -> set[str]:
    """What holds the dig back when it starts then."""
    return {reason.block.value for reason in dig_gate(job=job, at=moment).reasons}


WAIT, OUT, LATE = Block.WAITING.value, Block.RAN_OUT.value, Block.ENDS_AFTER_IT_RUNS_OUT.value


def test_working_days_are_waited_for_and_calendar_days_of_life_run_out() -> None:
    # Fri 6 March 2026, 16:00: Mon and Tue are waited, Wed 11 is clear, 10 days from Wed 11.
    days = make_notices.closed_days(years=(2026,))
    rule = make_notices.rule(region="Ohio", closed_days=days)
    job = ready(given_at=at("2026-03-06", 16), rule=rule, proposed_start_on=date(2026, 3, 11))
    walked = {
        day: blocks(job, at(day))
        for day in ("2026-03-07", "2026-03-09", "2026-03-10", "2026-03-11", "2026-03-21")
    }
    assert walked == {
        "2026-03-07": {WAIT},
        "2026-03-09": {WAIT},
        "2026-03-10": {WAIT},
        "2026-03-11": set(),
        "2026-03-21": set(),
    }
    assert blocks(job, at("2026-03-11", 6)) == {WAIT}
    assert blocks(job, at("2026-03-21", 23, 30)) == {LATE}
    assert blocks(job, at("2026-03-22")) == {OUT}


@pytest.mark.parametrize(
    ("is_friday_closed", "last_waited", "clear"),
    [(False, "2026-11-27", "2026-11-30"), (True, "2026-11-30", "2026-12-01")],
)
def test_a_tick_for_the_day_after_thanksgiving_moves_the_first_day(
    is_friday_closed: bool, last_waited: str, clear: str
) -> None:
    # Rows of the published check: Tue 24 November 2026, two working days, US federal holidays.
    kept = make_notices.closed_days(date(2026, 11, 26), date(2026, 11, 27), years=(2026,))
    closed = [day for day in kept.days.all() if is_friday_closed or day.on != date(2026, 11, 27)]
    tick_days(kept=kept, closed=[day.pk for day in closed])
    rule = make_notices.rule(region="Ohio", closed_days=kept)
    job = ready(given_at=at("2026-11-24", 10), rule=rule)
    assert blocks(job, at(last_waited, 16)) == {WAIT}
    assert blocks(job, at(clear, 7)) == set()


def test_the_observed_day_of_july_is_not_waited_on() -> None:
    kept = make_notices.closed_days(date(2026, 7, 3), years=(2026,))
    job = ready(
        given_at=at("2026-07-01", 10), rule=make_notices.rule(region="Ohio", closed_days=kept)
    )
    assert (blocks(job, at("2026-07-06")), blocks(job, at("2026-07-07"))) == ({WAIT}, set())


def test_a_notice_after_hours_counts_as_given_on_the_next_working_day() -> None:
    kept = make_notices.closed_days(date(2026, 11, 26), years=(2026,))
    rule = make_notices.rule(region="Ohio", closed_days=kept)
    job = ready(given_at=at("2026-11-24", 18), rule=rule)
    assert (blocks(job, at("2026-11-30")), blocks(job, at("2026-12-01"))) == ({WAIT}, set())


@pytest.mark.parametrize(
    ("given", "before", "clear"),
    [
        (at("2026-03-06", 16), at("2026-03-10", 15, 59), at("2026-03-10", 16)),
        (at("2026-03-07", 9), at("2026-03-10", 11, 58), at("2026-03-10", 11, 59)),
        (at("2026-05-23", 9), at("2026-05-27", 11, 58), at("2026-05-27", 11, 59)),
    ],
)
def test_hours_stand_still_on_closed_days(
    given: datetime, before: datetime, clear: datetime
) -> None:
    # Texas Utilities Code 251.157(a): the 48th hour, Saturdays, Sundays, holidays left out.
    rule = make_notices.rule(
        region="Ohio",
        wait_n=48,
        wait_unit="hour",
        saturday_clears_at=time(11, 59),
        life_n=None,
        closed_days=make_notices.closed_days(date(2026, 5, 25), years=(2026,)),
    )
    job = ready(given_at=given, rule=rule)
    assert (blocks(job, before), blocks(job, clear)) == ({WAIT}, set())


def test_calendar_days_run_through_weekends_and_need_no_list_of_holidays() -> None:
    rule = make_notices.rule(
        region="Ohio", wait_n=3, wait_unit="calendar day", closed_days=None, life_n=5
    )
    job = ready(given_at=at("2026-03-05", 10), rule=rule, proposed_start_on=date(2026, 3, 9))
    assert blocks(job, at("2026-03-08")) == {WAIT}
    assert blocks(job, at("2026-03-09")) == set()
    assert blocks(job, at("2026-03-14", 22)) == set()
    assert blocks(job, at("2026-03-15")) == {OUT}


def test_a_dig_that_ends_after_the_last_day_is_refused_though_it_starts_in_time() -> None:
    job = ready(
        given_at=at("2026-03-02"),
        printed_start_on=date(2026, 3, 4),
        printed_expiry_on=date(2026, 3, 6),
    )
    assert blocks(job, at("2026-03-06", 22)) == set()
    job.expected_minutes = 9 * 60  # longer than a day's hours: it goes on on the seventh
    assert blocks(job, at("2026-03-06", 9)) == {LATE}


def test_the_printed_days_win_over_the_rule_both_ways() -> None:
    days = {"printed_start_on": date(2026, 3, 3), "printed_expiry_on": date(2026, 3, 4)}
    job = ready(given_at=at("2026-03-02", 10), **days)
    assert blocks(job, at("2026-03-03")) == set()
    assert blocks(job, at("2026-03-05")) == {OUT}


def test_without_a_notice_no_dig_goes() -> None:
    make_notices.rule(region="Ohio")
    job = make_notices.dig(fault=fault_here())
    assert blocks(job, at("2026-03-03")) == {Block.NO_NOTICE.value}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"confirmed_on": None}, "not confirmed"),
        ({"region": "Utah"}, "No rule is kept"),
        ({"closed_days": "other years"}, "closed days of 2026"),
    ],
)
def test_without_a_rule_to_count_by_only_both_printed_days_let_a_dig_go(
    change: dict[str, Any], words: str
) -> None:
    if "closed_days" in change:
        change = {"closed_days": make_notices.closed_days(years=(2025,))}
    rule = make_notices.rule(**{"region": "Ohio", **change})
    job = ready(given_at=at("2026-03-02", 10), rule=rule)
    moment = at("2026-03-10")
    assert blocks(job, moment) == {Block.RULE_NOT_CONFIRMED.value}
    assert words in " ".join(reasons_in_words(judge_job(job=job, at=moment)))
    ticket = job.fault.notices.get()
    ticket.printed_start_on = date(2026, 3, 4)
    ticket.save()
    assert blocks(job, moment) == {Block.RULE_NOT_CONFIRMED.value}
    ticket.printed_expiry_on = date(2026, 3, 20)
    ticket.save()
    assert blocks(job, moment) == set()


@pytest.mark.parametrize("state", ["waiting", "needs time"])
def test_everybody_must_have_answered(state: str) -> None:
    job = ready("Gas", "Power", given_at=at("2026-03-02", 10), states={"Power": state})
    gate = dig_gate(job=job, at=at("2026-03-10"))
    assert [(each.block, each.operators) for each in gate.reasons] == [
        (Block.NOT_ANSWERED, ("Power",))
    ]


def test_where_no_answer_is_asked_for_the_wait_alone_counts() -> None:
    rule = make_notices.rule(region="Ohio", needs_positive_response=False)
    job = ready("Gas", given_at=at("2026-03-02", 10), rule=rule, states={"Gas": "waiting"})
    assert blocks(job, at("2026-03-10")) == set()


def test_a_cancelled_ticket_lets_nothing_go() -> None:
    job = ready(given_at=at("2026-03-02", 10), cancelled_on=date(2026, 3, 3))
    assert blocks(job, at("2026-03-10")) == {Block.NO_NOTICE.value}


def test_a_renewal_that_waits_does_not_shut_the_ticket_that_still_lives() -> None:
    job = ready(given_at=at("2026-03-02", 10))
    make_notices.notice(
        "Gas", fault=job.fault, given_at=at("2026-03-09"), proposed_start_on=date(2026, 3, 9)
    )
    assert blocks(job, at("2026-03-10")) == set()


def test_the_propertys_ticket_holds_for_a_fault_without_one_of_its_own() -> None:
    make_notices.rule(region="Ohio")
    job = make_notices.dig(fault=fault_here())
    make_notices.notice(
        "Gas",
        property=job.property,
        given_at=at("2026-03-02", 10),
        proposed_start_on=date(2026, 3, 2),
    )
    assert blocks(job, at("2026-03-10")) == set()
    make_notices.notice(
        "Gas", fault=job.fault, given_at=at("2026-03-09"), proposed_start_on=date(2026, 3, 9)
    )
    assert blocks(job, at("2026-03-10")) == {WAIT}


def test_work_that_only_locates_is_never_held_back() -> None:
    job = make_notices.job(fault=fault_here())
    assert dig_gate(job=job, at=at("2026-03-10")).is_clear


def test_the_days_of_a_ticket_say_in_a_word_what_the_gate_says() -> None:
    job = ready(given_at=at("2026-03-06", 16), proposed_start_on=date(2026, 3, 11))
    judged = judge_job(job=job, at=at("2026-03-09"))
    days = dig_days(judged, place=job.property, today=date(2026, 3, 9))
    assert [(day.on.day, day.word) for day in days[:7]] == [
        (6, "wait"),
        (7, "closed"),
        (8, "closed"),
        (9, "wait"),
        (10, "wait"),
        (11, "dig"),
        (12, "dig"),
    ]
    assert (days[-1].on, days[-1].word) == (date(2026, 3, 22), "ran out")
    for day in days:
        gate = dig_gate(job=job, at=at(day.on.isoformat(), 12))
        assert day.is_allowed == gate.is_clear, day
    assert headline(judged).startswith("No digging today: the utilities have until 2026-03-11")
    later = judge_job(job=job, at=at("2026-03-12"))
    assert headline(later) == "Digging is allowed today, and until the end of 2026-03-21."
    assert last_day(later) == days[-1].on - timedelta(days=1)
