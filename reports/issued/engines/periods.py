"""Periods of reports: months and quarters, and the days on which a period is looked at."""

from collections.abc import Iterator
from datetime import date, timedelta

MONTHS = {"monthly": 1, "quarterly": 3}
ONE_DAY = timedelta(days=1)
# A chart of a longer period looks at the ends of months, a shorter one at those of weeks.
LONGEST_BY_WEEKS = 100
MOST_COLUMNS = 61


def next_start(first: date, months: int) -> date:
    """Return the first day of the month so many months on."""
    number = first.year * 12 + first.month - 1 + months
    return date(number // 12, number % 12 + 1, 1)


def last_day(first: date, rhythm: str) -> date:
    """Return the last day of the period that begins on a day."""
    return next_start(first, MONTHS[rhythm]) - ONE_DAY


def period_before(day: date, rhythm: str) -> tuple[date, date]:
    """Return the first and last day of the last whole period before a day."""
    months = MONTHS[rhythm]
    start = date(day.year, (day.month - 1) // months * months + 1, 1)
    return next_start(start, -months), start - ONE_DAY


def looked_at(from_on: date, until_on: date) -> list[date]:
    """Return the days at whose end a chart looks: the day before it, ends of weeks or months.

    The last day is always there. Beyond five years the oldest are left out.
    """
    return list(_days(from_on, until_on))[-MOST_COLUMNS:]


def _days(from_on: date, until_on: date) -> Iterator[date]:
    yield from_on - ONE_DAY
    by_weeks = (until_on - from_on).days < LONGEST_BY_WEEKS
    start = from_on
    while True:
        end = (
            start + timedelta(days=6) if by_weeks else next_start(start.replace(day=1), 1) - ONE_DAY
        )
        if end >= until_on:
            break
        yield end
        start = end + ONE_DAY
    yield until_on
