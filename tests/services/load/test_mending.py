"""A workbook to mend: cells as they were brought, each problem beside its cell."""

import io

import pytest
from openpyxl import load_workbook

from faults.load.services.mending import write_to_mend
from sites.load.services.files import RegisterFile, read_files
from tests.services.load import check, told

pytestmark = pytest.mark.django_db

LIST = (
    "Register of June,,,,\n"
    "property,client,controller,station,area\n"
    "Elm,Elm Trust,A,one,400\n"
    "Elm,Elm Trust,A,2,\n"
    "Elm,,,3,=1+1\n"
    "Elm,Elm Trust,A,2,7\n"
)
LONG = "a list with a name that no workbook takes: it is far too long"


def mended(*files: RegisterFile) -> bytes:
    """The workbook to mend of these files."""
    file = io.BytesIO()
    write_to_mend(read_files(list(files)), check(*files).to_json(), file)
    return file.getvalue()


def test_each_problem_stands_beside_its_cell_and_nothing_else_is_marked() -> None:
    brought = RegisterFile("list.csv", LIST.encode())
    book = load_workbook(io.BytesIO(mended(brought)))
    assert book.sheetnames == ["list", "to mend"]
    noted = {c.coordinate: c.comment.text for row in book["list"] for c in row if c.comment}
    problems = check(brought).to_json()["sheets"][0]["problems"]
    places = {f"{each['column'].split()[0]}{each['row']}" for each in problems}
    assert set(noted) == places
    assert {"D3", "C5", "D6"} == places
    assert book["list"]["D3"].value == "one"
    assert book["list"]["D4"].value == "2"
    # A cell that would be a formula stays what it was.
    assert book["list"]["E5"].data_type == "s"
    listed = [[cell.value for cell in row] for row in book["to mend"]]
    assert listed[0] == ["Sheet", "Row", "Column", "Value", "What to mend"]
    assert len(listed) - 1 == len(problems)


def test_brought_back_it_reads_as_before_and_mended_it_loads() -> None:
    brought = RegisterFile("list.csv", LIST.encode())
    back = RegisterFile("list.xlsx", mended(brought))
    assert told(check(back)) == told(check(brought))
    book = load_workbook(io.BytesIO(back.content))
    sheet = book["list"]
    for place, value in {"D3": 1, "B5": "Elm Trust", "C5": "A", "E5": None, "D6": 4}.items():
        sheet[place] = value
    file = io.BytesIO()
    book.save(file)
    preview = check(RegisterFile("list.xlsx", file.getvalue()))
    assert preview.can_load
    assert (preview.sheets[0].added, preview.problem_count) == (4, 0)


def test_a_missing_column_is_told_at_the_headings_and_long_names_are_cut() -> None:
    stations = "property code,station number,station name\nElm,1,Lawn\n"
    brought = [RegisterFile(f"{LONG}{n} stations.csv", stations.encode()) for n in (1, 2)]
    book = load_workbook(io.BytesIO(mended(*brought)))
    assert len(book.sheetnames) == 3
    assert all(len(name) <= 31 for name in book.sheetnames)
    assert all(book[name]["A1"].comment for name in book.sheetnames[:2])
