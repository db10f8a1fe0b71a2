"""A document as a workbook: a sheet for each table, and one that says what it is."""

import re
from collections.abc import Iterator, Sequence
from io import BytesIO
from typing import TYPE_CHECKING, Any

from sites.cells.engines.defused import defuse
from sites.documents.engines.document import Document, Facts, Figure, Paragraph, Section, Table

if TYPE_CHECKING:
    from openpyxl import Workbook

LONGEST_NAME = 31
_NOT_IN_NAMES = re.compile(r"[\[\]:*?/\\']")


def write_document(document: Document) -> bytes:
    """Return the workbook. Numbers are numbers, rounded as their words are."""
    from openpyxl import Workbook  # a quarter of a second, for the few who ask for a workbook

    book = Workbook(write_only=True)
    names = set[str]()
    _cover(book, document, _free_name(document.words["cover"], names))
    for section in document.sections:
        for table in section.blocks:
            if isinstance(table, Table):
                name = _free_name(table.caption or section.heading, names)
                _sheet(book, name, section, table)
    file = BytesIO()
    book.save(file)
    return file.getvalue()


def _cover(book: "Workbook", document: Document, name: str) -> None:
    """All that is no table: who made it when of what, single facts, and the sentences."""
    sheet = book.create_sheet(name)
    sheet.column_dimensions["A"].width = 44
    sheet.column_dimensions["B"].width = 60
    for line in _lines(document):
        sheet.append([_cell(sheet, each) for each in line])


def _lines(document: Document) -> Iterator[Sequence[Figure]]:
    yield [Figure(document.title)]
    yield [Figure(document.subtitle)]
    yield from ([Figure(name), Figure(words)] for name, words in document.facts)
    yield [Figure(document.words["foot"])]
    for section in document.sections:
        yield []
        yield [Figure(section.heading)]
        for block in section.blocks:
            if isinstance(block, Paragraph):
                yield [Figure(block.words)]
            elif isinstance(block, Facts):
                yield from ([Figure(named), figure] for named, figure in block.rows)


def _sheet(book: "Workbook", name: str, section: Section, table: Table) -> None:
    sheet = book.create_sheet(name)
    sheet.freeze_panes = "A2"
    for at, heading in enumerate(table.headings):
        longest = max([len(heading), *(len(row[at].words) for row in table.rows[:300])])
        sheet.column_dimensions[_letter(at)].width = min(max(longest + 2, 8), 60)
    sheet.append([_cell(sheet, Figure(heading)) for heading in table.headings])
    for row in table.rows:
        sheet.append([_cell(sheet, each) for each in row])


def _letter(at: int) -> str:
    from openpyxl.utils import get_column_letter

    return str(get_column_letter(at + 1))


def _cell(sheet: Any, figure: Figure) -> Any:
    """A number as it is shown; words around it ("at least") stay with it, as words."""
    from openpyxl.cell import WriteOnlyCell

    if figure.number is None or not _is_plain(figure):
        return defuse(figure.words) or None
    cell = WriteOnlyCell(sheet, value=figure.number)
    decimals = len(figure.words.partition(".")[2])
    cell.number_format = "#,##0" + ("." + "0" * decimals if decimals else "")
    return cell


def _is_plain(figure: Figure) -> bool:
    """Whether the words are the number alone."""
    return re.fullmatch(r"-?[\d,]+(\.\d+)?", figure.words) is not None


def _free_name(wanted: str, taken: set[str]) -> str:
    """Return a name of a sheet that no other has: at most 31 letters, some are forbidden."""
    base = _NOT_IN_NAMES.sub(" ", wanted).strip()[:LONGEST_NAME] or "-"
    name, number = base, 1
    while name.casefold() in taken:
        number += 1
        ending = f" {number}"
        name = base[: LONGEST_NAME - len(ending)] + ending
    taken.add(name.casefold())
    return name
