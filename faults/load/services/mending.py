"""What was brought as a workbook to mend: its cells as they are, each problem beside its cell."""

import re
from collections.abc import Iterable, Mapping
from typing import IO, TYPE_CHECKING, Any

from django.utils.translation import gettext as _

from sites.cells.engines.defused import defuse
from sites.cells.engines.raw import Cell, RawSheet, column_index
from sites.cells.services.writing import Written, write_sheet

if TYPE_CHECKING:
    from openpyxl import Workbook

LONGEST_TITLE = 31
_NOT_IN_TITLES = re.compile(r"[\[\]:*?/\\]")
# Yellow as a highlighter, in both themes of a spreadsheet program.
_MARK = "FFF2B2"
Problem = Mapping[str, Any]


def write_to_mend(sheets: Iterable[RawSheet], shown: Mapping[str, Any], file: "IO[bytes]") -> None:
    """Write every sheet as it was read, with a note on each cell that has a problem.

    The list of all problems comes last. Loading leaves that sheet alone, so that the mended
    workbook can be brought back as it is.

    Args:
        shown: the preview, as the page has it.
    """
    from openpyxl import Workbook  # a quarter of a second, for the few who ask for a workbook

    book = Workbook(write_only=True)
    problems = [each for sheet in shown["sheets"] for each in sheet["problems"]]
    for raw in sheets:
        own = [each for each in problems if each["sheet"] == raw.name]
        _write_sheet(book, raw, own)
    heads = (_("Sheet"), _("Row"), _("Column"), _("Value"), _("What to mend"))
    rows = [[p["sheet"], p["row"] or "", p["column"], p["value"], p["text"]] for p in problems]
    write_sheet(book, Written(_("to mend"), heads, lambda: iter(rows)))
    book.save(file)


def _write_sheet(book: "Workbook", raw: RawSheet, problems: Iterable[Problem]) -> None:
    sheet = book.create_sheet(_title(raw.name, book.sheetnames))
    notes: dict[int, dict[int, list[str]]] = {}
    for each in problems:
        if each["row"] is not None:
            of_row = notes.setdefault(each["row"] - 1, {})
            of_row.setdefault(_index(each["column"]), []).append(each["text"])
    for number, row in enumerate(raw.rows):
        of_row = notes.get(number, {})
        cells: list[Cell] = [*row, *[""] * (max(of_row, default=-1) + 1 - len(row))]
        sheet.append([_cell(sheet, cell, of_row.get(at)) for at, cell in enumerate(cells)])


def _index(column: str) -> int:
    """Return where a column is that is named by letter and heading; the first where it has none."""
    letter = re.match(r"([A-Z]{1,3})\d*(?: |$)", column)
    return column_index(letter[1]) if letter else 0


def _cell(sheet: Any, value: Cell, notes: list[str] | None) -> Any:
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
    from openpyxl.comments import Comment
    from openpyxl.styles import PatternFill

    kept: Any = (
        defuse(ILLEGAL_CHARACTERS_RE.sub("", value)) or None if isinstance(value, str) else value
    )
    if not notes:
        return kept
    cell = WriteOnlyCell(sheet, value=kept)
    cell.comment = Comment("\n".join(notes), "Rejoin", width=300, height=120)
    cell.fill = PatternFill("solid", fgColor=_MARK)
    return cell


def _title(name: str, taken: Iterable[str]) -> str:
    known = {each.casefold() for each in taken}
    whole = _NOT_IN_TITLES.sub(" ", name).strip("' ")[:LONGEST_TITLE] or "list"
    title, n = whole, 1
    while title.casefold() in known:
        n += 1
        title = f"{whole[: LONGEST_TITLE - 4]} ({n})"
    return title
