"""The edges of the clocks of a notice: the minute before, at and after; closed days on either side.

2026: Friday 6 March, Saturday the 7th, Monday the 9th. Made up rules, days computed.
"""

from datetime import date, datetime, time, timedelta
from typing import Any

import pytest

from faults.notices.engines.workdays import (
    LifeFrom,
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
from tests.engines.notices.places import CALENDAR, TEXAS, TWO_WORKING, ZONE, at, last_waiting_day

ONE_HOUR_CLOCK = NoticeTerms(1, Unit.HOUR)
CLOSED_MONDAY = WorkCalendar(ZONE, frozenset({date(2026, 3, 9)}))


@pytest.mark.parametrize(
    ("given_at", "digs"),
    [
        # The wait of an hour ends before, at and after the day starts at 7 h ...
        (at(3, 5, 5, 59), at(3, 5, 7)),
        (at(3, 5, 6), at(3, 5, 7)),
        (at(3, 5, 6, 1), at(3, 5, 7, 1)),
        # ... and before, at and after it ends at 17 h: at 17 h nobody works any more.
        (at(3, 5, 15, 59), at(3, 5, 16, 59)),
        (at(3, 5, 16), at(3, 6, 7)),
        (at(3, 5, 16, 1), at(3, 6, 7)),
        # A Friday evening waits for Monday.
        (at(3, 6, 16), at(3, 9, 7)),
    ],
)
def test_a_dig_starts_within_a_working_day(given_at: datetime, digs: datetime) -> None:
    assert first_dig(ONE_HOUR_CLOCK, CALENDAR, given_at) == digs


@pytest.mark.parametrize(
    ("given_at", "until"),
    [
        # The wait ends before midnight, at midnight, after it: then the weekend is passed over.
        (at(3, 6, 22, 59), at(3, 6, 23, 59)),
        (at(3, 6, 23), at(3, 7)),
        (at(3, 6, 23, 1), at(3, 9, 0, 1)),
        # On the closed day itself the clock starts with the next open one.
        (at(3, 7), at(3, 9, 1)),
        (at(3, 8, 23, 59), at(3, 9, 1)),
        (at(3, 9), at(3, 9, 1)),
    ],
)
def test_the_hour_clock_at_the_edge_of_a_weekend(given_at: datetime, until: datetime) -> None:
    assert waits_until(ONE_HOUR_CLOCK, CALENDAR, given_at) == until


def test_the_hour_clock_runs_over_more_than_one_midnight_and_a_holiday() -> None:
    # Thursday 12 h: 12 h left of it, 24 h of Friday, then Tuesday, as Monday is closed: 12 more.
    assert waits_until(NoticeTerms(48, Unit.HOUR), CLOSED_MONDAY, at(3, 5, 12)) == at(3, 10, 12)


@pytest.mark.parametrize(
    ("given_at", "until"),
    [
        (at(3, 6, 23, 59), at(3, 10, 23, 59)),
        (at(3, 7), at(3, 10, 11, 59)),
        (at(3, 7, 23, 59), at(3, 10, 11, 59)),
        (at(3, 8), at(3, 11)),
    ],
)
def test_only_a_notice_on_the_saturday_itself_clears_at_its_own_time(
    given_at: datetime, until: datetime
) -> None:
    assert waits_until(TEXAS, CALENDAR, given_at) == until


@pytest.mark.parametrize(("microseconds", "last"), [(-1, 5), (0, 5), (1, 6)])
def test_a_wait_that_ends_at_midnight_ends_with_the_day_before(
    microseconds: int, last: int
) -> None:
    given_at = at(3, 5) + timedelta(microseconds=microseconds)
    found = last_waiting_day(NoticeTerms(24, Unit.HOUR), CALENDAR, given_at)
    assert found == date(2026, 3, last)


def test_a_saturday_without_a_time_of_its_own_waits_its_hours() -> None:
    assert waits_until(NoticeTerms(48, Unit.HOUR), CALENDAR, at(3, 7, 9)) == at(3, 11)


@pytest.mark.parametrize(
    ("given_at", "counted_from"),
    [
        (at(3, 5, 16, 59), date(2026, 3, 5)),
        (at(3, 5, 17), date(2026, 3, 6)),
        (at(3, 5, 17, 1), date(2026, 3, 6)),
        (at(3, 6, 17), date(2026, 3, 9)),
        (at(3, 7, 0), date(2026, 3, 9)),
        (at(3, 8, 23, 59), date(2026, 3, 9)),
        (at(3, 9, 0), date(2026, 3, 9)),
    ],
)
def test_the_day_on_which_a_notice_counts_as_given(given_at: datetime, counted_from: date) -> None:
    assert notice_day(TWO_WORKING, CALENDAR, given_at) == counted_from


@pytest.mark.parametrize("hour", [10, 16, 18])
def test_a_closed_day_that_counts_counts_at_any_hour(hour: int) -> None:
    kept = NoticeTerms(2, closed_day_counts_as_notice_day=True)
    assert notice_day(kept, CALENDAR, at(3, 7, hour)) == date(2026, 3, 7)
    # An open day keeps its evening: what counts there is the end of the working day.
    open_day = date(2026, 3, 5 if hour < 17 else 6)
    assert notice_day(kept, CALENDAR, at(3, 5, hour)) == open_day


@pytest.mark.parametrize(("wait", "last"), [(1, 6), (2, 9), (3, 10)])
def test_a_counted_day_of_notice_is_the_first_of_them(wait: int, last: int) -> None:
    terms = NoticeTerms(wait, count_notice_day=True)
    assert last_waiting_day(terms, CALENDAR, at(3, 6, 10)) == date(2026, 3, last)


@pytest.mark.parametrize(("n", "day"), [(0, 6), (1, 9), (2, 10)])
def test_the_nth_open_day_after(n: int, day: int) -> None:
    assert CALENDAR.nth_open_day_after(date(2026, 3, 6), n) == date(2026, 3, day)


def test_a_closed_day_itself_is_the_one_that_no_days_after_it_is() -> None:
    assert CALENDAR.nth_open_day_after(date(2026, 3, 7), 0) == date(2026, 3, 7)


@pytest.mark.parametrize(
    ("weekday_closed", "date_closed", "closed"),
    [(False, False, False), (True, False, True), (False, True, True), (True, True, True)],
)
def test_a_day_is_closed_by_its_weekday_or_by_its_date(
    weekday_closed: bool, date_closed: bool, closed: bool
) -> None:
    day = date(2026, 3, 5)
    calendar = WorkCalendar(
        ZONE,
        frozenset({day} if date_closed else set()),
        frozenset({3} if weekday_closed else {0}),
    )
    assert calendar.is_closed(day) is closed


def test_weekends_are_closed_unless_other_weekdays_are_named() -> None:
    week = [date(2026, 3, day) for day in range(2, 9)]
    assert [WorkCalendar(ZONE).is_closed(day) for day in week] == [False] * 5 + [True] * 2


def test_a_calendar_may_close_all_days_but_one() -> None:
    only_sunday = WorkCalendar(ZONE, weekdays=frozenset(range(6)))
    assert only_sunday.nth_open_day_after(date(2026, 3, 8), 1) == date(2026, 3, 15)


def test_a_weekday_below_monday_is_refused() -> None:
    with pytest.raises(ValueError, match=r"got \[-1\]"):
        WorkCalendar(ZONE, weekdays=frozenset({-1}))


def test_a_moment_of_a_day_without_an_hour_is_its_first() -> None:
    assert CALENDAR.at(date(2026, 3, 6)) == at(3, 6)
    assert CALENDAR.at(date(2026, 3, 6), time(7)) == at(3, 6, 7)
    assert CALENDAR.end_of(date(2026, 3, 6)) == at(3, 7)


GIVEN_ON, START_ON = date(2026, 3, 6), date(2026, 3, 12)


@pytest.mark.parametrize(
    ("life_from", "unit", "last"),
    [
        (LifeFrom.START, Unit.CALENDAR_DAY, date(2026, 3, 15)),
        (LifeFrom.START, Unit.WORKING_DAY, date(2026, 3, 17)),
        (LifeFrom.NOTICE, Unit.CALENDAR_DAY, date(2026, 3, 9)),
        (LifeFrom.NOTICE, Unit.WORKING_DAY, date(2026, 3, 11)),
    ],
)
def test_a_life_of_three_days_from_either_day_in_either_unit(
    life_from: LifeFrom, unit: Unit, last: date
) -> None:
    terms = NoticeTerms(2, life_n=3, life_unit=unit, life_from=life_from)
    found = runs_out_on(terms, CALENDAR, given_on=GIVEN_ON, start_on=START_ON)
    assert found == last
    assert renew_by(terms, CALENDAR, given_on=GIVEN_ON, last=last) is None


# Wednesday 11 March 2026 is the last day; the 7th is a Saturday.
@pytest.mark.parametrize(
    ("before", "unit", "keeps_closed", "day"),
    [
        (1, Unit.CALENDAR_DAY, False, 10),
        (2, Unit.CALENDAR_DAY, False, 9),
        # A Sunday and a Saturday: the Friday before, unless the rule takes them as they are.
        (3, Unit.CALENDAR_DAY, False, 6),
        (4, Unit.CALENDAR_DAY, False, 6),
        (3, Unit.CALENDAR_DAY, True, 8),
        (5, Unit.CALENDAR_DAY, False, 6),
        (1, Unit.WORKING_DAY, False, 10),
        (2, Unit.WORKING_DAY, False, 9),
        (3, Unit.WORKING_DAY, False, 6),
        # Nothing is due before the day of the notice, 5 March.
        (4, Unit.WORKING_DAY, False, 5),
        (5, Unit.WORKING_DAY, False, 5),
    ],
)
def test_a_renewal_is_asked_for_on_an_open_day_before_the_last(
    before: int, unit: Unit, keeps_closed: bool, day: int
) -> None:
    terms = NoticeTerms(
        2,
        life_n=20,
        life_unit=unit,
        renew_before_n=before,
        closed_day_counts_as_notice_day=keeps_closed,
    )
    found = renew_by(terms, CALENDAR, given_on=date(2026, 3, 5), last=date(2026, 3, 11))
    assert found == date(2026, 3, day)


def test_a_holiday_before_the_last_day_moves_the_renewal_a_day_sooner() -> None:
    terms = NoticeTerms(2, life_n=20, life_unit=Unit.WORKING_DAY, renew_before_n=2)
    last = date(2026, 3, 11)
    assert renew_by(terms, CLOSED_MONDAY, given_on=GIVEN_ON, last=last) == date(2026, 3, 6)


@pytest.mark.parametrize(
    ("unit", "latest"),
    [(Unit.CALENDAR_DAY, date(2026, 3, 7)), (Unit.WORKING_DAY, date(2026, 3, 9))],
)
def test_one_day_ahead_in_either_unit(unit: Unit, latest: date) -> None:
    terms = NoticeTerms(2, max_ahead_n=1, max_ahead_unit=unit)
    assert latest_start(terms, CALENDAR, GIVEN_ON) == latest


def test_a_rule_that_says_little_is_the_usual_one() -> None:
    plain = NoticeTerms(2)
    assert (plain.wait_unit, plain.count_notice_day) == (Unit.WORKING_DAY, False)
    assert (plain.day_start, plain.day_end) == (time(7), time(17))
    assert (plain.max_ahead_unit, plain.life_unit) == (Unit.CALENDAR_DAY, Unit.CALENDAR_DAY)
    assert (plain.life_from, plain.renew_before_n) == (LifeFrom.START, 0)
    assert plain.needs_positive_response is True
    assert plain.closed_day_counts_as_notice_day is False


@pytest.mark.parametrize(
    "values",
    [
        {"wait_n": 1},
        {"life_n": 1},
        {"max_ahead_n": 1},
        {"day_start": time(7), "day_end": time(7, 1)},
        {"life_n": 3, "renew_before_n": 2},
        {"life_n": 1, "renew_before_n": 0},
        {"wait_unit": Unit.HOUR, "saturday_clears_at": time(11)},
    ],
)
def test_the_least_that_a_rule_may_say(values: dict[str, Any]) -> None:
    made = NoticeTerms(**{"wait_n": 2, **values})
    assert {name: getattr(made, name) for name in values} == values


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"life_n": 0}, "life_n > 0, got 0"),
        ({"max_ahead_unit": Unit.HOUR}, "in days, got hours"),
        ({"day_start": time(7), "day_end": time(6, 59)}, "day_end > day_start"),
        ({"life_n": 3, "renew_before_n": -1}, "renew_before_n < life_n, got -1"),
        ({"life_n": 1, "renew_before_n": 1}, "renew_before_n < life_n, got 1"),
        (
            {"wait_unit": Unit.CALENDAR_DAY, "saturday_clears_at": time(11)},
            "hours only, got calendar day",
        ),
    ],
)
def test_a_step_beyond_it_is_refused(values: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        NoticeTerms(**{"wait_n": 2, **values})
