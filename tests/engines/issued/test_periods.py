"""Periods of reports; the days are counted by hand on a calendar."""

from datetime import date

import pytest

from reports.issued.engines.periods import last_day, looked_at, next_start, period_before


@pytest.mark.parametrize(
    ("first", "months", "then"),
    [
        (date(2026, 1, 1), 1, date(2026, 2, 1)),
        (date(2026, 12, 1), 1, date(2027, 1, 1)),
        (date(2026, 11, 1), 3, date(2027, 2, 1)),
        (date(2026, 1, 1), -1, date(2025, 12, 1)),
        (date(2026, 3, 1), -3, date(2025, 12, 1)),
    ],
)
def test_months_go_on_over_the_end_of_a_year(first: date, months: int, then: date) -> None:
    assert next_start(first, months) == then


@pytest.mark.parametrize(
    ("first", "rhythm", "last"),
    [
        (date(2024, 2, 1), "monthly", date(2024, 2, 29)),
        (date(2025, 2, 1), "monthly", date(2025, 2, 28)),
        (date(2026, 10, 1), "quarterly", date(2026, 12, 31)),
    ],
)
def test_a_period_ends_with_its_last_month(first: date, rhythm: str, last: date) -> None:
    assert last_day(first, rhythm) == last


@pytest.mark.parametrize(
    ("day", "rhythm", "period"),
    [
        (date(2026, 1, 1), "monthly", (date(2025, 12, 1), date(2025, 12, 31))),
        (date(2026, 1, 31), "monthly", (date(2025, 12, 1), date(2025, 12, 31))),
        (date(2026, 2, 1), "monthly", (date(2026, 1, 1), date(2026, 1, 31))),
        (date(2026, 3, 31), "quarterly", (date(2025, 10, 1), date(2025, 12, 31))),
        (date(2026, 4, 1), "quarterly", (date(2026, 1, 1), date(2026, 3, 31))),
    ],
)
def test_the_last_whole_period_lies_before_the_day(
    day: date, rhythm: str, period: tuple[date, date]
) -> None:
    assert period_before(day, rhythm) == period


def test_a_short_period_is_looked_at_by_weeks_with_the_day_before_and_the_last() -> None:
    assert looked_at(date(2026, 3, 1), date(2026, 3, 16)) == [
        date(2026, 2, 28),
        date(2026, 3, 7),
        date(2026, 3, 14),
        date(2026, 3, 16),
    ]


def test_one_day_is_looked_at_at_its_start_and_end() -> None:
    assert looked_at(date(2026, 3, 1), date(2026, 3, 1)) == [date(2026, 2, 28), date(2026, 3, 1)]


def test_a_week_has_no_day_twice() -> None:
    assert looked_at(date(2026, 3, 1), date(2026, 3, 7)) == [date(2026, 2, 28), date(2026, 3, 7)]


def test_from_a_hundred_days_between_on_it_is_looked_at_by_months() -> None:
    by_weeks = looked_at(date(2026, 1, 1), date(2026, 4, 10))
    by_months = looked_at(date(2026, 1, 1), date(2026, 4, 11))
    assert len(by_weeks) == 16
    assert by_months == [
        date(2025, 12, 31),
        date(2026, 1, 31),
        date(2026, 2, 28),
        date(2026, 3, 31),
        date(2026, 4, 11),
    ]


def test_a_month_that_began_in_its_middle_ends_with_its_own_end() -> None:
    days = looked_at(date(2026, 1, 15), date(2026, 6, 15))
    assert days[:3] == [date(2026, 1, 14), date(2026, 1, 31), date(2026, 2, 28)]


def test_of_ten_years_the_last_five_are_looked_at() -> None:
    days = looked_at(date(2016, 1, 1), date(2025, 12, 31))
    assert (len(days), days[0], days[-1]) == (61, date(2020, 12, 31), date(2025, 12, 31))
