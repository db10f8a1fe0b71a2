"""What a round goes to at a property: its stations in the order of walking, or its timers."""

from collections.abc import Sequence

from faults.models import JobKind
from faults.readings.services.loops import in_walking_order, stations_to_read
from faults.work.queries.jobs import devices_offered
from sites.models import Controller, Device, Property, Station, Wiring
from sites.models.station import StationQuerySet

MOST_STATIONS = 400
# Whose stations have ohms of their own.
BY_WIRE = frozenset({JobKind.CHECK_UP.value, JobKind.BRING_HOME.value})


def targets_of(
    purpose: str, place: Property, chosen: Sequence[int] = ()
) -> tuple[list[Station], list[Device]]:
    """Return the stations, or the timers, that a visit for this purpose goes to now.

    Args:
        chosen: the keys of the stations that were named; none = all there.
    """
    if purpose == JobKind.BATTERIES:
        return [], _timers(place, chosen)
    if purpose == JobKind.BRING_HOME:
        found = stations_to_read(place)
        return [one for one in found if not chosen or one.pk in set(chosen)], []
    rows = _in_care(place)
    if chosen:
        rows = rows.filter(pk__in=chosen)
    if purpose in BY_WIRE:
        rows = rows.exclude(controller__wiring=Wiring.TWO_WIRE)
    rows = rows.select_related("controller__property", "valve_point")
    ordered = rows.order_by("controller__name", "number", "pk")
    return in_walking_order(list(ordered)), []


def _in_care(place: Property) -> StationQuerySet:
    clocks = Controller.objects.in_care().filter(property=place)
    return Station.objects.in_care().filter(controller__in=clocks)


def _timers(place: Property, chosen: Sequence[int]) -> list[Device]:
    """Return the timers in the ground that run one of the chosen stations, or all."""
    found = devices_offered(place)
    if not chosen:
        return found
    wanted = set(chosen)
    return [
        device
        for device in found
        if wanted & {gap.station_id for gap in device.in_ground}  # type: ignore[attr-defined]
    ]
