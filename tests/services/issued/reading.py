"""Read a report as others do: its PDF page by page, its workbook sheet by sheet."""

from io import BytesIO
from typing import Any

from django.template.loader import render_to_string
from openpyxl import load_workbook
from pypdf import PdfReader

from reports.issued.services.files import draft_pdf, draft_workbook
from reports.models import Draft
from sites.documents.engines.document import Facts, Table, from_json


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


def figures_alike_everywhere(draft: Draft) -> int:
    """Look for each figure of a draft in its PDF, its workbook and its page; return how many."""
    document = from_json(draft.document)
    on_paper = words_of(draft_pdf(draft))
    sheets = cells_of(draft_workbook(draft))
    named = {"document": document, "photos_at": ("faults:fault_photo", ())}
    on_page = squeezed(render_to_string("documents/_document.html", named))
    rows = [row for sheet in sheets for row in sheet]
    checked = 0
    for one in document.sections:
        for block in one.blocks:
            if isinstance(block, Table):
                for cells in block.rows:
                    words = [cell.words for cell in cells]
                    assert words in [row[: len(words)] for row in rows], words
            if isinstance(block, Facts):
                for name, figure in block.rows:
                    assert [name, figure.words] in [row[:2] for row in rows]
            figures = [cell for row in getattr(block, "rows", ()) for cell in row]
            for figure in figures:
                words = figure if isinstance(figure, str) else figure.words
                assert squeezed(words) in on_paper, words
                assert squeezed(words.replace("'", "&#x27;")) in on_page, words
                checked += 1
    return checked
