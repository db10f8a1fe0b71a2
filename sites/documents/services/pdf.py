"""A document as a PDF: tagged, with its fonts in it, the same bytes for the same document."""

import json
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sites.documents.engines.document import Document, as_json
from sites.kernel.lazily import lazily

typst = lazily("typst")

TEMPLATE = Path(__file__).with_name("document.typ")
# PDF/UA-1: each drawing and photo has words, tables their headings, the file a title.
STANDARD = "ua-1"
NARROWEST, WIDEST, GAP = 6, 36, 2
# Of a long table, so many rows say how wide its columns should be.
ROWS_MEASURED = 300


def write_pdf(document: Document, *, photo: Callable[[str], bytes], at: datetime) -> bytes:
    """Return the PDF.

    Args:
        photo: the bytes (JPEG) of a photo by its reference.
        at: when it says that it was made.
    """
    with TemporaryDirectory() as folder:
        root = Path(folder)
        for each in document.photos():
            (root / f"{each.ref}.jpg").write_bytes(photo(each.ref))
        (root / "document.json").write_text(json.dumps(_for_template(document)))
        main = root / "main.typ"
        main.write_bytes(TEMPLATE.read_bytes())
        made: bytes = typst.compile(
            main,
            root=root,
            font_paths=_fonts(),
            format="pdf",
            pdf_standards=STANDARD,
            timestamp=int(at.timestamp()),
        )
    return made


@cache
def _fonts() -> Any:
    """The fonts of the wheel alone: the same on each machine."""
    return typst.Fonts(include_system_fonts=False)


def _for_template(document: Document) -> dict[str, Any]:
    """Return what the template reads: words alone, with what only the setting needs."""
    found = as_json(document)
    for section in found["sections"]:
        for block in section["blocks"]:
            _BLOCKS.get(block["kind"], _as_it_is)(block)
    return found


def _as_it_is(_block: Mapping[str, Any]) -> None:
    """Nothing has to be added."""


def _facts(block: dict[str, Any]) -> None:
    block["rows"] = [[name, words] for name, words, _number in block["rows"]]


def _table(block: dict[str, Any]) -> None:
    rows = [[words for words, _number in row] for row in block["rows"]]
    block |= {"rows": rows, "widths": _widths(block["headings"], rows, block["numeric"])}


def _photos(block: dict[str, Any]) -> None:
    block["photos"] = [
        {"file": f"{ref}.jpg", "alt": alt, "caption": caption}
        for ref, alt, caption in block["photos"]
    ]


_BLOCKS: dict[str, Callable[[dict[str, Any]], None]] = {
    "facts": _facts,
    "table": _table,
    "photos": _photos,
}


def _widths(
    headings: Sequence[str], rows: Sequence[Sequence[str]], numeric: Sequence[int]
) -> list[int]:
    """Return the share of each column; 0 = as wide as its numbers.

    Where only numbers are, they share the width.
    """
    if len(numeric) == len(headings):
        return [1] * len(headings)
    measured = [headings, *rows[:ROWS_MEASURED]]
    longest = [max(len(row[at]) for row in measured) for at in range(len(headings))]
    return [
        0 if at in numeric else min(max(each, NARROWEST), WIDEST) + GAP
        for at, each in enumerate(longest)
    ]
