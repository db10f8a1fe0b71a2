"""The demo's reports: one corrected since, a series with its draft, the quarter, a round."""

from dataclasses import replace
from datetime import datetime

from django.db.models import Count

from faults.cases.services.break_rules import PLAIN, BreakFacts
from faults.cases.services.breaks import correct_break
from faults.models import Break, Cause, JobState, RoundVisit
from reports.issued.engines.periods import period_before
from reports.issued.services.asking import Asked
from reports.issued.services.drafting import write_draft
from reports.issued.services.issuing import issue
from reports.issued.services.series import SeriesFacts, make_series, set_up_series
from reports.models import Audience, ReportKind, Rhythm
from sites.models import Property, User, today_at
from sites.runs.services import Silent


def make_demo_reports(*, owner: User, desk: User, reader: User, at: datetime) -> None:
    """Issue a month of the property with most faults of the reader's, and the owner's quarter.

    A second call would issue them once more: the caller makes them once.
    """
    place = _place(reader)
    if place is None:
        return
    today = today_at(place, at)
    last_month, _end = period_before(today, Rhythm.MONTHLY)
    start, until = period_before(last_month, Rhythm.MONTHLY)
    asked = Asked(
        kind=ReportKind.PROPERTY.value,
        from_on=start,
        until_on=until,
        language="en",
        units=place.units,
        paper="letter",
        place=place,
    )
    _issue(asked, owner, at)
    _correct(place, asked, at)
    facts = SeriesFacts(Rhythm.MONTHLY.value, last_month, desk, reader.email)
    set_up_series(asked=asked, facts=facts)
    make_series(at=at, go_on=lambda: None)
    quarter, end = period_before(today, Rhythm.QUARTERLY)
    of_all = replace(
        asked,
        kind=ReportKind.OWNER.value,
        audience=Audience.US.value,
        place=None,
        from_on=quarter,
        until_on=end,
    )
    _issue(of_all, owner, at)
    _issue_round(asked, owner, at)


def _issue_round(like: Asked, by: User, at: datetime) -> None:
    """What was done on the newest visit of a round that is over."""
    visits = RoundVisit.objects.filter(job__state=JobState.DONE).select_related("property", "round")
    visit = visits.order_by("-begins_on", "pk").first()
    if visit is None:
        return
    place = visit.property
    asked = replace(
        like,
        kind=ReportKind.ROUND.value,
        round=visit.round,
        place=place,
        from_on=visit.begins_on,
        until_on=today_at(place, at),
    )
    _issue(asked, by, at)


def _place(reader: User) -> Property | None:
    clients = [grant.client_id for grant in reader.grants.all() if grant.client_id]
    rows = Property.objects.in_care().filter(client__in=clients)
    counted = rows.annotate(n=Count("controllers__stations__spells"))
    return counted.order_by("-n", "code").first()


def _issue(asked: Asked, by: User, at: datetime) -> None:
    draft = write_draft(asked=asked, by=by, desk=by, at=at)
    issue(draft=draft, by=by, at=at, progress=Silent())


def _correct(place: Property, asked: Asked, at: datetime) -> None:
    """Somebody looks at a photo again: it was a shovel."""
    rows = Break.objects.filter(fault__property=place, found_on__lte=asked.until_on)
    open_then = rows.exclude(fault__closed_on__lt=asked.from_on).exclude(cause=Cause.SHOVEL)
    one = open_then.order_by("-found_on", "pk").first()
    if one is None:
        return
    kept = BreakFacts(
        **{name: getattr(one, name) for name in PLAIN}, wires=tuple(one.wires.order_by("pk"))
    )
    facts = replace(kept, cause=Cause.SHOVEL.value)
    correct_break(
        one=one, facts=facts, why="the photo shows a spade's edge", today=today_at(place, at)
    )
