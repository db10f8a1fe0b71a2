"""Reads of differences that stand, and of the folder of central's lists."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef, QuerySet

from sites.cells.engines.plain_words import same_name
from sites.kernel.access import may_everywhere, properties_for
from sites.kernel.engines.roles import Action
from sites.models import (
    CentralFile,
    CentralFolder,
    CentralList,
    NewestList,
    Property,
    StandingDifference,
    User,
)


def places_that_differ() -> QuerySet[Property]:
    """Return the properties in care where differences stand."""
    standing = StandingDifference.objects.filter(property=OuterRef("pk"))
    return Property.objects.in_care().filter(Exists(standing))


def first_shown(places: Collection[int]) -> list[tuple[int, int, datetime]]:
    """Return which lists were the first to show what stands: property, list, since when."""
    rows = StandingDifference.objects.filter(property__in=places).order_by("property", "list")
    return list(rows.values_list("property", "list", "since").distinct())


@dataclass
class Standing:
    """How many differences stand at a property by one list, and since when the oldest does."""

    place: Property
    list: CentralList
    since: datetime
    count: int = 0


def standing_for(user: User) -> list[Standing]:
    """Return what stands where the user may reconcile, by property and by the newest list there."""
    places = {place.pk: place for place in properties_for(user, Action.RECONCILE).in_care()}
    rows = StandingDifference.objects.filter(property__in=places).order_by("since", "pk")
    newest = NewestList.objects.filter(property__in={row.property_id for row in rows})
    spoke_last = {
        (row.property_id, row.controller_name): row.list
        for row in newest.select_related("list").order_by("pk")
    }
    found: dict[tuple[int, int], Standing] = {}
    for row in rows:
        central = spoke_last[row.property_id, same_name(row.controller_name)]
        place = places[row.property_id]
        one = found.setdefault((place.pk, central.pk), Standing(place, central, row.since))
        one.count += 1
    return sorted(found.values(), key=lambda one: (one.place.code, one.list.pk))


def folder_for(user: User) -> CentralFolder | None:
    """Return how the folder was found last; what lies in it may be of any property."""
    return CentralFolder.objects.first() if may_everywhere(user, Action.RECONCILE) else None


def folder_files(most: int) -> list[CentralFile]:
    """Return the files that were worked on last."""
    return list(CentralFile.objects.select_related("list").order_by("-at", "-pk")[:most])
