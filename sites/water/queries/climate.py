"""Reads of climate tables and of what befell a station's water."""

from dataclasses import dataclass

from django.db.models import Count, F, Max, Min, Q, QuerySet

from sites.kernel.access import may_everywhere, properties_for
from sites.kernel.engines.roles import Action
from sites.models import (
    ClimateRow,
    Outage,
    Property,
    Station,
    StuckOpen,
    User,
)


@dataclass(frozen=True)
class ClimateTable:
    """One table: how many rows of each sort, the years they span, and where they were read."""

    name: str
    place: Property | None
    means: int
    months: int
    days: int
    first_year: int | None
    last_year: int | None
    source: str
    used_by: int = 0


def climate_tables(user: User) -> list[ClimateTable]:
    """Return the shared tables that the user may name, and the tables of the user's properties."""
    places = properties_for(user, Action.EDIT_REGISTER)
    used = dict(
        places.exclude(climate_table="")
        .order_by()
        .values_list("climate_table")
        .annotate(n=Count("pk"))
    )
    rows = (
        ClimateRow.objects.filter(Q(property__in=places) | shared_where(user))
        .order_by()
        .values("table", "property_id")
        .annotate(
            means=Count("pk", filter=Q(year=None)),
            months=Count("pk", filter=Q(year__isnull=False, day=None)),
            days=Count("pk", filter=Q(day__isnull=False)),
            first_year=Min("year"),
            last_year=Max("year"),
            source=Max("source"),
        )
    )
    found = list(rows)
    owners = Property.objects.in_bulk({row["property_id"] for row in found if row["property_id"]})
    tables = [
        ClimateTable(
            name=row["table"],
            place=owners.get(row["property_id"]),
            used_by=used.get(row["table"], 0) if row["property_id"] is None else 1,
            **{key: row[key] for key in ("means", "months", "days", "source")},
            first_year=row["first_year"],
            last_year=row["last_year"],
        )
        for row in found
    ]
    return sorted(tables, key=lambda table: (table.place is not None, table.name))


def shared_where(user: User) -> Q:
    """Return the condition that keeps shared rows: all, or those that the user's places name."""
    if may_everywhere(user, Action.EDIT_REGISTER):
        return Q(property=None)
    names = properties_for(user, Action.EDIT_REGISTER).exclude(climate_table="")
    return Q(property=None, table__in=names.values("climate_table"))


def shared_names(user: User) -> list[str]:
    """Return the names of the shared tables that the user may choose."""
    rows = ClimateRow.objects.filter(shared_where(user)).order_by("table")
    return list(rows.values_list("table", flat=True).distinct())


def means_of(name: str, place: Property | None = None) -> list[ClimateRow]:
    """Return the long-term months of a table."""
    rows = ClimateRow.objects.filter(table=name, property=place, year=None)
    return list(rows.order_by("month", "pk"))


def climate_rows_of(user: User, name: str) -> QuerySet[ClimateRow]:
    """Return the rows of a shared table that the user may see, newest first."""
    rows = ClimateRow.objects.filter(shared_where(user), table=name)
    return rows.order_by(F("year").desc(nulls_last=True), "-month", "-day", "pk")


def outages_of(station: Station) -> list[Outage]:
    """Return the days on which nothing ran, newest first, without those taken back."""
    rows = station.outages.exclude(to_on=F("from_on"))
    return list(rows.order_by("-from_on", "-pk")[:100])


def stuck_open_of(station: Station) -> list[StuckOpen]:
    """Return when its valve stayed open, newest first, without what was taken back."""
    rows = station.stuck_open.filter(withdrawn_on=None)
    return list(rows.order_by("-on", "-pk")[:100])
