"""Workbooks: every sheet with its cells, hidden rows and cells that hold no result."""

import io
import zipfile
from collections.abc import Iterator

from django.utils.translation import gettext as _
from python_calamine import (
    CalamineError,
    CalamineSheet,
    CalamineWorkbook,
    PasswordError,
    SheetTypeEnum,
    SheetVisibleEnum,
)

from sites.services.load.raw import RawRows, RawSheet, is_blank
from sites.services.load.refusals import UnableToRead
from sites.services.load.refuse import ZIP, damaged
from sites.services.load.sheet_xml import Extras, read_extras

WIDEST = 200


def read_workbook(*, filename: str, content: bytes) -> list[RawSheet]:
    """Return the sheets that hold anything.

    Raises:
        UnableToRead: the workbook is damaged, locked or no workbook at all.
    """
    try:
        workbook = CalamineWorkbook.from_filelike(io.BytesIO(content))
    except PasswordError:
        raise UnableToRead(
            _("The file is locked with a password. Save it without one and bring that file.")
        ) from None
    except (CalamineError, OSError, ValueError):
        raise UnableToRead(damaged()) from None
    extras = _extras(content)
    return [
        _raw(workbook.get_sheet_by_name(name), filename, extras.get(name, Extras()))
        for name in _lists(workbook)
    ]


def _lists(workbook: CalamineWorkbook) -> Iterator[str]:
    """Names of the sheets with cells; those hidden so deeply that no menu shows them are none."""
    for sheet in workbook.sheets_metadata:
        if (
            sheet.typ == SheetTypeEnum.WorkSheet
            and sheet.visible != SheetVisibleEnum.VeryHidden
            and workbook.get_sheet_by_name(sheet.name).start is not None
        ):
            yield sheet.name


def _extras(content: bytes) -> dict[str, Extras]:
    if not content.startswith(ZIP):
        return {}
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return read_extras(archive)
    except (zipfile.BadZipFile, KeyError, ValueError, SyntaxError):
        raise UnableToRead(damaged()) from None


def _raw(sheet: CalamineSheet, filename: str, extras: Extras) -> RawSheet:
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
