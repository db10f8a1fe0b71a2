"""Read a report as others do: its PDF page by page, its workbook sheet by sheet."""

from io import BytesIO
from typing import Any

from openpyxl import load_workbook
from pypdf import PdfReader


def pages_of(pdf: bytes) -> list[str]:
    """Return the words of each page, single-spaced."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(pdf)).pages]


def words_of(pdf: bytes) -> str:
    """Return all words of a PDF without any space, so that no line break parts them."""
    return squeezed("".join(pages_of(pdf)))


def squeezed(words: str) -> str:
    """Return words without spaces."""
    return "".join(words.split())


def sheets_of(xlsx: bytes) -> dict[str, list[list[Any]]]:
    """Return the rows of each sheet."""
    book = load_workbook(BytesIO(xlsx))
    return {sheet.title: [list(row) for row in sheet.values] for sheet in book.worksheets}


def shown_as(cell: Any) -> str:
    """Return a cell of a workbook as its format shows it."""
    if isinstance(cell.value, int | float) and not isinstance(cell.value, bool):
        decimals = len(cell.number_format.partition(".")[2])
        return f"{cell.value:,.{decimals}f}"
    return "" if cell.value is None else str(cell.value)


def cells_of(xlsx: bytes) -> list[list[list[str]]]:
    """Return the rows of all sheets as they are shown."""
    book = load_workbook(BytesIO(xlsx))
    return [[[shown_as(cell) for cell in row] for row in sheet.rows] for sheet in book.worksheets]
