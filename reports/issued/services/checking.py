"""What was issued against the records of today: facts of its period that were corrected since.

Whatever a report says touches the property's summary of this subject, and what is touched is made
again: by the task after the verb, each quarter of an hour, or by the page of the report itself.
To make it means here to put the report together again and to compare. No figures are kept.
"""

from collections.abc import Collection, Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Model, Q
from django.utils import timezone

from faults.models import (
    Break,
    DamageClaim,
    Fault,
    FaultStation,
    Job,
    JobLine,
    Notice,
    Proof,
    StageMove,
)
from reports.issued.engines.changes import changes
from reports.issued.services.asking import COMPOSER, Asked
from reports.issued.services.composing import compose
from reports.issued.services.drafting import SUBJECT
from reports.models import Report, ReportChange
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


def make(places: Collection[int]) -> Mapping[int, Figures]:
    """Compare all reports on these properties with the records."""
    at = timezone.now()
    for report in _on(places, at):
        check(report, at=at)
    return {place: Figures({}) for place in places}


def _on(places: Collection[int], at: datetime) -> Iterable[Report]:
    clients = Property.objects.filter(pk__in=places).values("client")
    about = Q(property__in=places) | Q(client__in=clients) | Q(property=None, client=None)
    rows = Report.objects.filter(about, issued_at__gte=at - CHECKED_FOR)
    return rows.select_related("property", "client", "fault", "change").order_by("pk")


def check(report: Report, *, at: datetime) -> None:
    """Keep what the report would say otherwise today of its own period."""
    if report.state.get("composer") != COMPOSER:
        return
    earlier = from_json(report.document)
    later = compose(Asked.of(report), at=at, by=report.made_by)
    found = [[each.heading, each.what, each.before, each.now] for each in changes(earlier, later)]
    kept = ReportChange.objects.filter(report=report).first()
    if kept is None and found:
        ReportChange.objects.create(report=report, first_seen_at=at, seen_at=at, changes=found)
    elif kept is not None and kept.changes != found:
        kept.changes, kept.seen_at = found, at
        kept.save()


def checked_now(report: Report) -> None:
    """Compare a report where anything of its properties was touched since it last was."""
    places = [place.pk for place in Asked.of(report).places()]
    if len(places) <= MOST_AT_ONCE:
        summaries_of(SUBJECT, places)


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
}
DELETED = (StationFacts, Schedule, Outage, Tariff, ClimateRow)


def spells_changed(station_ids: list[int], **_: Any) -> None:
    """Compare again where spells of stations were rebuilt."""
    touch(SUBJECT, stations=station_ids)
