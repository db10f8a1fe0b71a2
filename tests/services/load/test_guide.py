"""Templates of the register files, and what the guide says of their columns."""

from io import BytesIO

import pytest
from openpyxl import load_workbook

from faults.load.services.guide import guide, write_templates
from faults.load.services.register import KINDS, check_register, load_register
from sites.load.services.files import RegisterFile
from sites.models import Station
from tests.services.load import TODAY

pytestmark = pytest.mark.django_db


def templates() -> BytesIO:
    """The workbook."""
    file = BytesIO()
    write_templates(file)
    file.seek(0)
    return file


def test_every_sheet_and_column_of_the_templates_is_recognised_as_what_it_is() -> None:
    preview = check_register(
        files=[RegisterFile("templates.xlsx", templates().getvalue())], today=TODAY
    )
    wanted = [name for name, kind in KINDS.items() if not kind.is_left_alone]
    assert [sheet.kind for sheet in preview.sheets] == wanted
    for sheet in preview.sheets:
        found = [column.field for column in sheet.columns]
        assert found == [column.field for column in KINDS[sheet.kind].columns]
    assert preview.problem_count == 0


def test_a_filled_in_template_loads() -> None:
    book = load_workbook(templates())
    page = book["flat list"]
    headings = {cell.value: cell.column for cell in page[1]}
    for heading, value in {"property": "Elm", "controller": "A", "station number": 3}.items():
        page.cell(row=2, column=headings[heading], value=value)
    filled = BytesIO()
    book.save(filled)
    load_register(files=[RegisterFile("filled.xlsx", filled.getvalue())], today=TODAY)
    assert Station.objects.get().number == 3


def test_the_guide_says_what_a_column_holds() -> None:
    sheets = {sheet.name: {c.heading: c for c in sheet.columns} for sheet in guide()}
    stations = sheets["stations"]
    assert set(sheets) == set(KINDS)
    assert stations["station number"].is_needed
    assert not stations["station name"].is_needed
    area = next(c for heading, c in stations.items() if heading.startswith("area"))
    assert area.holds == ("A number; with no unit written, sq ft, or m2 at a metric property.")
    assert "irrigated area" in area.also
