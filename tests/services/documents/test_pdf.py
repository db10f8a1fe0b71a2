"""PDFs: tagged, with their own fonts, the whole of a long one fast and in little memory."""

import json
import subprocess
import sys
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from sites.documents.charts.bars import Series, side_by_side, stacked
from sites.documents.engines.document import Document, Drawing, Paragraph, Section, Table
from sites.documents.engines.figures import text
from sites.documents.services.pdf import write_pdf
from sites.documents.services.workbook import LONGEST_NAME, write_document
from tests.services.issued.reading import sheets_of

CHECKOUT = Path(__file__).parents[3]
WORDS = {"author": "Rejoin", "named": "R-1", "foot": "R-1", "page": "Page", "cover": "Report"}
AT = datetime(2026, 1, 1, tzinfo=UTC)


def document(*sections: Section, paper: str = "letter") -> Document:
    return Document("Title", "", "es", "a4" if paper == "a4" else "letter", [], sections, WORDS)


def opened(whole: Document) -> PdfReader:
    return PdfReader(BytesIO(write_pdf(whole, photo=lambda _ref: b"", at=AT)))


def test_200_pages_take_less_than_a_minute_and_500_mb() -> None:
    asked = [sys.executable, "-m", "tests.services.documents.long_pdf"]
    done = subprocess.run(asked, cwd=CHECKOUT, capture_output=True, text=True, check=True)
    told = json.loads(done.stdout)
    assert told["pages"] >= 200
    assert told["seconds"] < 60
    assert told["most_mb"] < 500


@pytest.mark.parametrize(("paper", "points"), [("letter", (612, 792)), ("a4", (595, 842))])
def test_is_tagged_speaks_its_language_and_fits_its_paper(
    paper: str, points: tuple[int, int]
) -> None:
    found = opened(document(Section("s", "Part", [Paragraph("Words")]), paper=paper))
    root = found.root_object
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "es"
    assert found.metadata is not None
    assert found.metadata.title == "Title"
    box = found.pages[0].mediabox
    assert (round(box.width), round(box.height)) == points


def test_all_fonts_are_in_it() -> None:
    svg = stacked(["1"], [Series("Ñandú", "#0072B2", "", [3.0])])
    found = opened(document(Section("s", "Part Ω", [Drawing(svg, "Words of it")])))
    fonts = found.pages[0]["/Resources"]["/Font"]  # type: ignore[index]
    names = set()
    for font in fonts.values():
        (inner,) = font.get_object()["/DescendantFonts"]
        descriptor = inner.get_object()["/FontDescriptor"].get_object()
        assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor)
        names.add(str(descriptor["/FontName"]).partition("+")[2])
    assert names == {"LibertinusSerif-Regular", "LibertinusSerif-Bold"}


def test_a_drawing_without_words_is_refused() -> None:
    svg = stacked(["1"], [Series("a", "#0072B2", "", [3.0])])
    with pytest.raises(RuntimeError, match="alt"):
        opened(document(Section("s", "Part", [Drawing(svg, "")])))


@pytest.mark.parametrize("draw", [stacked, side_by_side])
def test_bars_are_as_high_as_their_values_and_a_gap_is_none(draw: object) -> None:
    assert callable(draw)
    svg = draw(["a", "b"], [Series("one", "#0072B2", "", [4.0, None])])
    # One bar, and the square of the legend.
    assert svg.count('fill="#0072B2"') == 2
    # Up to the top of the scale, which is 4: 216 units high.
    assert 'height="216.0" fill="#0072B2"' in svg


def test_labels_of_people_cannot_leave_a_drawing() -> None:
    svg = stacked(["<b>"], [Series("</svg><script>", "#0072B2", "", [1.0])])
    assert "<script>" not in svg
    assert "&lt;b&gt;" in svg


def test_sheets_have_names_that_a_workbook_takes() -> None:
    tables = [
        Table("t", caption, ["A"], [[text(n)]])
        for n, caption in enumerate(("Same: [1]/2?", "Same: [1]/2?", "x" * 40, "x" * 40))
    ]
    names = list(sheets_of(write_document(document(Section("s", "Part", tables)))))
    assert names == ["Report", "Same   1  2", "Same   1  2 2", "x" * 31, "x" * 29 + " 2"]
    assert max(map(len, names)) == LONGEST_NAME
