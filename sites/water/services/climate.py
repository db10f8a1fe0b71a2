"""Which climate holds where: a property's own table first, then the shared one that it names.

Of one table, the month's own days are best, then the month of that year, then the long-term mean
of that month. Nothing is filled in: a day that is missing leaves the month to the next best.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from statistics import fmean

from django.db.models import Q

from sites.models import ClimateRow, Property
from sites.water.engines.inputs import Depths

Values = tuple[float, float | None]


@dataclass
class Table:
    """One climate table, loaded for lookups."""

    name: str
    by_day: dict[tuple[int, int], dict[date, Values]] = field(default_factory=dict)
    by_month: dict[tuple[int, int], Values] = field(default_factory=dict)
    means: dict[int, Values] = field(default_factory=dict)
    estimated: dict[tuple[int, int], set[date]] = field(default_factory=dict)

    def add(self, row: ClimateRow) -> None:
        """Add one row."""
        values = row.eto_in, row.rain_in
        if row.year is None:
            self.means[row.month] = values
        elif row.day is None:
            self.by_month[row.year, row.month] = values
        else:
            days = self.by_day.setdefault((row.year, row.month), {})
            on = date(row.year, row.month, row.day)
            days[on] = values
            if row.is_estimated:
                self.estimated.setdefault((row.year, row.month), set()).add(on)

    def of(self, month: date) -> list[Depths]:
        """Return what the table says of a month, the best first."""
        found = []
        key = month.year, month.month
        if key in self.by_day:
            estimated = frozenset(self.estimated.get(key, ()))
            found.append(Depths(self.name, by_day=self.by_day[key], estimated=estimated))
        if key in self.by_month:
            found.append(Depths(self.name, *self.by_month[key]))
        if month.month in self.means:
            found.append(Depths(self.name, *self.means[month.month], is_mean=True))
        return found

    def mean_of_years(self, month: date) -> list[Depths]:
        """Return the mean of that month over the years that the table holds, for looking ahead."""
        held = [values for (_, number), values in self.by_month.items() if number == month.month]
        if not held:
            return []
        fell = [rain for _, rain in held if rain is not None]
        rain = fmean(fell) if len(fell) == len(held) else None
        return [Depths(self.name, fmean(eto for eto, _ in held), rain, is_mean=True)]


@dataclass
class PlaceClimate:
    """The climate of one property: its tables in the order in which they are looked up.

    `ahead_from` = the first month that nobody can have measured: there a mean of the years held
    is better than nothing. Before it, what is missing stays missing.
    """

    tables: Sequence[Table]
    ahead_from: date | None = None
    _known: dict[date, list[Depths]] = field(default_factory=dict)

    def of(self, month: date) -> list[Depths]:
        """Return what is known of the month, the best first."""
        if month not in self._known:
            found = [depths for table in self.tables for depths in table.of(month)]
            if self.ahead_from is not None and month >= self.ahead_from:
                found += [depths for table in self.tables for depths in table.mean_of_years(month)]
            self._known[month] = found
        return self._known[month]


def climates_of(
    places: Iterable[Property], *, ahead_from: date | None = None
) -> dict[int, PlaceClimate]:
    """Return the climate of each property by its key, in one query."""
    listed = list(places)
    names = {place.climate_table for place in listed if place.climate_table}
    rows = ClimateRow.objects.filter(
        Q(property__in=[place.pk for place in listed]) | Q(property=None, table__in=names)
    )
    own: dict[int, Table] = {}
    shared: dict[str, Table] = {}
    read = ("table", "property_id", "year", "month", "day", "eto_in", "rain_in", "is_estimated")
    for row in rows.only(*read):
        if row.property_id is not None:
            own.setdefault(row.property_id, Table(row.table)).add(row)
        else:
            shared.setdefault(row.table, Table(row.table)).add(row)
    found: dict[int, list[Table]] = defaultdict(list)
    for place in listed:
        found[place.pk] = [
            table for table in (own.get(place.pk), shared.get(place.climate_table)) if table
        ]
    # Properties that share all of their tables share what was looked up, too.
    kept: dict[tuple[int, ...], PlaceClimate] = {}
    return {
        pk: kept.setdefault(
            tuple(id(table) for table in tables), PlaceClimate(tables, ahead_from=ahead_from)
        )
        for pk, tables in found.items()
    }
