"""A document is written as JSON and read back unchanged."""

import json

import pytest

from sites.documents.engines.document import (
    Document,
    Drawing,
    Facts,
    Figure,
    Paragraph,
    Photo,
    Photos,
    Section,
    Table,
    as_json,
    from_json,
)

WHOLE = Document(
    title="Report",
    subtitle="1 Long Walk",
    language="es",
    paper="a4",
    facts=[("Period", "2026")],
    sections=[
        Section(
            "one",
            "First",
            [
                Paragraph("Words", "caution"),
                Facts("facts", [("Off", Figure("1,200", 1200))]),
                Table("t", "Caption", ["A", "B"], [[Figure("x"), Figure("2.5", 2.5)]], [1], "none"),
                Drawing("<svg/>", "alt", "caption"),
                Photos([Photo("k7m2x9q4bd", "before", "Before")]),
            ],
        ),
        Section("two", "Second", [Photos([Photo("b", "c", "d")])], level=2, is_now=True),
    ],
    words={"page": "Página"},
)


def test_comes_back_from_json_as_it_was() -> None:
    assert from_json(json.loads(json.dumps(as_json(WHOLE)))) == WHOLE


def test_its_photos_come_in_order() -> None:
    assert [each.ref for each in WHOLE.photos()] == ["k7m2x9q4bd", "b"]


def test_a_row_has_a_cell_for_each_heading() -> None:
    with pytest.raises(ValueError, match="Expected 2 cells in a row, got 1"):
        Table("t", "", ["A", "B"], [[Figure("x")]])
