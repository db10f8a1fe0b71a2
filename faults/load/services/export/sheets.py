"""Rows of the sheets faults, breaks and readings."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from faults.access import faults_for
from faults.load.services import breaks, faults, readings
from faults.models import Break, Fault, FaultStation, Reading
from faults.models.fault import FaultQuerySet
from sites.export.services.sheets import ExportSheet, Records, Wanted
from sites.export.services.stations import of_stations, stations_written
from sites.kernel.engines.roles import Action
from sites.models import Property


def fault_rows(wanted: Wanted, places: Sequence[Property]) -> Iterator[Records]:
    """Yield the faults with the stations in care that each stops."""
    links = _links(wanted, places)
    for fault in _faults(wanted, places).select_related("property").order_by("pk"):
        if fault.pk in links:
            yield fault, links[fault.pk]


def break_rows(wanted: Wanted, places: Sequence[Property]) -> Iterator[Records]:
    """Yield the breaks of these faults."""
    rows = Break.objects.filter(fault__in=_links(wanted, places))
    rows = rows.select_related("fault__property", "leg__from_point", "leg__to_point", "from_point")
    for found in rows.prefetch_related("wires").order_by("fault", "running_number"):
        yield found, found.fault


def reading_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterable[Records]:
    """Return the readings that count."""
    rows = Reading.objects.filter(voided_on__isnull=True).select_related("point")
    return of_stations(rows, places)


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


FAULTS = ExportSheet(faults.KIND, fault_rows, ("reported", "fault key", "ref"), Action.SEE_FAULTS)
BREAKS = ExportSheet(breaks.KIND, break_rows, ("fault key", "running_number"), Action.SEE_FAULTS)
READINGS = ExportSheet(
    readings.KIND,
    reading_rows,
    ("controller", "station number", "taken", "kind", "value", "point", "loaded", "by"),
)
