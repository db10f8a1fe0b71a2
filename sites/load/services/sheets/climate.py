"""Sheet climate: evapotranspiration and rain by month or day, each with its source."""

from calendar import month_name
from collections import defaultdict
from datetime import date
from typing import Any

from django.db.models import Q
from django.utils.translation import gettext as _

from sites.cells.engines.measures import WATER_DEPTH
from sites.cells.engines.plain_words import same_name
from sites.cells.engines.raw import Cell
from sites.cells.services.columns import Flag, Manner, Measure, Text, plain_text
from sites.cells.services.day_columns import Span
from sites.load.services.book import Shelf
from sites.load.services.load import Load, PlannedKind
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import PROPERTY
from sites.models import ClimateRow, Property

Month = tuple[int | None, int, int | None]
Key = tuple[str, int | None, int, int | None]


class MonthOrDay(Span):
    """A month of every year, a month of one year, or one day."""

    def read(self, cell: Cell, manner: Manner, unit: str) -> Any:
        """Return (year or None, month, day or None)."""
        text = plain_text(cell).casefold()
        names = {name.casefold()[:3]: number for number, name in enumerate(month_name) if number}
        if text.isdigit() and 1 <= int(text) <= 12:
            return None, int(text), None
        if text.isalpha() and text[:3] in names:
            return None, names[text[:3]], None
        first, last = super().read(cell, manner, unit)
        return (first.year, first.month, first.day if first == last else None)


def _month_of(row: ClimateRow) -> str:
    if row.year is None:
        return str(row.month)
    month = f"{row.year:04d}-{row.month:02d}"
    return f"{month}-{row.day:02d}" if row.day else month


COLUMNS = (
    Text("property code", also=f"table|climate table|station|{PROPERTY.also}", required=True,
         longest=60, shows=lambda row: row.property.code if row.property else row.table),
    MonthOrDay("month", also="day|date|mes|fecha", required=True, shows=_month_of),
    Measure("eto", also="et0|et|reference et|evapotranspiration|ref et", required=True,
            attribute="eto_in", dimension=WATER_DEPTH),
    Measure("rain", also="rainfall|precipitation|effective rain|lluvia", attribute="rain_in",
            dimension=WATER_DEPTH),
    Flag("estimated", also="from temperatures alone", attribute="is_estimated"),
    Text("source", also="data source|fuente|from", required=True, attribute="source", longest=200),
)  # fmt: skip


def plan(load: Load, sheet: Sheet) -> None:
    """Plan the rows of climate tables, of a property or under a shared name."""
    rows = list(sheet.rows())
    by_months = _tables_by_months(sheet, rows)
    shelf = _known(load, rows)

    def key(row: Row) -> Key | None:
        table, place = _table(load, row)
        if place is None and not load.book.scope.may_add_properties:
            load.property_of(row)  # says that there is no such property among the user's
            return None
        return (same_name(table), *_month(row, by_months))

    for row, known, found in load.matched(sheet, shelf, key, rows):
        table, place = _table(load, row)
        year, month, day = _month(row, by_months)
        what = f"{table} {date(year, month, day or 1).isoformat()}" if year else f"{table} {month}"
        record = known or ClimateRow(table=table, property=place, year=year, month=month, day=day)
        if known is None:
            load.work.create(record)
            shelf.put(record, found)
            row.add(what)
        load.copy(row, record, what)


def _table(load: Load, row: Row) -> tuple[str, Property | None]:
    text = row.text("property code")
    place = load.book.property_named(text)
    return (place.code if place else text), place


def _known(load: Load, rows: list[Row]) -> Shelf[ClimateRow, Key]:
    tables = {_table(load, row)[0] for row in rows}
    places = {place.pk for place in load.book.touched.values()}
    condition = Q(property_id__in=places)
    if load.book.scope.may_add_properties:
        condition |= Q(table__in=tables)
    return Shelf(
        ClimateRow.objects.filter(condition),
        lambda known: (same_name(known.table), known.year, known.month, known.day),
    )


def _tables_by_months(sheet: Sheet, rows: list[Row]) -> set[str]:
    """Tables whose days are all the first of a month hold months, beside long-term ones or not."""
    days: dict[str, set[int | None]] = defaultdict(set)
    for row in rows:
        if row.has("month") and (read := row.get("month")):
            days[same_name(row.text("property code"))].add(read[2])
    by_months = {table for table, found in days.items() if found - {None} == {1}}
    if by_months:
        sheet.report.remark(
            _("All days here are the first of a month, so each row is taken for that month.")
        )
    return by_months


def _month(row: Row, by_months: set[str]) -> Month:
    year, month, day = row.get("month")
    return year, month, None if same_name(row.text("property code")) in by_months else day


KIND = PlannedKind("climate", COLUMNS, plan=plan, also="weather|et|eto|clima|evapotranspiration")
