"""Rules of places, a calendar and random calendars, for the tests of notices.

The rules are read from the pages named beside them, some of them copies; they stand here to
show that such rules can be said, not to say the law.
"""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from faults.notices.engines.workdays import (
    LifeFrom,
    NoticeTerms,
    Unit,
    WorkCalendar,
    waits_until,
)

ZONE = ZoneInfo("America/Chicago")
# US federal holidays as the library holidays 0.109 lists them for these months.
FEDERAL = frozenset(
    {
        date(2026, 5, 25),
        date(2026, 6, 19),
        date(2026, 7, 3),
        date(2026, 9, 7),
        date(2026, 10, 12),
        date(2026, 11, 11),
        date(2026, 11, 26),
        date(2026, 12, 25),
    }
)
DAY_AFTER_THANKSGIVING = date(2026, 11, 27)
CALENDAR = WorkCalendar(ZONE, FEDERAL)
TWO_WORKING = NoticeTerms(2)
# Texas Utilities Code 251.157(a), at lawserver.com; 14 days ahead 251.151(a), at findlaw.com.
TEXAS = NoticeTerms(
    48,
    Unit.HOUR,
    saturday_clears_at=time(11, 59),
    max_ahead_n=14,
    needs_positive_response=False,
)
# al811.com/life-of-ticket.
ALABAMA = NoticeTerms(
    2,
    max_ahead_n=10,
    max_ahead_unit=Unit.WORKING_DAY,
    life_n=20,
    life_unit=Unit.WORKING_DAY,
    renew_before_n=2,
)
# digalert.org/calaw; 28 and 14 days in a copy at legalclarity.org; 24 in from memory.
CALIFORNIA = NoticeTerms(
    2, max_ahead_n=14, life_n=28, life_from=LifeFrom.NOTICE, needs_positive_response=True
)
# nc811.org/ticket-types: 3 full working days; 15 working days, update by the 12th.
NORTH_CAROLINA = NoticeTerms(3, life_n=15, life_unit=Unit.WORKING_DAY, renew_before_n=3)
# ne1call.com/ticket-life: 17 calendar days after the start, refresh by day 14; wait is our own.
NEBRASKA = NoticeTerms(2, life_n=17, renew_before_n=3)
# verylinks.online, a copy: 2 business days, 21 calendar days; life from the notice is our own.
GEORGIA = NoticeTerms(2, life_n=21, life_from=LifeFrom.NOTICE)


def at(month: int, day: int, hour: int = 0, minute: int = 0) -> datetime:
    """Return a moment of 2026 in the tests' zone."""
    return datetime(2026, month, day, hour, minute, tzinfo=ZONE)


def last_waiting_day(terms: NoticeTerms, calendar: WorkCalendar, given_at: datetime) -> date:
    """Return the day that holds the last waiting moment."""
    return (waits_until(terms, calendar, given_at) - timedelta(microseconds=1)).date()


moments = st.datetimes(datetime(2026, 1, 1), datetime(2026, 12, 31)).map(  # noqa: DTZ001
    lambda moment: moment.replace(tzinfo=ZONE)
)
calendars = st.builds(
    WorkCalendar,
    zone=st.just(ZONE),
    dates=st.frozensets(st.dates(date(2026, 1, 1), date(2027, 2, 1)), max_size=12),
    weekdays=st.sampled_from([frozenset({5, 6}), frozenset({6}), frozenset({4, 5})]),
)
units = st.sampled_from(Unit)
day_units = st.sampled_from([Unit.WORKING_DAY, Unit.CALENDAR_DAY])
waits = st.integers(1, 80)
