"""Rows of the sheets faults, breaks and readings."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import datetime

from faults.access import faults_for
from faults.cases.engines.stages import Stage
from faults.load.services import breaks, faults, readings
from faults.models import Break, Fault, FaultStation, Reading
from faults.models.fault import FaultQuerySet
from sites.export.services.ground import is_written, leg_name
from sites.export.services.sheets import ExportSheet, Values, Wanted, copied
from sites.export.services.stations import TO_STATION, station_values, stations_written
from sites.kernel.engines.roles import Action
from sites.models import Property


def fault_rows(wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield the faults with the stations in care that each stops."""
    links = _links(wanted, places)
    for fault in _faults(wanted, places).select_related("property").order_by("pk"):
        if fault.pk in links:
            stations = links[fault.pk]
            yield {
                **copied(faults.KIND, fault),
                "property code": fault.property.code,
                "fault key": fault.key,
                "stations": sorted(str(link.station) for link in stations),
                "stage": fault.stage,
                "how returned": _how(fault, stations),
            }


def break_rows(wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield the breaks of these faults; one on a leg that is retired keeps no place along it."""
    rows = Break.objects.filter(fault__in=_links(wanted, places))
    rows = rows.select_related("fault__property", "leg__from_point", "leg__to_point", "from_point")
    for found in rows.prefetch_related("wires").order_by("fault", "running_number"):
        fault, leg, point = found.fault, found.leg, found.from_point
        values = copied(breaks.KIND, found)
        values |= {"property code": fault.property.code, "fault key": fault.key or fault.ref}
        values |= {"running number": found.running_number}
        values["wires"] = sorted(wire.name for wire in found.wires.all())
        if leg is not None and is_written(leg):
            values |= {"leg": leg_name(leg), "from point": point.name if point else None}
        else:
            values["feet"] = None
        yield values


def reading_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield the readings that count, each with its time of day where that is known."""
    rows = Reading.objects.filter(station__in=stations_written(places), voided_on__isnull=True)
    for reading in rows.select_related(TO_STATION, "point").order_by("pk"):
        point = reading.point
        yield {
            **copied(readings.KIND, reading),
            **station_values(reading.station),
            "taken": _taken(reading),
            "kind": reading.kind,
            "value": reading.value,
            "point": point.name if point and not point.retired_on else None,
        }


def _faults(wanted: Wanted, places: Sequence[Property]) -> FaultQuerySet:
    rows = Fault.objects.all() if wanted.user is None else faults_for(wanted.user)
    return rows.filter(property__in=places)


def _links(wanted: Wanted, places: Sequence[Property]) -> dict[int, list[FaultStation]]:
    """The stations in care of each fault that may be seen."""
    found: dict[int, list[FaultStation]] = defaultdict(list)
    rows = FaultStation.objects.filter(
        fault__in=_faults(wanted, places), station__in=stations_written(places)
    )
    for link in rows.select_related("station__controller").order_by("pk"):
        found[link.fault_id].append(link)
    return found


def _how(fault: Fault, stations: list[FaultStation]) -> str:
    """The one way in which all of them came back; several ways have no cell."""
    ways = {link.how_returned for link in stations if link.stage == Stage.RETURNED}
    return ways.pop() if fault.stage == Stage.RETURNED and len(ways) == 1 else ""


def _taken(reading: Reading) -> str:
    if reading.taken_at_time is None:
        return reading.taken_on.isoformat()
    return datetime.combine(reading.taken_on, reading.taken_at_time).isoformat(sep=" ")


FAULTS = ExportSheet(faults.KIND, fault_rows, ("reported", "fault key", "ref"), Action.SEE_FAULTS)
BREAKS = ExportSheet(breaks.KIND, break_rows, ("fault key", "running number"), Action.SEE_FAULTS)
READINGS = ExportSheet(
    readings.KIND,
    reading_rows,
    ("controller", "station number", "taken", "kind", "value", "point", "loaded", "by"),
)
