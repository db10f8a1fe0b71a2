"""The clocks of a utility notice: how long to wait, until when it lives, how far ahead to ask.

Three kinds of clock are in use: whole working days, hours that stand still on closed days, and
calendar days. Which one holds, and every number, is data that the owner confirmed for a place;
nothing here is the law of any place. `dig_gate` asks these clocks whether a dig may go.

Moments carry a zone; they are read on the wall clock of the calendar's own zone.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo
from enum import StrEnum
from itertools import islice

ONE_DAY = timedelta(days=1)
_SATURDAY, _SUNDAY = 5, 6


def need_zones(**moments: datetime | None) -> None:
    """Raise ValueError for the first moment that carries no zone, by its name."""
    for name, moment in moments.items():
        if moment is not None and moment.tzinfo is None:
            raise ValueError(f"Expected {name} with its zone, got {moment.isoformat()}")


class Unit(StrEnum):
    """What a rule counts in."""

    WORKING_DAY = "working day"
    HOUR = "hour"
    CALENDAR_DAY = "calendar day"


class LifeFrom(StrEnum):
    """The day from which the life of a notice is counted."""

    NOTICE = "notice"
    START = "start"


@dataclass(frozen=True, slots=True)
class WorkCalendar:
    """The days on which a one-call centre is closed, in the zone of the property.

    Args:
        zone: of the property; all moments are read on its wall clock.
        dates: single closed days, as the user ticked them. They must reach past the last day
            that is in question: a year without holidays clears too early.
        weekdays: closed in every week, Monday = 0.

    Raises:
        ValueError: a weekday outside 0..6, or no weekday left open.
    """

    zone: tzinfo
    dates: frozenset[date] = frozenset()
    weekdays: frozenset[int] = frozenset({_SATURDAY, _SUNDAY})

    def __post_init__(self) -> None:
        if not self.weekdays < frozenset(range(7)):
            shown = sorted(self.weekdays)
            raise ValueError(f"Expected weekdays within 0..6 and one left open, got {shown}")

    def is_closed(self, day: date) -> bool:
        """Return whether nobody works on a day."""
        return day.weekday() in self.weekdays or day in self.dates

    def open_days_after(self, day: date) -> Iterator[date]:
        """Yield the open days after a day, without end."""
        while True:
            day += ONE_DAY
            if not self.is_closed(day):
                yield day

    def nth_open_day_after(self, day: date, n: int) -> date:
        """Return the n-th open day after a day, or the day itself for n = 0."""
        return next(islice(self.open_days_after(day), n - 1, None)) if n else day

    def nth_open_day_before(self, day: date, n: int) -> date:
        """Return the n-th open day before a day, or the day itself for n = 0."""
        while n:
            day -= ONE_DAY
            n -= not self.is_closed(day)
        return day

    def local(self, moment: datetime) -> datetime:
        """Return a moment on the wall clock of the property.

        Raises:
            ValueError: the moment carries no zone.
        """
        need_zones(moment=moment)
        return moment.astimezone(self.zone)

    def at(self, day: date, hour: time = time.min) -> datetime:
        """Return a moment of a day; midnight at its start when no time is named."""
        return datetime.combine(day, hour, self.zone)

    def end_of(self, day: date) -> datetime:
        """Return the midnight that ends a day: what a printed day of expiry means."""
        return self.at(day + ONE_DAY)


@dataclass(frozen=True, slots=True)
class NoticeTerms:
    """The rule of one place, as it was confirmed.

    Args:
        wait_n, wait_unit: how long the operators have to mark.
        count_notice_day: whether the day of the notice is the first of the days waited.
        day_start, day_end: a working day; a notice at or after its end counts as given on the
            next one. Hours are counted from the moment itself.
        max_ahead_n, max_ahead_unit: how far after the day of the notice the proposed start may
            lie; None = no limit stated.
        life_n, life_unit, life_from: how long the notice lives; None = no life stated.
        renew_before_n: how many of the life's days before its last to ask for a renewal.
        needs_positive_response: whether every operator must have answered too.
        closed_day_counts_as_notice_day: a notice on a closed day counts as given on that day,
            not on the next open one, so that the count starts a day sooner.
        saturday_clears_at: for the hour clock: a notice on a Saturday clears at this time on
            the second open day after it.

    Raises:
        ValueError: a number or a unit that no such rule can have.
    """

    wait_n: int
    wait_unit: Unit = Unit.WORKING_DAY
    count_notice_day: bool = False
    day_start: time = time(7)
    day_end: time = time(17)
    max_ahead_n: int | None = None
    max_ahead_unit: Unit = Unit.CALENDAR_DAY
    life_n: int | None = None
    life_unit: Unit = Unit.CALENDAR_DAY
    life_from: LifeFrom = LifeFrom.START
    renew_before_n: int = 0
    needs_positive_response: bool = True
    closed_day_counts_as_notice_day: bool = False
    saturday_clears_at: time | None = None

    def __post_init__(self) -> None:
        for name in ("wait_n", "max_ahead_n", "life_n"):
            value = getattr(self, name)
            if value is not None and value <= 0:
                raise ValueError(f"Expected {name} > 0, got {value}")
        if Unit.HOUR in (self.max_ahead_unit, self.life_unit):
            raise ValueError("Expected max_ahead_unit and life_unit in days, got hours")
        if self.day_end <= self.day_start:
            raise ValueError(f"Expected day_end > day_start, got {self.day_end}")
        if not 0 <= self.renew_before_n <= max(0, (self.life_n or 1) - 1):
            raise ValueError(f"Expected 0 <= renew_before_n < life_n, got {self.renew_before_n}")
        if self.saturday_clears_at is not None and self.wait_unit is not Unit.HOUR:
            raise ValueError(f"Expected saturday_clears_at with hours only, got {self.wait_unit}")


def notice_day(terms: NoticeTerms, calendar: WorkCalendar, given_at: datetime) -> date:
    """Return the day on which a notice counts as given."""
    moment = calendar.local(given_at)
    day = moment.date()
    if calendar.is_closed(day):
        is_kept = terms.closed_day_counts_as_notice_day
        return day if is_kept else calendar.nth_open_day_after(day, 1)
    return day if moment.time() < terms.day_end else calendar.nth_open_day_after(day, 1)


def waits_until(terms: NoticeTerms, calendar: WorkCalendar, given_at: datetime) -> datetime:
    """Return the last waiting moment; for whole days the midnight that ends the last of them.

    Source: what the three clocks mean is read from al811.com/life-of-ticket (working days) and
    Texas Utilities Code 251.157(a) (hours outside closed days, and the notice on a Saturday).
    """
    if terms.wait_unit is Unit.HOUR:
        return _hours_until(terms, calendar, calendar.local(given_at))
    first = notice_day(terms, calendar, given_at)
    # A notice on a closed day cannot have its own day counted: nobody marked on it.
    is_counted = terms.count_notice_day and not calendar.is_closed(first)
    n = terms.wait_n - (1 if is_counted else 0)
    return calendar.end_of(_counted(calendar, first, n, terms.wait_unit))


def first_dig(terms: NoticeTerms, calendar: WorkCalendar, given_at: datetime) -> datetime:
    """Return when digging may start: the next time people work once the wait is over."""
    moment = waits_until(terms, calendar, given_at)
    day = moment.date()
    if not calendar.is_closed(day) and moment.time() < terms.day_end:
        return max(moment, calendar.at(day, terms.day_start))
    return calendar.at(calendar.nth_open_day_after(day, 1), terms.day_start)


def runs_out_on(
    terms: NoticeTerms, calendar: WorkCalendar, *, given_on: date, start_on: date
) -> date | None:
    """Return the last day on which a notice lives, or None where no life is stated.

    Args:
        given_on: the day of the notice as the calendar has it, whatever the hour.
        start_on: the start on the ticket.
    """
    start = given_on if terms.life_from is LifeFrom.NOTICE else start_on
    return (
        None if terms.life_n is None else _counted(calendar, start, terms.life_n, terms.life_unit)
    )


def renew_by(
    terms: NoticeTerms, calendar: WorkCalendar, *, given_on: date, last: date
) -> date | None:
    """Return the last day to ask for a renewal, or None where the rule states none.

    Counted back from the notice's last day. A closed day is no day to ask: the open one before
    it is, unless a notice of a closed day counts as given on that day.

    Args:
        given_on: the day of the notice; nothing is due before it.
        last: the last day of the notice, as printed or as `runs_out_on` has it.
    """
    if not terms.renew_before_n:
        return None
    if terms.life_unit is Unit.CALENDAR_DAY:
        day = last - terms.renew_before_n * ONE_DAY
    else:
        day = calendar.nth_open_day_before(last, terms.renew_before_n)
    if calendar.is_closed(day) and not terms.closed_day_counts_as_notice_day:
        day = calendar.nth_open_day_before(day, 1)
    return max(day, given_on)


def latest_start(terms: NoticeTerms, calendar: WorkCalendar, given_on: date) -> date | None:
    """Return the last day that may be proposed as the start, or None without a limit."""
    if terms.max_ahead_n is None:
        return None
    return _counted(calendar, given_on, terms.max_ahead_n, terms.max_ahead_unit)


def _counted(calendar: WorkCalendar, day: date, n: int, unit: Unit) -> date:
    if unit is Unit.CALENDAR_DAY:
        return day + n * ONE_DAY
    return calendar.nth_open_day_after(day, n)


def _hours_until(terms: NoticeTerms, calendar: WorkCalendar, moment: datetime) -> datetime:
    day = moment.date()
    if terms.saturday_clears_at is not None and day.weekday() == _SATURDAY:
        # Where Tuesday is closed too the text is silent: the later day is the safe one.
        return calendar.at(calendar.nth_open_day_after(day, 2), terms.saturday_clears_at)
    left = timedelta(hours=terms.wait_n)
    while True:
        if calendar.is_closed(moment.date()):
            moment = calendar.at(calendar.nth_open_day_after(moment.date(), 1))
        midnight = calendar.end_of(moment.date())
        if left <= midnight - moment:
            return moment + left
        left -= midnight - moment
        moment = midnight
