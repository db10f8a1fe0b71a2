"""Rows of the register for programs: the sheets of the export, page by page."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from faults.load.services.export.register import SHEETS
from reports.api.services.paging import Slice, cursor_of, read_cursor
from sites.cells.services.columns import Choice, Column, Flag, Measure, Whole
from sites.export.services.sheets import PROPERTIES_AT_ONCE, ExportSheet, Records, Wanted
from sites.models import Property

Value = bool | int | float | str | date | None
# Shared climate tables belong to no property; the pages walk properties.
SERVED: dict[str, ExportSheet] = {sheet.name: sheet for sheet in SHEETS if sheet.shared is None}


def name_of(column: Column) -> str:
    """Return a column's name in JSON: with its unit where it has one, such as `area_sqft`."""
    plain = column.attribute if column.attribute.isidentifier() else column.field
    return plain.replace(" ", "_").replace("/", "_").casefold()


def type_of(column: Column) -> Any:
    """Return the type of a column's values, None apart."""
    if isinstance(column, Whole):
        return int
    if isinstance(column, Flag):
        return bool
    if isinstance(column, Measure):
        return float
    return str


def register_page(
    sheet: ExportSheet, wanted: Wanted, *, cursor: str, limit: int
) -> Slice[dict[str, Value]]:
    """Return one page of a sheet's rows, by property and then by key.

    Raises:
        UnableToPage: the cursor is none.
    """
    after = read_cursor(cursor, size=2) or (0, -1)
    seen = {column.field for column in sheet.columns(wanted)}
    rows: list[dict[str, Value]] = []
    last = after
    for place, records in _after(sheet, wanted, (after[0], after[1])):
        if len(rows) == limit:
            return Slice(rows, cursor_of(*last))
        rows.append(_row(sheet, records, seen))
        last = place.pk, _key(records)
    return Slice(rows, None)


def _after(
    sheet: ExportSheet, wanted: Wanted, after: tuple[int, int]
) -> Iterator[tuple[Property, Records]]:
    """Yield the rows behind a place in the list; a few properties at a time are read."""
    places = sorted(wanted.places(), key=lambda place: place.pk)
    left = [place for place in places if place.pk >= after[0] and wanted.may(sheet.asks_for, place)]
    code = sheet.kind.by_field["property code"]
    for start in range(0, len(left), PROPERTIES_AT_ONCE):
        chunk = left[start : start + PROPERTIES_AT_ONCE]
        by_code = {place.code: place for place in chunk}
        found = [(by_code[code.stored(each)], each) for each in sheet.gather(wanted, chunk)]
        found.sort(key=lambda pair: (pair[0].pk, _key(pair[1])))
        yield from (pair for pair in found if (pair[0].pk, _key(pair[1])) > after)


def _key(records: Sequence[Any]) -> int:
    key: int = records[0].pk
    return key


def _row(sheet: ExportSheet, records: Records, seen: set[str]) -> dict[str, Value]:
    return {
        name_of(column): _value(column, column.stored(records)) if column.field in seen else None
        for column in sheet.kind.columns
    }


def _value(column: Column, value: Any) -> Value:
    """Stored values as JSON has them; what nobody entered is null."""
    if value is None or value == "":
        return None
    if isinstance(column, Choice):
        return str(value)
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, bool | int | float):
        return value
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return str(column.cell(value)) or None
