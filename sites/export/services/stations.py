"""Rows of the sheets stations, schedules and stopgaps, for stations in care."""

from collections.abc import Iterator, Sequence
from typing import Any

from django.db.models import QuerySet

from sites.export.services.sheets import Values, Wanted, copied
from sites.load.services.sheets import schedules, stations, stopgaps
from sites.load.services.sheets.facts import FACTS
from sites.models import Feed, Property, Schedule, Station, StationFacts, Stopgap
from sites.stopgaps.engines.reasons import read_reason
from sites.stopgaps.engines.spells import Reason

TO_STATION = "station__controller__property"


def stations_written(places: Sequence[Property]) -> QuerySet[Station]:
    """Return the stations that the sheet of stations has."""
    return Station.objects.in_care().filter(controller__property__in=places)


def station_values(station: Station) -> Values:
    """Return how every sheet names a station."""
    return {
        "property code": station.controller.property.code,
        "controller": station.controller.name,
        "station number": station.number,
    }


def station_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield the stations with what they water now and the wire that feeds them now."""
    facts = _now(StationFacts.objects.all(), places)
    feeds = _now(Feed.objects.select_related("wire"), places)
    rows = stations_written(places).select_related(
        "controller__property", "valve_point", "depends_on__controller"
    )
    for station in rows.order_by("pk"):
        values = copied(stations.KIND, station) | station_values(station)
        if station.pk in facts:
            values |= {
                name: value
                for name, value in copied(stations.KIND, facts[station.pk]).items()
                if name in FACTS
            }
        values["wire"] = feeds[station.pk].wire.name if station.pk in feeds else None
        point, other = station.valve_point, station.depends_on
        values["valve point"] = point.name if point and not point.retired_on else None
        values["depends on"] = str(other) if other and _is_beside(other, station) else None
        yield values


def _now(rows: "QuerySet[Any]", places: Sequence[Property]) -> dict[int, Any]:
    """The open row of each station."""
    standing = rows.filter(to_on__isnull=True, **{f"{TO_STATION}__in": places})
    return {row.station_id: row for row in standing.order_by("pk")}


def _is_beside(other: Station, station: Station) -> bool:
    return (
        other.retired_on is None
        and other.controller.retired_on is None
        and other.controller.property_id == station.controller.property_id
    )


def schedule_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield all schedules, also those of the past."""
    rows = Schedule.objects.filter(station__in=stations_written(places))
    for schedule in rows.select_related(TO_STATION).order_by("pk"):
        values = copied(schedules.KIND, schedule)
        yield {**values, **station_values(schedule.station), "from": schedule.from_on}


def stopgap_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield all stopgaps, also those of the past."""
    rows = Stopgap.objects.filter(station__in=stations_written(places))
    for stopgap in rows.select_related(TO_STATION, "device").order_by("pk"):
        values = copied(stopgaps.KIND, stopgap) | station_values(stopgap.station)
        first, last = stopgap.fitted_earliest, stopgap.fitted_latest
        values |= {
            "kind": stopgap.kind,
            "fitted": (first, last) if first else None,
            "reason": _reason(stopgap),
            "source key": stopgap.source_key,
            "counted from": stopgap.counted_from,
        }
        if device := stopgap.device:
            values |= {
                "device": device.name,
                "battery kind": device.battery_kind,
                "battery changed": device.battery_changed_on,
            }
        yield values


def _reason(stopgap: Stopgap) -> str:
    """The words as written, as long as they still mean the reason that holds."""
    given = stopgap.reason_given
    if given and (read_reason(given) or Reason.NOT_KNOWN).value == stopgap.reason:
        return given
    return "" if stopgap.reason == Reason.NOT_KNOWN and not given else stopgap.reason
