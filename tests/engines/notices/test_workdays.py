"""The clocks of a utility notice."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.notices.engines.workdays import (
    NoticeTerms,
    Unit,
    WorkCalendar,
    first_dig,
    latest_start,
    notice_day,
    renew_by,
    runs_out_on,
    waits_until,
)
from tests.engines.notices.places import (
    ALABAMA,
    CALENDAR,
    CALIFORNIA,
    DAY_AFTER_THANKSGIVING,
    FEDERAL,
    GEORGIA,
    NEBRASKA,
    NORTH_CAROLINA,
    TEXAS,
    TWO_WORKING,
    ZONE,
    at,
    calendars,
    day_units,
    last_waiting_day,
    moments,
    units,
    waits,
)


# Computed, US federal holidays, notice at or after 17:00 or on a closed day counts as the next.
@pytest.mark.parametrize(
    ("given_at", "last", "digs"),
    [
        (at(3, 6, 16), date(2026, 3, 10), at(3, 11, 7)),
        (at(3, 7, 10), date(2026, 3, 11), at(3, 12, 7)),
        (at(11, 24, 10), date(2026, 11, 27), at(11, 30, 7)),
        (at(11, 24, 18), date(2026, 11, 30), at(12, 1, 7)),
        (at(7, 1, 10), date(2026, 7, 6), at(7, 7, 7)),
    ],
)
def test_two_working_days(given_at: datetime, last: date, digs: datetime) -> None:
    assert last_waiting_day(TWO_WORKING, CALENDAR, given_at) == last
    assert waits_until(TWO_WORKING, CALENDAR, given_at) == CALENDAR.end_of(last)
    assert first_dig(TWO_WORKING, CALENDAR, given_at) == digs


def test_where_the_friday_after_thanksgiving_is_closed_too() -> None:
    # Computed: Monday 30 November.
    closed = WorkCalendar(ZONE, FEDERAL | {DAY_AFTER_THANKSGIVING})
    assert last_waiting_day(TWO_WORKING, closed, at(11, 24, 10)) == date(2026, 11, 30)


def test_a_saturday_may_count_as_the_day_of_the_notice() -> None:
    # Computed: a count that starts on Monday itself gives Tuesday.
    terms = NoticeTerms(2, closed_day_counts_as_notice_day=True)
    assert last_waiting_day(terms, CALENDAR, at(3, 7, 10)) == date(2026, 3, 10)


@pytest.mark.parametrize("given_on", [date(2026, 3, 6), date(2026, 11, 24), date(2026, 7, 1)])
def test_numpy_counts_the_same_working_days(given_on: date) -> None:
    # numpy.busday_offset, roll forward.
    theirs = np.busday_offset(given_on, 2, roll="forward", holidays=sorted(FEDERAL)).item()
    morning = CALENDAR.at(given_on, time(10))
    assert last_waiting_day(TWO_WORKING, CALENDAR, morning) == theirs


@pytest.mark.parametrize(
    ("hour", "minute", "day"), [(16, 59, date(2026, 3, 5)), (17, 0, date(2026, 3, 6))]
)
def test_the_working_day_ends_at_its_very_hour(hour: int, minute: int, day: date) -> None:
    assert notice_day(TWO_WORKING, CALENDAR, at(3, 5, hour, minute)) == day


def test_the_day_of_the_notice_may_be_the_first_one_waited() -> None:
    terms = NoticeTerms(2, count_notice_day=True)
    assert last_waiting_day(terms, CALENDAR, at(3, 6, 16)) == date(2026, 3, 9)
    assert last_waiting_day(terms, CALENDAR, at(3, 7, 10)) == date(2026, 3, 10)


def test_a_closed_day_of_notice_is_never_one_of_the_days_waited() -> None:
    terms = NoticeTerms(2, count_notice_day=True, closed_day_counts_as_notice_day=True)
    assert last_waiting_day(terms, CALENDAR, at(3, 7, 10)) == date(2026, 3, 10)


def test_three_full_working_days_of_north_carolina() -> None:
    # nc811.org/ticket-types; days computed.
    assert last_waiting_day(NORTH_CAROLINA, CALENDAR, at(3, 6, 16)) == date(2026, 3, 11)


# Texas Utilities Code 251.157(a); moments computed.
@pytest.mark.parametrize(
    ("given_at", "until"),
    [
        (at(3, 6, 16), at(3, 10, 16)),
        (at(3, 7, 9), at(3, 10, 11, 59)),
        (at(5, 23, 9), at(5, 27, 11, 59)),
        (at(3, 8, 9), at(3, 11)),
    ],
)
def test_the_hour_clock_stands_still_on_closed_days(given_at: datetime, until: datetime) -> None:
    assert waits_until(TEXAS, CALENDAR, given_at) == until


def test_a_dig_may_start_at_the_hour_itself_or_when_people_work_next() -> None:
    assert first_dig(TEXAS, CALENDAR, at(3, 7, 9)) == at(3, 10, 11, 59)
    assert first_dig(TEXAS, CALENDAR, at(3, 3, 20)) == at(3, 6, 7)
    assert first_dig(TEXAS, CALENDAR, at(3, 3, 5)) == at(3, 5, 7)
    assert first_dig(TEXAS, CALENDAR, at(3, 5, 18)) == at(3, 10, 7)


def test_where_tuesday_is_closed_the_saturday_notice_waits_for_wednesday() -> None:
    closed = WorkCalendar(ZONE, FEDERAL | {date(2026, 3, 10)})
    assert waits_until(TEXAS, closed, at(3, 7, 9)) == at(3, 11, 11, 59)


def test_odd_hours_pass_over_a_weekend() -> None:
    thirty = NoticeTerms(30, Unit.HOUR)
    assert waits_until(thirty, CALENDAR, at(3, 6)) == at(3, 9, 6)
    assert waits_until(NoticeTerms(24, Unit.HOUR), CALENDAR, at(3, 6)) == at(3, 7)
    assert last_waiting_day(NoticeTerms(24, Unit.HOUR), CALENDAR, at(3, 6)) == date(2026, 3, 6)


def test_calendar_days_run_over_closed_days_but_a_dig_waits_for_people() -> None:
    terms = NoticeTerms(3, Unit.CALENDAR_DAY)
    assert last_waiting_day(terms, CALENDAR, at(3, 4, 10)) == date(2026, 3, 7)
    assert first_dig(terms, CALENDAR, at(3, 4, 10)) == at(3, 9, 7)


# Computed from a start on 10 March 2026; lives as the pages named above say them.
@pytest.mark.parametrize(
    ("terms", "last"),
    [
        (NEBRASKA, date(2026, 3, 27)),
        (NORTH_CAROLINA, date(2026, 3, 31)),
        (ALABAMA, date(2026, 4, 7)),
        (TEXAS, None),
    ],
)
def test_life_from_the_start(terms: NoticeTerms, last: date | None) -> None:
    start = date(2026, 3, 10)
    assert runs_out_on(terms, CALENDAR, given_on=date(2026, 3, 5), start_on=start) == last


@pytest.mark.parametrize(
    ("terms", "last"), [(CALIFORNIA, date(2026, 4, 2)), (GEORGIA, date(2026, 3, 26))]
)
def test_life_from_the_notice(terms: NoticeTerms, last: date) -> None:
    start = date(2026, 3, 10)
    assert runs_out_on(terms, CALENDAR, given_on=date(2026, 3, 5), start_on=start) == last


@pytest.mark.parametrize(
    ("terms", "day"),
    [
        (NEBRASKA, date(2026, 3, 24)),  # day 14
        (NORTH_CAROLINA, date(2026, 3, 26)),  # the 12th working day
        (ALABAMA, date(2026, 4, 3)),  # 2 working days before
        (TEXAS, None),
    ],
)
def test_when_to_renew(terms: NoticeTerms, day: date | None) -> None:
    given_on = date(2026, 3, 5)
    last = runs_out_on(terms, CALENDAR, given_on=given_on, start_on=date(2026, 3, 10))
    assert (last and renew_by(terms, CALENDAR, given_on=given_on, last=last)) == day


@pytest.mark.parametrize(
    ("terms", "latest"),
    [
        (ALABAMA, date(2026, 3, 19)),
        (CALIFORNIA, date(2026, 3, 19)),
        (TEXAS, date(2026, 3, 19)),
        (GEORGIA, None),
    ],
)
def test_how_far_ahead_a_start_may_lie(terms: NoticeTerms, latest: date | None) -> None:
    # 10 working days (al811.com), 14 calendar days (legalclarity.org, Texas 251.151(a)).
    assert latest_start(terms, CALENDAR, date(2026, 3, 5)) == latest


def test_moments_are_read_on_the_wall_clock_of_the_property() -> None:
    # 23:30 UTC is half past five in Chicago: after the working day.
    late = datetime(2026, 3, 5, 23, 30, tzinfo=UTC)
    assert notice_day(TWO_WORKING, CALENDAR, late) == date(2026, 3, 6)
    assert first_dig(TWO_WORKING, CALENDAR, late).tzinfo is ZONE


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="with its zone"):
        notice_day(TWO_WORKING, CALENDAR, at(3, 5).replace(tzinfo=None))


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"wait_n": 0}, "wait_n > 0, got 0"),
        ({"wait_n": 2, "life_n": -1}, "life_n > 0, got -1"),
        ({"wait_n": 2, "max_ahead_n": 0}, "max_ahead_n > 0"),
        ({"wait_n": 2, "life_unit": Unit.HOUR}, "in days, got hours"),
        ({"wait_n": 2, "day_end": time(7)}, "day_end > day_start"),
        ({"wait_n": 2, "life_n": 3, "renew_before_n": 3}, "renew_before_n < life_n, got 3"),
        ({"wait_n": 2, "renew_before_n": 1}, "renew_before_n < life_n, got 1"),
        ({"wait_n": 2, "saturday_clears_at": time(11)}, "hours only, got working day"),
    ],
)
def test_terms_that_no_rule_can_have_are_refused(values: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        NoticeTerms(**values)


@pytest.mark.parametrize("weekdays", [frozenset(range(7)), frozenset({7})])
def test_a_calendar_keeps_a_weekday_open(weekdays: frozenset[int]) -> None:
    with pytest.raises(ValueError, match="one left open"):
        WorkCalendar(ZONE, weekdays=weekdays)


@given(moments, calendars, units, waits, st.booleans(), st.booleans())
def test_a_longer_wait_never_clears_sooner(
    given_at: datetime, calendar: WorkCalendar, unit: Unit, n: int, counted: bool, kept: bool
) -> None:
    shorter, longer = (
        NoticeTerms(m, unit, count_notice_day=counted, closed_day_counts_as_notice_day=kept)
        for m in (n, n + 1)
    )
    assert waits_until(shorter, calendar, given_at) < waits_until(longer, calendar, given_at)
    assert first_dig(shorter, calendar, given_at) <= first_dig(longer, calendar, given_at)


@given(moments, calendars, units, waits)
def test_digging_starts_on_an_open_day_after_the_notice(
    given_at: datetime, calendar: WorkCalendar, unit: Unit, n: int
) -> None:
    digs = first_dig(NoticeTerms(n, unit), calendar, given_at)
    assert not calendar.is_closed(digs.date())
    assert time(7) <= digs.time() < time(17)
    assert digs > given_at


@given(moments, calendars, waits)
def test_more_closed_days_never_clear_sooner(
    given_at: datetime, calendar: WorkCalendar, n: int
) -> None:
    fewer = WorkCalendar(ZONE, weekdays=calendar.weekdays)
    terms = NoticeTerms(n)
    assert first_dig(terms, fewer, given_at) <= first_dig(terms, calendar, given_at)


@given(st.dates(date(2026, 1, 1), date(2026, 12, 1)), calendars, day_units, waits)
def test_a_notice_never_runs_out_before_its_start(
    start: date, calendar: WorkCalendar, unit: Unit, n: int
) -> None:
    terms = NoticeTerms(2, life_n=n, life_unit=unit)
    given_on = start - timedelta(days=3)
    last = runs_out_on(terms, calendar, given_on=given_on, start_on=start)
    assert last is not None
    assert last > start
