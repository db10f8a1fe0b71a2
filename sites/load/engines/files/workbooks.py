"""Workbooks: every sheet with its cells, hidden rows and cells that hold no result."""

import io
import re
import zipfile
from collections.abc import Iterator

from python_calamine import (
    CalamineError,
    CalamineSheet,
    CalamineWorkbook,
    PasswordError,
    SheetTypeEnum,
    SheetVisibleEnum,
)

from sites.cells.engines.raw import RawRows, RawSheet, column_index, column_letter, is_blank
from sites.load.engines.files.limits import Count, Unfit
from sites.load.engines.files.sheet_xml import Extras, read_extras

WIDEST = 200
# The reader of cells fills the whole rectangle of a sheet, blank cells too.
MOST_IN_RECTANGLE = 10_000_000
_SHEET = re.compile(r"xl/worksheets/[^/]+\.xml")
# A cell that holds something: one that only has a format has no end tag.
_CELL = re.compile(rb'<c [^<>]{0,200}?\br="([A-Z]{1,7})([0-9]{1,9})"[^<>]{0,200}(?<!/)>')
_CHUNK = 1 << 20


def read_workbook(filename: str, content: bytes, count: Count) -> list[RawSheet]:
    """Return the sheets that hold anything.

    Raises:
        Unfit: the workbook is damaged, locked, too large or no workbook at all.
    """
    archived = content.startswith(b"PK")
    if archived:
        _refuse_far_cells(content)
    try:
        workbook = CalamineWorkbook.from_filelike(io.BytesIO(content))
    except PasswordError:
        raise Unfit("locked") from None
    except (CalamineError, OSError, ValueError):
        raise Unfit("damaged") from None
    extras = _extras(content) if archived else {}
    return [
        _raw(sheet, filename, extras.get(sheet.name, Extras()), count) for sheet in _lists(workbook)
    ]


def _lists(workbook: CalamineWorkbook) -> Iterator[CalamineSheet]:
    """Sheets with cells; those hidden so deeply that no menu shows them are none."""
    for each in workbook.sheets_metadata:
        if each.typ != SheetTypeEnum.WorkSheet or each.visible == SheetVisibleEnum.VeryHidden:
            continue
        sheet = workbook.get_sheet_by_name(each.name)
        if sheet.start is not None:
            yield sheet


def _refuse_far_cells(content: bytes) -> None:
    """Find the last row and column of each sheet by reading along, before anything is built."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        for name in filter(_SHEET.fullmatch, archive.namelist()):
            rows, columns, rest = 0, 0, b""
            with archive.open(name) as stream:
                while chunk := stream.read(_CHUNK):
                    window = rest + chunk
                    for letters, number in _CELL.findall(window):
                        rows = max(rows, int(number))
                        columns = max(columns, column_index(letters.decode()) + 1)
                    rest = window[-500:]
            _refuse_rectangle(rows, columns)


def _refuse_rectangle(rows: int, columns: int) -> None:
    if rows * columns > MOST_IN_RECTANGLE:
        raise Unfit("far cell", cell=f"{column_letter(columns - 1)}{rows}")


def _extras(content: bytes) -> dict[str, Extras]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return read_extras(archive)
    except (zipfile.BadZipFile, KeyError, ValueError, SyntaxError):
        raise Unfit("damaged") from None


def _raw(sheet: CalamineSheet, filename: str, extras: Extras, count: Count) -> RawSheet:
    last_row, last_column = sheet.end or (0, 0)
    _refuse_rectangle(last_row + 1, last_column + 1)
    count.add_sheet(last_row + 1, min(last_column + 1, WIDEST))
    rows: RawRows = sheet.to_python(skip_empty_area=False)
    _fill_down(rows, sheet)
    return RawSheet(
        sheet.name,
        filename,
        [row[:WIDEST] for row in rows],
        hidden=frozenset(extras.hidden),
        broken=extras.broken,
    )


def _fill_down(rows: RawRows, sheet: CalamineSheet) -> None:
    """A cell merged over several rows means its value for each of them."""
    for (top, left), (bottom, right) in sheet.merged_cell_ranges or ():
        if left != right or top == bottom or top >= len(rows) or left >= len(rows[top]):
            continue
        for row in rows[top + 1 : bottom + 1]:
            if left < len(row) and is_blank(row[left]):
                row[left] = rows[top][left]
