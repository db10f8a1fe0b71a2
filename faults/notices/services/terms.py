"""From rules and tickets as they are kept to the clocks that count them."""

import zoneinfo
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from enum import StrEnum

from faults.models import ClosedDays, Notice, NoticeRule, OperatorState
from faults.notices.engines import dig_gate as gates
from faults.notices.engines.dig_gate import Answer, DigGate, PlannedDig, Reply, may_dig
from faults.notices.engines.workdays import (
    LifeFrom,
    NoticeTerms,
    Unit,
    WorkCalendar,
    first_dig,
    renew_by,
)
from sites.models import Property

REPLIES = {
    OperatorState.WAITING.value: Reply.NONE,
    OperatorState.MARKED.value: Reply.MARKED,
    OperatorState.NOTHING_HERE.value: Reply.CLEAR,
    OperatorState.NEEDS_TIME.value: Reply.NOT_YET,
}


class Lacking(StrEnum):
    """Why no rule can be counted with."""

    NOTHING = ""
    REGION = "the property names no region"
    RULE = "no rule for the region"
    CONFIRMATION = "not confirmed"
    CLOSED_DAYS = "closed days missing"


@dataclass(frozen=True)
class Judged:
    """Whether a dig may go, and what that was judged by."""

    gate: DigGate
    notice: Notice | None
    rule: NoticeRule | None
    lacking: Lacking
    calendar: WorkCalendar
    lacking_year: int | None = None

    @property
    def is_clear(self) -> bool:
        """Whether nothing speaks against the dig."""
        return self.gate.is_clear


def zone_of(place: Property) -> tzinfo:
    """Return the time zone of a property."""
    return zoneinfo.ZoneInfo(place.time_zone)


def terms_of(rule: NoticeRule) -> NoticeTerms:
    """Convert a stored rule to the engine's parameter object."""
    is_hours = rule.wait_unit == Unit.HOUR
    return NoticeTerms(
        wait_n=rule.wait_n,
        wait_unit=Unit(rule.wait_unit),
        count_notice_day=rule.count_notice_day,
        day_start=rule.day_start,
        day_end=rule.day_end,
        max_ahead_n=rule.max_ahead_n or None,
        max_ahead_unit=Unit(rule.max_ahead_unit),
        life_n=rule.life_n or None,
        life_unit=Unit(rule.life_unit),
        life_from=LifeFrom(rule.life_from),
        renew_before_n=min(rule.renew_before_n, max(0, (rule.life_n or 1) - 1)),
        needs_positive_response=rule.needs_positive_response,
        closed_day_counts_as_notice_day=not rule.closed_day_starts_next,
        saturday_clears_at=rule.saturday_clears_at if is_hours else None,
    )


def calendar_of(rule: NoticeRule | None, zone: tzinfo) -> WorkCalendar:
    """Return the closed days that the rule names; without a rule, weekends alone."""
    kept = rule.closed_days if rule else None
    if kept is None:
        return WorkCalendar(zone)
    return WorkCalendar(zone, closed_dates(kept), frozenset(int(n) for n in kept.weekend))


def closed_dates(kept: ClosedDays) -> frozenset[date]:
    """Return the days of a set that are ticked."""
    return frozenset(day.on for day in kept.days.all() if day.is_closed)


def judge(
    notice: Notice | None, *, place: Property, rule: NoticeRule | None, dig: PlannedDig | None
) -> Judged:
    """Return whether a dig may go by this ticket and this rule."""
    calendar = calendar_of(rule, zone_of(place))
    lacking, year = _lacking(notice, rule, place, calendar)
    terms = terms_of(rule) if rule is not None and not lacking else None
    told = ticket_told(notice, calendar) if notice else None
    return Judged(
        may_dig(told, dig, terms=terms, calendar=calendar), notice, rule, lacking, calendar, year
    )


def ticket_told(notice: Notice, calendar: WorkCalendar) -> gates.Notice:
    """Return a ticket as the gate takes it: a printed day of expiry holds to its midnight."""
    start, expiry = notice.printed_start_on, notice.printed_expiry_on
    return gates.Notice(
        given_at=notice.given_at,
        answers=tuple(
            Answer(row.operator, REPLIES[row.state])
            for row in sorted(notice.operators.all(), key=lambda row: (row.operator, row.pk))
        ),
        proposed_start=calendar.at(notice.proposed_start_on),
        printed_start=calendar.at(start) if start else None,
        printed_expiry=calendar.end_of(expiry) if expiry else None,
    )


def _lacking(
    notice: Notice | None, rule: NoticeRule | None, place: Property, calendar: WorkCalendar
) -> tuple[Lacking, int | None]:
    if rule is None:
        return (Lacking.RULE if place.notice_region.strip() else Lacking.REGION), None
    if rule.confirmed_on is None:
        return Lacking.CONFIRMATION, None
    year = _year_not_covered(notice, rule, calendar) if notice else None
    return (Lacking.CLOSED_DAYS if year else Lacking.NOTHING), year


def _year_not_covered(notice: Notice, rule: NoticeRule, calendar: WorkCalendar) -> int | None:
    """A year without listed closed days would clear too early: then nothing is counted."""
    if rule.wait_unit == Unit.CALENDAR_DAY:
        return None
    first = calendar.local(notice.given_at).year
    last = first_dig(terms_of(rule), calendar, notice.given_at).year
    listed = years_of(rule.closed_days) if rule.closed_days else set()
    return next((year for year in range(first, last + 1) if year not in listed), None)


def years_of(kept: ClosedDays) -> set[int]:
    """Return the years of which a set lists days, ticked or not."""
    return {day.on.year for day in kept.days.all()}


def clears_on(judged: Judged) -> date | None:
    """Return the day on which the ticket clears, where something tells it."""
    return _local_day(judged, judged.gate.clears_at)


def last_day(judged: Judged) -> date | None:
    """Return the last day on which the ticket lives, where something tells it."""
    out = judged.gate.runs_out_at
    if out is None:
        return None
    from_midnight = judged.calendar.local(out)
    return date.fromordinal(from_midnight.date().toordinal() - 1)


def renew_on(judged: Judged) -> date | None:
    """Return the last day to ask for a renewal, where a confirmed rule tells it.

    None too where working days are counted through years whose closed days are not listed.
    """
    rule, notice, last = judged.rule, judged.notice, last_day(judged)
    if rule is None or notice is None or last is None or judged.lacking:
        return None
    given_on = judged.calendar.local(notice.given_at).date()
    day = renew_by(terms_of(rule), judged.calendar, given_on=given_on, last=last)
    return day if day and _lists_years(rule, {day.year, last.year}) else None


def _lists_years(rule: NoticeRule, years: set[int]) -> bool:
    """Closed days that are not listed would move a day that is counted back too late."""
    if rule.life_unit == Unit.CALENDAR_DAY:
        return True
    return rule.closed_days is not None and years <= years_of(rule.closed_days)


def _local_day(judged: Judged, moment: datetime | None) -> date | None:
    return judged.calendar.local(moment).date() if moment else None
