"""What was issued against the records of today: facts of its period that were corrected since.

Whatever a report says touches the property's summary of this subject, and what is touched is made
again: by the task after the verb, each quarter of an hour, or by the page of the report itself.
To make it means here to put the report together again and to compare. No figures are kept.

A report on a client or on all properties is put together from all of them, which takes seconds
for a large company: a verb on one of them does not set that off. A round compares it once an hour,
where anything was touched at all.
"""

from collections.abc import Callable, Collection, Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Model, QuerySet, Sum
from django.utils import timezone

from faults.models import (
    Break,
    DamageClaim,
    Fault,
    FaultStation,
    Job,
    JobLine,
    LeftOut,
    Notice,
    Proof,
    Reading,
    RoundVisit,
    StageMove,
    WalkNote,
)
from reports.issued.engines.changes import changes
from reports.issued.services.asking import Asked, composer
from reports.issued.services.composing import compose
from reports.issued.services.drafting import SUBJECT
from reports.models import PropertySummary, Report, ReportChange
from reports.summaries.services.summaries import Figures, Keys, summaries_of, touch
from sites.documents.engines.document import from_json
from sites.models import (
    ClimateRow,
    Outage,
    Property,
    Schedule,
    Station,
    StationFacts,
    Tariff,
)

# Older ones are history: nobody corrects what they tell.
CHECKED_FOR = timedelta(days=400)
MOST_AT_ONCE = 5
WIDE_AGAIN_AFTER = timedelta(hours=1)


def make(places: Collection[int]) -> Mapping[int, Figures]:
    """Compare the reports on one of these properties with the records."""
    at = timezone.now()
    for report in _kept_in_view(at).filter(property__in=places):
        check(report, at=at)
    return {place: Figures({}) for place in places}


def compare_wide(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Compare the reports on a client or on all, where anything was touched: a round."""
    compared = 0
    for report in _kept_in_view(at).filter(property=None):
        change = ReportChange.objects.filter(report=report).first()
        if change is not None and at - change.compared_at < WIDE_AGAIN_AFTER:
            continue
        go_on()
        compared += _check_if_touched(report, change, at)
    return {"compared": compared}


def _kept_in_view(at: datetime) -> QuerySet[Report]:
    rows = Report.objects.filter(issued_at__gte=at - CHECKED_FOR)
    return rows.select_related("property", "client", "fault").order_by("pk")


def _check_if_touched(report: Report, change: ReportChange | None, at: datetime) -> bool:
    # Noted before the records are read: what is touched meanwhile is met the next time.
    touched = _touched(Asked.of(report).places())
    if change is not None and change.compared_of == touched:
        return False
    check(report, at=at)
    ReportChange.objects.filter(report=report).update(compared_of=touched, compared_at=at)
    return True


def _touched(places: Iterable[Property]) -> int:
    """How often these properties were touched: it only grows, also by a property that is new."""
    rows = PropertySummary.objects.filter(subject=SUBJECT, property__in=places)
    return rows.aggregate(Sum("touched"))["touched__sum"] or 0


def check(report: Report, *, at: datetime) -> None:
    """Keep what the report would say otherwise today of its own period."""
    kept = ReportChange.objects.filter(report=report).first() or ReportChange(report=report)
    # What an earlier version of our code put together differs by its words alone.
    if report.state.get("composer") == composer(report.kind):
        later = compose(Asked.of(report), at=at, by=report.made_by)
        differ = changes(from_json(report.document), later)
        found = [[each.heading, each.what, each.before, each.now] for each in differ]
        if kept.changes != found:
            kept.changes, kept.seen_at = found, at
            kept.first_seen_at = kept.first_seen_at or at
    kept.compared_at = at
    kept.save()


def checked_now(report: Report) -> None:
    """Compare a report where anything of its properties was touched since it last was."""
    places = Asked.of(report).places()
    if report.property_id:
        summaries_of(SUBJECT, [report.property_id])
    elif len(places) <= MOST_AT_ONCE:
        change = ReportChange.objects.filter(report=report).first()
        _check_if_touched(report, change, timezone.now())


def _of_station(row: Any) -> Mapping[str, Iterable[object]]:
    return {"stations": [row.station_id]}


def _of_fault(row: Any) -> Mapping[str, Iterable[object]]:
    return {"faults": [row.fault_id]}


def _of_place(row: Any) -> Mapping[str, Iterable[object]]:
    return {"places": [row.property_id] if row.property_id else []}


FOLLOWS_FROM: dict[type[Model], Keys] = {
    Property: lambda row: {"places": [row.pk]},
    Station: lambda row: {"controllers": [row.controller_id]},
    StationFacts: _of_station,
    Schedule: _of_station,
    Outage: _of_station,
    Tariff: _of_place,
    ClimateRow: _of_place,
    Fault: _of_place,
    FaultStation: _of_fault,
    Break: _of_fault,
    DamageClaim: _of_fault,
    StageMove: lambda row: {"stations": [row.fault_station.station_id]},
    Proof: lambda row: {"stations": [row.fault_station.station_id]},
    Notice: _of_place,
    Job: _of_place,
    JobLine: lambda row: {"places": [row.job.property_id]},
    LeftOut: lambda row: {"places": [row.job.property_id]},
    RoundVisit: _of_place,
    WalkNote: _of_station,
    Reading: _of_station,
}
DELETED = (StationFacts, Schedule, Outage, Tariff, ClimateRow, Break)


def spells_changed(station_ids: list[int], **_: Any) -> None:
    """Compare again where spells of stations were rebuilt."""
    touch(SUBJECT, stations=station_ids)
