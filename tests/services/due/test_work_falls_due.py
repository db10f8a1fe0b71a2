"""Mends, digs, soaking, notices, questions and check-ups fall due."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from faults.cases.engines.stages import Stage
from faults.due.services.by_hand import finish_follow_up
from faults.models import (
    ClientAnswer,
    Fault,
    FollowUp,
    FollowUpKind,
    FollowUpState,
    JobKind,
    JobState,
    StageMove,
)
from sites.kernel.engines.roles import Role
from sites.models import Wiring
from tests import make, make_due, make_notices, make_prices, make_quotes
from tests.services.due.helpers import TODAY, ago, ahead, at, days_of, round_on

pytestmark = pytest.mark.django_db

K = FollowUpKind


def mended(days: int, stage: Stage = Stage.MENDED) -> Fault:
    """Make a fault whose one station was mended so many days ago."""
    fault = make.fault(stage=stage.value)
    row = fault.stations.get()
    StageMove.objects.create(
        fault_station=row, to_stage=Stage.MENDED.value, on=ago(days), moved_at=at(ago(days))
    )
    return fault


def test_a_mend_is_tested_after_14_days_and_after_30() -> None:
    mended(10)
    round_on()
    assert days_of(K.RETEST_FIRST) == [ahead(4)]
    assert days_of(K.RETEST_SECOND) == [ahead(20)]


def test_a_returned_station_is_still_tested_and_one_found_dead_again_is_not() -> None:
    fault = mended(10, Stage.RETURNED)
    round_on()
    assert days_of(K.RETEST_FIRST) == [ahead(4)]
    fault.stations.update(stage=Stage.FOUND.value)
    round_on()
    assert days_of(K.RETEST_FIRST) == days_of(K.RETEST_SECOND) == []


def test_a_mend_of_long_ago_that_came_with_a_file_is_not_tested_now() -> None:
    mended(400)
    round_on()
    assert days_of(K.RETEST_FIRST) == []


def test_a_filled_hole_is_looked_at_three_weeks_after_the_dig() -> None:
    job = make_due.job(kind=JobKind.DIG, state=JobState.DONE, ended_at=at(ago(20)))
    make_due.job(kind=JobKind.WALK, state=JobState.DONE, ended_at=at(ago(20)))
    round_on()
    (row,) = FollowUp.objects.filter(kind=K.SETTLE)
    assert (row.due_on, row.job) == (ahead(1), job)


def test_a_dig_ends_on_the_day_that_it_is_at_the_property() -> None:
    place = make.place(time_zone="America/Los_Angeles")
    night = datetime(2025, 6, 2, 3, 0, tzinfo=UTC)  # 1 June, 20:00 there
    make_due.job(property=place, kind=JobKind.DIG, state=JobState.DONE, ended_at=night)
    round_on()
    assert days_of(K.SETTLE) == [datetime(2025, 6, 22, tzinfo=UTC).date()]


@pytest.mark.parametrize(("soil", "days"), [("loam", 1), ("heavy clay", 2), ("", 1)])
def test_the_soil_is_soaked_before_a_visit_and_clay_a_day_sooner(soil: str, days: int) -> None:
    make_due.job(property=make.place(soil=soil), day=ahead(10))
    round_on()
    assert days_of(K.SOAK) == [ahead(10 - days)]


def test_a_visit_that_moves_takes_its_soaking_along() -> None:
    job = make_due.job(kind=JobKind.DIG, day=ahead(5))
    round_on()
    job.day = ahead(8)
    job.save()
    round_on()
    assert days_of(K.SOAK) == [ahead(7)]
    job.soaked_on = ahead(1)
    job.save()
    round_on()
    assert days_of(K.SOAK) == []


def test_a_withdrawn_visit_soaks_nothing_and_neither_does_a_walk() -> None:
    job = make_due.job(day=ahead(5))
    make_due.job(kind=JobKind.WALK, day=ahead(5))
    round_on()
    assert days_of(K.SOAK) == [ahead(4)]
    job.state = JobState.WITHDRAWN
    job.save()
    round_on()
    assert days_of(K.SOAK) == []


def test_a_notice_tells_when_digging_may_start_and_before_it_runs_out() -> None:
    days = {"printed_start_on": ahead(2), "printed_expiry_on": ahead(28)}
    notice = make_due.notice(**days)
    round_on()
    assert days_of(K.NOTICE_CLEAR) == [ahead(2)]
    assert days_of(K.NOTICE_RUNS_OUT) == [ahead(25)]
    notice.cancelled_on = TODAY
    notice.save()
    round_on()
    assert days_of(K.NOTICE_CLEAR) == days_of(K.NOTICE_RUNS_OUT) == []


def test_a_printed_day_that_is_corrected_moves_its_line() -> None:
    notice = make_due.notice(printed_start_on=ahead(2))
    round_on()
    notice.printed_start_on = ahead(4)
    notice.save()
    assert round_on() == {"moved": 1}
    assert days_of(K.NOTICE_CLEAR) == [ahead(4)]


def test_days_that_no_ticket_prints_are_counted_by_the_confirmed_rule() -> None:
    place = make.place(notice_region="Nowhere")
    rule = make_notices.rule(region="Nowhere", confirmed_on=None)
    given = datetime(2025, 6, 13, 10, tzinfo=UTC)  # a Friday: two working days, so Wednesday
    make_due.notice(property=place, given_at=given, proposed_start_on=TODAY)
    round_on()
    assert days_of(K.NOTICE_CLEAR) == []
    rule.confirmed_on = ago(1)
    rule.save()
    round_on()
    assert days_of(K.NOTICE_CLEAR) == [ahead(3)]


def renewal_days(**of_the_rule: Any) -> list[date]:
    """Return when the renewal of a ticket is due whose last day is in 28 days, a Monday."""
    place = make.place(notice_region="Nowhere")
    make_notices.rule(region="Nowhere", **of_the_rule)
    make_due.notice(property=place, printed_start_on=ahead(2), printed_expiry_on=date(2025, 7, 14))
    round_on()
    return days_of(K.NOTICE_RUNS_OUT)


@pytest.mark.parametrize(
    ("of_the_rule", "due_on"),
    [
        # Three days before by the setting, where the rule says nothing or is not confirmed.
        ({}, date(2025, 7, 11)),
        ({"renew_before_n": 5, "confirmed_on": None}, date(2025, 7, 11)),
        ({"renew_before_n": 5}, date(2025, 7, 9)),
        ({"renew_before_n": 2}, date(2025, 7, 11)),
        ({"renew_before_n": 4, "life_unit": "working day"}, date(2025, 7, 8)),
    ],
)
def test_a_renewal_is_due_by_its_rule_and_else_by_the_setting(
    of_the_rule: dict[str, Any], due_on: date
) -> None:
    assert renewal_days(**of_the_rule) == [due_on]


def test_closed_days_that_are_not_listed_leave_the_renewal_to_the_setting() -> None:
    given = {"renew_before_n": 4, "life_unit": "working day", "wait_unit": "calendar day"}
    assert renewal_days(**given, closed_days=make_notices.closed_days(years=[2024])) == [
        date(2025, 7, 11)
    ]


def test_a_notice_is_no_news_once_its_fault_is_mended() -> None:
    fault = make.fault()
    make_due.notice(fault=fault, property=fault.property, printed_start_on=ahead(2))
    round_on()
    assert days_of(K.NOTICE_CLEAR) == [ahead(2)]
    Fault.objects.filter(pk=fault.pk).update(stage=Stage.MENDED.value)
    round_on()
    assert days_of(K.NOTICE_CLEAR) == []


def test_a_client_who_does_not_answer_is_asked_again_and_again() -> None:
    asked = make_due.asked(asked_on=ago(6))
    round_on()
    assert days_of(K.CHASE_CLIENT) == [ago(1)]
    row = FollowUp.objects.get(kind=K.CHASE_CLIENT)
    finish_follow_up(follow_up=row, by=make.user(), today=TODAY, note="called")
    round_on()
    assert days_of(K.CHASE_CLIENT) == [ahead(5)]
    asked.answer, asked.answered_on = ClientAnswer.YES, TODAY
    asked.save()
    round_on()
    assert days_of(K.CHASE_CLIENT) == []


def test_a_quote_sent_again_asks_again_and_ticks_off_what_was_due() -> None:
    make_prices.price_list()
    asked = make_due.asked(asked_on=ago(6), fault=make_quotes.found_fault())
    other = make_due.asked(asked_on=ago(6))
    sender = make.user(Role.DISPATCHER)
    quote = make_quotes.quote(asked.fault, by=sender)
    round_on()
    assert days_of(K.CHASE_CLIENT) == [ago(1), ago(1)]
    make_quotes.secret_of(quote, by=sender, at=at(TODAY))
    done = FollowUp.objects.get(kind=K.CHASE_CLIENT, fault=asked.fault)
    assert (done.state, done.done_on, done.done_by) == (FollowUpState.DONE, TODAY, sender)
    assert done.note == "Quote 1 was sent again."
    round_on()
    assert days_of(K.CHASE_CLIENT) == [ago(1), ahead(5)]
    # Sent once more before that day: five days from then, without a line that was done.
    make_quotes.secret_of(quote, by=sender, at=at(ahead(2)))
    round_on(ahead(2))
    assert days_of(K.CHASE_CLIENT) == [ago(1), ahead(7)]
    assert FollowUp.objects.open().get(fault=other.fault).due_on == ago(1)


def test_a_closed_fault_chases_nobody() -> None:
    asked = make_due.asked(asked_on=ago(6))
    round_on()
    Fault.objects.filter(pk=asked.fault_id).update(stage=Stage.WITHDRAWN.value)
    round_on()
    assert days_of(K.CHASE_CLIENT) == []


def test_a_controller_that_was_never_checked_is_due_at_once_and_stays_on_that_day() -> None:
    make.station()
    round_on()
    assert days_of(K.CHECK_UP) == [TODAY]
    round_on(ahead(3))
    assert days_of(K.CHECK_UP) == [TODAY]


def test_reading_half_of_the_stations_on_one_day_is_a_check_up() -> None:
    clock = make.controller()
    stations = [make.station(controller=clock) for _ in range(4)]
    make.reading(station=stations[0], taken_on=ago(360))
    round_on()
    assert days_of(K.CHECK_UP) == [TODAY]
    make.reading(station=stations[1], taken_on=ago(360))
    round_on()
    assert days_of(K.CHECK_UP) == [ahead(5)]


def test_a_check_up_job_counts_for_the_controllers_of_its_stations() -> None:
    station = make.station()
    place = station.controller.property
    other = make.station(controller=make.controller(property=place))
    job = make_due.job(
        property=place,
        kind=JobKind.CHECK_UP,
        state=JobState.DONE,
        ended_at=at(ago(363)),
    )
    job.stations.add(station)
    round_on()
    found = FollowUp.objects.filter(kind=K.CHECK_UP).order_by("due_on")
    assert [(row.controller_id, row.due_on) for row in found] == [
        (other.controller_id, TODAY),
        (station.controller_id, ahead(2)),
    ]


def test_a_ticked_check_up_is_due_again_a_year_later() -> None:
    make.station()
    round_on()
    row = FollowUp.objects.get(kind=K.CHECK_UP)
    finish_follow_up(follow_up=row, by=make.user(), today=TODAY)
    round_on()
    assert days_of(K.CHECK_UP) == []
    round_on(TODAY + timedelta(days=340))
    assert days_of(K.CHECK_UP) == [TODAY + timedelta(days=365)]


def test_a_two_wire_controller_has_no_wires_of_stations_to_check() -> None:
    make.station(controller=make.controller(wiring=Wiring.TWO_WIRE))
    round_on()
    assert days_of(K.CHECK_UP) == []
