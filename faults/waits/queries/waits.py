"""Reads of what stations wait on."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, F, QuerySet

from faults.models import Fault, Wait
from faults.waits.engines.waits import Mover
from sites.kernel.access import properties_where
from sites.kernel.engines.roles import Action
from sites.models import SpellPart, User
from sites.models.station import StationQuerySet
from sites.register.queries.stations import TO_PROPERTY


@dataclass(frozen=True)
class MoverLine:
    """How many stations wait on one party."""

    mover: str
    count: int


def waits_for(user: User, action: Action = Action.SEE_OFF_CENTRAL) -> QuerySet[Wait]:
    """Return the waits of stations on whose property the user has the action."""
    return Wait.objects.filter(properties_where(user, action, TO_PROPERTY))


def movers_of(counts: Mapping[str, int]) -> list[MoverLine]:
    """Return a line for each party that any station waits on, ours first."""
    return [MoverLine(each.value, counts[each]) for each in Mover if each in counts]


def movers_by_property(places: Collection[int]) -> dict[int, dict[str, int]]:
    """Return for each property that has any how many stations wait on each party."""
    rows = Wait.objects.filter(**{f"{TO_PROPERTY}__in": places}).order_by(TO_PROPERTY, "mover")
    found: dict[int, dict[str, int]] = {}
    for place, mover, count in rows.values_list(TO_PROPERTY, "mover").annotate(n=Count("pk")):
        found.setdefault(place, {})[mover] = count
    return found


def with_waits(rows: QuerySet[SpellPart]) -> QuerySet[SpellPart]:
    """Add to parts of spells what their stations wait on, joined by the index of stations."""
    return rows.annotate(
        waits_on=F("station__wait__waits_on"),
        mover=F("station__wait__mover"),
        wait_since=F("station__wait__since"),
        wait_until=F("station__wait__until"),
    )


def stations_with_waits(stations: StationQuerySet) -> StationQuerySet:
    """Join what each station waits on; `wait_of` reads it."""
    return stations.annotate(
        waits_on=F("wait__waits_on"),
        mover=F("wait__mover"),
        wait_since=F("wait__since"),
        wait_until=F("wait__until"),
    )


def wait_of(station: Any) -> Wait | None:
    """Return what a station of `stations_with_waits` waits on, or None where on central."""
    if station.waits_on is None:
        return None
    return Wait(
        station=station,
        waits_on=station.waits_on,
        mover=station.mover,
        since=station.wait_since,
        until=station.wait_until,
    )


def waits_of_fault(fault: Fault) -> dict[int, Wait]:
    """Return what the fault's stations wait on because of it, by the station's key."""
    return {row.station_id: row for row in Wait.objects.filter(fault=fault)}
