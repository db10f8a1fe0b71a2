"""The days of notices, as far as their follow-ups need them: printed, or counted by the rule."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from faults.models import Notice
from faults.notices.engines.dig_gate import PlannedDig
from faults.notices.services.book import NoticeBook
from faults.notices.services.terms import clears_on, judge, last_day, renew_on


@dataclass(frozen=True)
class NoticeDays:
    """From when digging may start, the last day, and by when to renew; None where nothing tells."""

    clear_on: date | None
    expiry_on: date | None
    renew_on: date | None = None


def days_of(notices: Sequence[Notice], *, at: datetime) -> dict[int, NoticeDays]:
    """Return the days of each notice, in a fixed number of queries."""
    book = NoticeBook.of({notice.property_id for notice in notices})
    return {notice.pk: _days(notice, book, at) for notice in notices}


def _days(notice: Notice, book: NoticeBook, at: datetime) -> NoticeDays:
    place = notice.property
    rule = book.rule_for(place, notice)
    try:
        # Any dig will do: the question is when the ticket is valid, not whether this dig fits.
        judged = judge(notice, place=place, rule=rule, dig=PlannedDig(at, at))
    except ValueError:
        # A ticket that contradicts itself, from a file: its printed days are all there is.
        return NoticeDays(notice.printed_start_on, notice.printed_expiry_on)
    return NoticeDays(clears_on(judged), last_day(judged), renew_on(judged))
