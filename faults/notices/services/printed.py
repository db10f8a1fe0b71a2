"""Printed days of a ticket that lie far from what its rule computes: asked about, and marked.

The ticket's own days win, rightly; so a year that was mistyped would open a dig for a year.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from faults.models import NoticeRule
from faults.notices.engines.workdays import first_dig, runs_out_on
from faults.notices.services.terms import calendar_of, terms_of, zone_of
from sites.models import Property

# Further from the rule's day than a holiday and a weekend can move it. Our own choice.
FAR = timedelta(days=10)
# Without a rule's day: further ahead of the notice than tickets live. Our own choice.
FAR_AHEAD = {"proposed_start_on": timedelta(days=60), "printed_start_on": timedelta(days=60)}
FAR_AHEAD_OTHERWISE = timedelta(days=120)


@dataclass(frozen=True)
class FarDay:
    """A day on a ticket and the rule's own, None where no rule says one."""

    name: str
    on: date
    by_rule: date | None


def far_days(
    place: Property, rule: NoticeRule | None, given_at: datetime, days: Mapping[str, date | None]
) -> list[FarDay]:
    """Return the days that are to be looked at once more.

    Args:
        days: "proposed_start_on", "printed_start_on" and "printed_expiry_on", None where empty.
    """
    by_rule = _by_rule(place, rule, given_at, days)
    given = given_at.astimezone(zone_of(place)).date()
    return [
        FarDay(name, day, by_rule.get(name))
        for name, day in days.items()
        if day is not None and _is_far(name, day, by_rule.get(name), given)
    ]


def _is_far(name: str, day: date, by_rule: date | None, given: date) -> bool:
    # A proposed start is a matter of planning; one that is early clears no sooner for it.
    if by_rule is not None and name != "proposed_start_on":
        return abs(day - by_rule) > FAR
    return day - given > FAR_AHEAD.get(name, FAR_AHEAD_OTHERWISE)


def _by_rule(
    place: Property, rule: NoticeRule | None, given_at: datetime, days: Mapping[str, date | None]
) -> dict[str, date | None]:
    if rule is None:
        return {}
    calendar, terms = calendar_of(rule, zone_of(place)), terms_of(rule)
    first = calendar.local(first_dig(terms, calendar, given_at)).date()
    proposed = days.get("proposed_start_on") or first
    start = days.get("printed_start_on") or max(first, proposed)
    given_on = calendar.local(given_at).date()
    return {
        "proposed_start_on": first,
        "printed_start_on": max(first, proposed),
        "printed_expiry_on": runs_out_on(terms, calendar, given_on=given_on, start_on=start),
    }
