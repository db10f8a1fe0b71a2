"""Reads of faults."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Count, IntegerField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from faults.access import faults_for
from faults.models import Break, Fault, FaultStation, StageMove
from sites.models import User


def faults_listed(user: User) -> QuerySet[Fault]:
    """Return faults with how many stations each stops, and the cause of its first break."""
    stations = (
        FaultStation.objects.filter(fault=OuterRef("pk"))
        .order_by()
        .values("fault")
        .annotate(n=Count("pk"))
        .values("n")
    )
    first = Break.objects.filter(fault=OuterRef("pk")).order_by("running_number")
    return (
        faults_for(user)
        .select_related("property")
        .annotate(
            station_total=Coalesce(Subquery(stations, output_field=IntegerField()), 0),
            first_cause=Subquery(first.values("cause")[:1]),
        )
    )


def stations_of(fault: Fault) -> list[FaultStation]:
    """Return the fault's stations by controller and number."""
    return list(
        fault.stations.select_related("station__controller").order_by(
            "station__controller__name", "station__number", "pk"
        )
    )


def breaks_of(fault: Fault) -> list[Break]:
    """Return the fault's breaks with their wires, in order of their numbers."""
    return list(
        fault.breaks.select_related("leg__from_point", "leg__to_point", "from_point")
        .prefetch_related("wires")
        .order_by("running_number")
    )


@dataclass(frozen=True)
class MoveLine:
    """Stations of a fault that moved alike on one day."""

    on: date | None
    words: str
    why: str
    by: str
    stations: list[str]


def moves_of(fault: Fault, *, most: int = 400) -> list[MoveLine]:
    """Return the moves of the fault's stations, newest first, equal ones in one line."""
    rows = (
        StageMove.objects.filter(fault_station__fault=fault)
        .select_related("fault_station__station__controller", "by")
        .order_by("-on", "-moved_at", "fault_station__station__number", "pk")[:most]
    )
    lines: dict[tuple[date | None, str, str, str], list[str]] = {}
    for row in rows:
        words = row.get_to_stage_display()
        if row.from_stage:
            words = f"{row.get_from_stage_display()} → {words}"
        key = (row.on, words, row.why, str(row.by or ""))
        lines.setdefault(key, []).append(str(row.fault_station.station))
    return [MoveLine(*key, stations) for key, stations in lines.items()]
