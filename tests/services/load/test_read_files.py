"""Bytes of all kinds: what is read, and what is refused in words."""

import io
import os
import zipfile

import pytest
from pytest_django import Settings

from sites.cells.services.refusals import UnableToRead
from sites.load.services.files import RegisterFile, read_file
from tests.services.load import saved, workbook

ROWS = [["código", "número"], ["01", "2,5"], ["a;b", "x"]]


def text(delimiter: str) -> str:
    return "\r\n".join(delimiter.join(f'"{cell}"' for cell in row) for row in ROWS)


def rows(content: bytes, name: str = "list.csv") -> list[list[object]]:
    (only,) = read_file(RegisterFile(name, content))
    return [list(row) for row in only.rows]


def refusal(content: bytes, name: str = "list.csv") -> str:
    with pytest.raises(UnableToRead) as refused:
        read_file(RegisterFile(name, content))
    return str(refused.value)


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"]
)
def test_text_reads_in_every_encoding_and_delimiter(delimiter: str, encoding: str) -> None:
    assert rows(text(delimiter).encode(encoding)) == ROWS


def test_a_separator_line_of_a_spreadsheet_program_is_no_row() -> None:
    assert rows(b"sep=;\na;b,c\n1;2,5\n") == [["a", "b,c"], ["1", "2,5"]]


def test_semicolons_win_over_decimal_commas() -> None:
    assert rows(b"a;b;c\n1,5;2,5;3,5\n1,5;2,5;3,5\n")[1] == ["1,5", "2,5", "3,5"]


def test_a_line_break_inside_a_cell_keeps_the_row_numbers_of_a_spreadsheet() -> None:
    assert len(rows(b'a,b\n"one\ntwo",2\n3,4\n')) == 3


def test_a_workbook_reads_as_people_see_it() -> None:
    made = workbook(Stations=[["name", "number"], ["01", 2], [None, 3.5]])
    made["Stations"].row_dimensions[3].hidden = True
    (only,) = read_file(saved(made))
    assert only.rows == [["name", "number"], ["01", 2.0], ["", 3.5]]
    assert only.hidden == {3}


def test_a_formula_without_result_and_an_error_are_found_by_cell() -> None:
    made = workbook(Stations=[["a", "b"], ["=1+1", "x"], ["y", "#N/A"]])
    made["Stations"]["B3"].data_type = "e"
    (only,) = read_file(saved(made))
    assert only.broken == {(1, 0): "formula", (2, 1): "error"}


def test_a_cell_merged_over_rows_stands_in_each_of_them() -> None:
    made = workbook(List=[["site", "no"], ["Elm", 1], [None, 2], [None, 3]])
    made["List"].merge_cells("A2:A4")
    (only,) = read_file(saved(made))
    assert [row[0] for row in only.rows] == ["site", "Elm", "Elm", "Elm"]


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "empty"),
        (b"\xef\xbb\xbf \r\n", "empty"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"\x89PNG\r\n\x1a\n....", "picture"),
        (b"\xff\xd8\xff\xe0....", "picture"),
        (b"<!DOCTYPE html><html>", "web page"),
        (b"\x1f\x8b\x08....", "packed"),
        (b"PK\x03\x04 broken", "damaged"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 nothing", "damaged"),
        (b"a,b\n1,\x00\x01\x02\n", "neither"),
        (b'a,b\n"' + b"1,2\n" * 100, "quotation mark"),
    ],
)
def test_other_things_are_refused_in_words(content: bytes, told: str) -> None:
    assert told in refusal(content)


def test_random_bytes_are_refused() -> None:
    assert refusal(bytes(range(256)) * 40)
    assert refusal(os.urandom(5000))


def test_a_locked_workbook_is_refused() -> None:
    ole = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le")
    assert "password" in refusal(ole, "book.xlsx")


def test_a_file_beyond_the_limit_is_refused(settings: Settings) -> None:
    settings.LARGEST_REGISTER_FILE_BYTES = 10
    assert "at most" in refusal(b"a,b\n1,2\n3,4\n")


def test_a_bomb_is_refused_before_it_is_unpacked() -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b"0" * (64 << 20))
    assert "unpack" in refusal(buffer.getvalue(), "book.xlsx")


def test_an_archive_that_is_no_workbook_is_refused() -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("letter.txt", b"Dear all")
    assert "no spreadsheet" in refusal(buffer.getvalue(), "book.xlsx")
