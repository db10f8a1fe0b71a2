"""Verbs on climate tables: the twelve months of a long-term table, and which one a place uses."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import ClimateRow, Property

# More than this in a month falls nowhere; a yearly figure in a monthly field is caught by it.
MOST_ETO_IN, MOST_RAIN_IN = 25.0, 80.0


class UnableToKeepClimate(UnableToAct):
    """A table without a name, a source or a possible value."""


@dataclass(frozen=True)
class MonthDepths:
    """Evapotranspiration and rain of one calendar month; None = not known."""

    eto_in: float | None
    rain_in: float | None = None


@verb(
    name="add a climate table",
    action=Action.EDIT_REGISTER,
    guard="the name is free; where it was read; at least one month; depths that can be",
    undo="empty its months: a table without months holds nowhere",
)
def add_climate_table(
    *,
    name: str,
    source: str,
    months: Mapping[int, MonthDepths],
    place: Property | None = None,
) -> None:
    """Enter long-term months under a shared name, or of one property."""
    table = place.code if place else name.strip()
    if not table:
        raise UnableToKeepClimate(_("Give the table a name."), field="name")
    own = ClimateRow.objects.filter(table=table, property=place, year=None)
    if own.exists() if place else _is_taken(table):
        raise UnableToKeepClimate(
            _("There is a table of that name. Open it, or choose another name."), field="name"
        )
    if not any(each.eto_in is not None for each in months.values()):
        raise UnableToKeepClimate(_("Enter at least one month."))
    _keep(table, source, months, place)


@verb(
    name="change a climate table",
    action=Action.EDIT_REGISTER,
    guard="where it was read; depths that can be",
    undo="change it back, with the values that its history shows",
)
def change_climate_table(
    *,
    name: str,
    source: str,
    months: Mapping[int, MonthDepths],
    place: Property | None = None,
) -> None:
    """Put its long-term months right; an emptied month is taken out."""
    _keep(place.code if place else name, source, months, place)


@verb(
    name="choose a property's climate table",
    action=Action.EDIT_REGISTER,
    guard="a table that is known, or none; another one than now",
    undo="choose the earlier one again",
)
def choose_climate_table(*, place: Property, name: str) -> None:
    """Say which shared table holds at a property that has none of its own."""
    if name and not ClimateRow.objects.filter(table=name, property=None).exists():
        raise UnableToKeepClimate(
            _("There is no such table. Choose one of the list."), field="name"
        )
    if name == place.climate_table:
        raise UnableToKeepClimate(_("This table holds here already."), field="name")
    place.climate_table = name
    place.save()


def _is_taken(table: str) -> bool:
    """Property codes and shared names are one name space: a file names a table by either."""
    return (
        ClimateRow.objects.filter(table__iexact=table).exists()
        or Property.objects.filter(code__iexact=table).exists()
    )


def _keep(
    table: str, source: str, months: Mapping[int, MonthDepths], place: Property | None
) -> None:
    if not source.strip():
        raise UnableToKeepClimate(
            _("Where were these read? A figure without its source helps nobody."), field="source"
        )
    for number, depths in months.items():
        _refuse_depths(number, depths)
    known = {
        row.month: row for row in ClimateRow.objects.filter(table=table, property=place, year=None)
    }
    for number, depths in sorted(months.items()):
        row = known.get(number)
        if depths.eto_in is None:
            if row is not None:
                row.delete()
            continue
        if row is None:
            row = ClimateRow(table=table, property=place, month=number, source="")
        wanted = (depths.eto_in, depths.rain_in, source.strip())
        if row.pk is None or (row.eto_in, row.rain_in, row.source) != wanted:
            row.eto_in, row.rain_in, row.source = wanted
            row.save()


def _refuse_depths(number: int, depths: MonthDepths) -> None:
    if depths.eto_in is None and depths.rain_in is not None:
        raise UnableToKeepClimate(
            _("Rain alone is not enough: enter the evapotranspiration of this month too."),
            field=f"eto_{number}",
        )
    for name, value, most in (
        ("eto", depths.eto_in, MOST_ETO_IN),
        ("rain", depths.rain_in, MOST_RAIN_IN),
    ):
        if value is not None and not 0 <= value <= most:
            raise UnableToKeepClimate(
                _("No month has so much. Is it the figure of a year, or in another unit?"),
                field=f"{name}_{number}",
            )
