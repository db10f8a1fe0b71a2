"""Files that would take the process down, or hold it: each is refused in words, or read."""

import io
import os
import subprocess
import sys
import time
import zipfile

import pytest
from openpyxl import Workbook
from pytest_django import Settings

from sites.cells.services.refusals import UnableToRead
from sites.load.services.files import READER, RegisterFile, read_file
from tests.architecture.source import CHECKOUT
from tests.services.load import saved
from tests.services.load.mutated import changed_files, originals, packed_up

# More: REJOIN_FUZZ_FILES=5000, or .ci/long fuzz.
CHANGED = int(os.environ.get("REJOIN_FUZZ_FILES", "60"))


def refusal(file: RegisterFile) -> str:
    with pytest.raises(UnableToRead) as refused:
        read_file(file)
    return str(refused.value)


def far(*cells: str) -> RegisterFile:
    """A workbook of a kilobyte or two with a value in each of these cells."""
    made = Workbook()
    made.active["B2"] = "here"
    file = saved(made)
    with zipfile.ZipFile(io.BytesIO(file.content)) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    rows = "".join(
        f'<row r="{cell.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")}"><c r="{cell}"><v>1</v></c></row>'
        for cell in cells
    )
    path = "xl/worksheets/sheet1.xml"
    head, _, tail = members[path].partition(b"<sheetData>")
    tail = tail.partition(b"</sheetData>")[2]
    members[path] = head + f"<sheetData>{rows}</sheetData>".encode() + tail
    return packed_up(members, "book.xlsx")


@pytest.mark.parametrize(
    ("cells", "named"),
    [
        (["XFD1048576"], "XFD1048576"),
        (["ZZZZZ99999999"], "ZZZZZ99999999"),
        (["A1", "CV1048576"], "CV1048576"),
        (["A1", "J1000001"], "J1000001"),
    ],
)
def test_one_cell_far_out_is_refused_and_named(cells: list[str], named: str) -> None:
    file, began = far(*cells), time.monotonic()
    assert len(file.content) < 8_000
    assert f"as far as cell {named}." in refusal(file)
    assert time.monotonic() - began < 30


def test_a_cell_at_the_edge_of_what_is_read_is_read() -> None:
    (sheet,) = read_file(far("A1", "ALL300"))
    assert (len(sheet.rows), len(sheet.rows[0])) == (300, 200)


def test_formats_far_below_the_list_are_no_cells() -> None:
    file = far("A1")
    with zipfile.ZipFile(io.BytesIO(file.content)) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    path = "xl/worksheets/sheet1.xml"
    empty = b'<row r="1048576"><c r="XFD1048576" s="0"/></row></sheetData>'
    members[path] = members[path].replace(b"</sheetData>", empty)
    (sheet,) = read_file(packed_up(members, "book.xlsx"))
    assert sheet.rows == [[1.0]]


@pytest.mark.parametrize(
    ("cells", "told"),
    [(["A1", "CV1048576"], "more memory or time"), (["XFD1048576"], "far as cell XFD1048576")],
)
def test_a_reader_that_asks_for_too_much_dies_alone(
    cells: list[str], told: str, settings: Settings
) -> None:
    # Cells that state no place are not seen from outside: the limits of the process have to hold.
    settings.READING_A_FILE = {**settings.READING_A_FILE, "memory_bytes": 400 * 2**20}
    file = far(*cells)
    with zipfile.ZipFile(io.BytesIO(file.content)) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    path = "xl/worksheets/sheet1.xml"
    members[path] = members[path].replace(b"<c r=", b"<c  r =")
    assert told in refusal(packed_up(members, "book.xlsx"))


def test_time_runs_out(settings: Settings) -> None:
    settings.READING_A_FILE = {**settings.READING_A_FILE, "seconds": 0.01}
    assert "memory or time" in refusal(far("A1"))


def test_rows_and_cells_are_counted_at_the_edge(settings: Settings) -> None:
    text = RegisterFile("a.csv", b"a,b,c\n1,2,3\n")
    for limit, words in (("rows", "more than 1 rows"), ("cells", "more than 5 cells")):
        most = {"rows": 2, "cells": 6}[limit]
        settings.READING_A_FILE = {**settings.READING_A_FILE, "rows": 9, "cells": 99, limit: most}
        assert len(read_file(text)[0].rows) == 2
        settings.READING_A_FILE = {**settings.READING_A_FILE, limit: most - 1}
        assert words in refusal(text)


def test_millions_of_rows_in_a_small_folder_are_refused() -> None:
    packed = packed_up({"a.csv": b"a,b\n" + b"1,2\n" * 3_300_000}, "all.zip")
    assert len(packed.content) < 40_000
    assert "more than 1000000 rows" in refusal(packed)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"a,b\n" + b"x" * 8_000_000, "A cell of row 2 holds more than 131072"),
        (b"a,b\n" + b"x," * 4_000_000, "Row 2 has more cells"),
        (b'a,b\n"' + b"x" * 15_000_000, "opened near row 2 is never closed"),
        (b"x" * 200_000, "A cell of row 1"),
    ],
)
def test_lines_without_end_are_refused(content: bytes, told: str) -> None:
    assert told in refusal(RegisterFile("list.csv", content))


@pytest.mark.parametrize(
    ("content", "rows"),
    [
        (b"a,b\r1,2\r3,4\r", [["a", "b"], ["1", "2"], ["3", "4"]]),
        (b'a,b\r"1\n1",2\r', [["a", "b"], ["1\n1", "2"]]),
        (b"a,b\nLawn\rnorth,2\n3,4\n", [["a", "b"], ["Lawn north", "2"], ["3", "4"]]),
        (b"a;b\r\nLawn\rnorth;2\r\n", [["a", "b"], ["Lawn north", "2"]]),
        (b"sep=;\ra;b\r", [["a", "b"]]),
    ],
)
def test_line_ends_of_old_programs_are_read(content: bytes, rows: list[list[str]]) -> None:
    assert read_file(RegisterFile("list.csv", content))[0].rows == rows


def test_originals_are_read() -> None:
    *sound, old = originals()
    assert all(read_file(file) for file in sound)
    assert "damaged" in refusal(old)


def test_a_changed_file_is_read_or_refused_in_words() -> None:
    read, refused = 0, set()
    for file in changed_files(CHANGED, seed=20260110):
        try:
            read_file(file)
            read += 1
        except UnableToRead as refusal:
            refused.add(str(refusal))
    assert read
    assert all(len(words.split()) > 5 for words in refused)
    assert len(refused) >= 2


def test_the_reader_imports_no_framework() -> None:
    told = "import sys, sites.load.engines.files.__main__; print(*sys.modules)"
    names = subprocess.run(
        [sys.executable, "-c", told], cwd=CHECKOUT, capture_output=True, text=True, check=True
    ).stdout.split()
    assert READER in names
    assert not {"django", "celery", "faults", "sites.models"} & set(names)
    assert [name for name in names if ".services" in name] == []
