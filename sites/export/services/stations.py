"""Rows of the sheets stations, schedules and stopgaps, for stations in care."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django.db.models import QuerySet

from sites.export.services.sheets import Records, Wanted
from sites.models import Feed, Property, Schedule, Station, StationFacts, Stopgap

TO_STATION = "station__controller__property"


def stations_written(places: Sequence[Property]) -> QuerySet[Station]:
    """Return the stations that the sheet of stations has."""
    return Station.objects.in_care().filter(controller__property__in=places)


def of_stations(rows: "QuerySet[Any]", places: Sequence[Property]) -> Iterator[Records]:
    """Yield what is kept of stations, each row with its station and the controller."""
    rows = rows.filter(station__in=stations_written(places))
    for row in rows.select_related(TO_STATION).order_by("pk"):
        yield row, row.station, row.station.controller


def station_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Records]:
    """Yield the stations with what they water now and the wire that feeds them now."""
    facts = _now(StationFacts.objects.all(), places)
    feeds = _now(Feed.objects.select_related("wire"), places)
    rows = stations_written(places).select_related(
        "controller__property", "valve_point", "depends_on__controller"
    )
    for station in rows.order_by("pk"):
        pk = station.pk
        yield station, facts.get(pk), feeds.get(pk), station.controller


def _now(rows: "QuerySet[Any]", places: Sequence[Property]) -> dict[int, object]:
    """The open row of each station."""
    standing = rows.filter(to_on__isnull=True, **{f"{TO_STATION}__in": places})
    return {row.station_id: row for row in standing.order_by("pk")}


def schedule_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterable[Records]:
    """Return all schedules, also those of the past."""
    return of_stations(Schedule.objects.all(), places)


def stopgap_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterable[Records]:
    """Return all stopgaps, also those of the past."""
    return of_stations(Stopgap.objects.select_related("device"), places)
