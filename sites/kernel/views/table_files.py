"""Any table of a page as a file: all filtered rows, in the order shown."""

import tempfile
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from html import unescape
from typing import Any, cast

from django.http import FileResponse, HttpRequest, HttpResponse, StreamingHttpResponse
from django.utils import timezone, translation
from django.utils.html import strip_tags
from django.utils.safestring import SafeString
from django.utils.text import slugify
from django_tables2.rows import BoundRow

from sites.cells.services.shown import Cell, number
from sites.cells.services.writing import Written, csv_lines, write_workbook
from sites.kernel.access import actions_anywhere
from sites.kernel.engines.roles import Action
from sites.kernel.services.audit import note
from sites.kernel.tables import SheetTable
from sites.models import Event, User

KINDS = ("csv", "xlsx")
ROWS_AT_ONCE = 1000
# The stored unit of a measured column, so that the file holds numbers and not words.
UNITS = {"_sqft": "sq ft", "_ft": "ft", "_in": "in", "_gpm": "gpm", "_gal": "gal"}


def wanted_file(request: HttpRequest) -> str:
    """Return the requested file format; empty where the page itself is requested."""
    kind = request.GET.get("export", "")
    user = request.user
    may_export = isinstance(user, User) and Action.EXPORT in actions_anywhere(user)
    return kind if kind in KINDS and may_export else ""


def table_file(table: SheetTable, *, heading: str, kind: str) -> HttpResponse:
    """Return the whole table as a file."""
    columns = list(table.columns)
    headings = [f"{each.header}{_in_unit(each.name)}" for each in columns]
    return list_file(Written(heading, headings, lambda: _rows(table, columns)), kind=kind)


def list_file(written: Written, *, kind: str) -> HttpResponse:
    """Return one list as a file; lines leave while later ones are still read."""
    name = f"{slugify(written.name) or 'list'}-{timezone.localdate().isoformat()}.{kind}"
    if kind == "csv":
        return attached(csv_lines(written), name, "text/csv; charset=utf-8")
    return workbook_file([Written("list", written.headings, written.rows)], name)


def workbook_file(tables: Iterable[Written], name: str) -> HttpResponse:
    """Return a workbook; it has to be whole before it can be sent, so it waits on the disk."""
    note(Event.EXPORTED, about=name)
    file = tempfile.TemporaryFile()  # noqa: SIM115 - the answer closes it
    write_workbook(tables, file)
    file.seek(0)
    return _answer(FileResponse(file, as_attachment=True, filename=name))


def attached(blocks: Iterable[str] | Iterable[bytes], name: str, content_type: str) -> HttpResponse:
    """Return blocks as a download, each rendered in the user's language."""
    note(Event.EXPORTED, about=name)
    response = StreamingHttpResponse(_in_language(blocks), content_type=content_type)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return _answer(response)


def _answer(response: StreamingHttpResponse) -> HttpResponse:
    """A stream answers a request like any other, though Django's types tell them apart."""
    return cast(HttpResponse, response)


def _in_language(blocks: Iterable[object]) -> Iterator[object]:
    language, rest = translation.get_language(), iter(blocks)

    def spoken() -> Iterator[object]:
        while True:
            with translation.override(language):
                block = next(rest, None)
            if block is None:
                return
            yield block

    return spoken()


def _rows(table: SheetTable, columns: list[object]) -> Iterator[list[Cell]]:
    for record in table.data.data.iterator(chunk_size=ROWS_AT_ONCE):
        row = BoundRow(record, table=table)
        yield [_cell(table, column, row, record) for column in columns]


def _cell(table: SheetTable, column: Any, row: BoundRow, record: Any) -> Cell:
    """A `value_` method decides; else the stored value where it stands for itself."""
    if own := getattr(table, f"value_{column.name}", None):
        found: Cell = own(record)
        return found
    stored = column.accessor.resolve(record, quiet=True)
    if _in_unit(column.name) and isinstance(stored, int | float):
        return number(stored)
    if not hasattr(table, f"render_{column.name}") and _stands_for_itself(stored):
        return stored.date() if isinstance(stored, datetime) else stored
    return _words(row.get_cell(column.name))


def _stands_for_itself(value: object) -> bool:
    return isinstance(value, str | int | float | date) and not isinstance(value, bool)


def _words(shown: object) -> str:
    plain = unescape(strip_tags(shown)) if isinstance(shown, SafeString) else str(shown or "")
    return " ".join(plain.split())


def _in_unit(name: str) -> str:
    return next((f" ({unit})" for ending, unit in UNITS.items() if name.endswith(ending)), "")
