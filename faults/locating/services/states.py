"""A search with all that its belief rests on, read in one go."""

from datetime import date

from django.db.models import Count, Q

from faults.locating.services.beliefs import Believed, believed
from faults.locating.services.known import known_of
from faults.locating.services.line import SearchGround, ground_of
from faults.locating.services.numbers import assumed_now
from faults.models import Fault, Search, SearchReading
from sites.models import Station, Wire, WireKind


def readings_of(search: Search | None) -> list[SearchReading]:
    """Return all tests of a search, voided ones too, in the order in which they were made."""
    if search is None or search.pk is None:
        return []
    return list(
        search.readings.select_related("by", "point").order_by("taken_at", "entered_at", "pk")
    )


def state_of(
    fault: Fault,
    station: Station,
    search: Search | None,
    *,
    today: date,
    rows: list[SearchReading] | None = None,
) -> Believed:
    """Return what is believed now.

    Args:
        search: None before one was started.
        rows: its tests, where the caller has read them.

    Raises:
        NoLine: the station's wire cannot be searched along.
    """
    assumed = assumed_now()
    ground = ground_of(station, fault, assumed, today=today)
    rows = readings_of(search) if rows is None else rows
    holding = [row for row in rows if row.voided_at is None]
    known = known_of(fault, station, search, ground, holding)
    return believed(
        ground, fault, assumed, search=search, known=known, spares=has_spare(station, ground)
    )


def has_spare(station: Station, ground: SearchGround) -> bool:
    """Whether a spare wire in use lies in every leg of the way; without a way, whether any is."""
    spares = Wire.objects.filter(
        property=station.controller.property_id,
        kind=WireKind.SPARE,
        retired_on__isnull=True,
        out_of_use_on__isnull=True,
        is_suspected_broken=False,
    )
    if not ground.is_surveyed:
        return False
    beside = Count("lies", filter=Q(lies__leg__in=ground.legs), distinct=True)
    return spares.annotate(beside=beside).filter(beside=len(ground.legs)).exists()
