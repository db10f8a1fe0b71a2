"""What lies in the folder of central's lists and is none is laid aside, and said by name.

The rules are ours: common practice, no source.
"""

import os
import socket
from pathlib import Path
from typing import Any

import pytest

from sites.models import CentralFile, CentralList
from sites.reconcile.services.folder_files import (
    DONE,
    LONGEST_NAME_BYTES,
    NOT_READ,
    UnableToReadFolder,
)
from tests.services.reconcile.laid import HEADING, lay, look, names, note
from tests.services.reconcile.office import AGREED

pytestmark = pytest.mark.django_db


def test_a_list_with_rows_to_mend_is_laid_aside_with_its_rows(folder: Path) -> None:
    lay(folder, *AGREED, "Fern Row,A,nine,yes", "Fern Row,A,ten,yes")
    assert look()["not read"] == 1
    assert names(folder / NOT_READ) == ["central.csv", "central.csv.txt"]
    words = note(folder)
    assert "row 5 | C station number | nine |" in words
    assert "row 6 | C station number | ten |" in words
    assert words.rstrip().endswith("/reconcile/")
    assert CentralList.objects.count() == 0
    assert "row 5" in CentralFile.objects.get().problem


def test_a_mended_list_is_taken_in(folder: Path) -> None:
    lay(folder, "Fern Row,A,nine,yes")
    look()
    lay(folder, *AGREED)
    assert look()["read"] == 1


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"%PDF-1.7 a plan", "a PDF"),
        (b"\xff\xfe\x00\xd8\x00\xd8 half a letter", "Nothing|cannot|letters|text"),
        (b"alarm;count\nopen;3", "No list was recognised"),
    ],
)
def test_what_is_no_list_is_laid_aside(folder: Path, content: bytes, words: str) -> None:
    (folder / "list.csv").write_bytes(content)
    assert look()["not read"] == 1
    assert any(word.lower() in note(folder).lower() for word in words.split("|"))


def test_a_link_is_refused_and_what_it_leads_to_stays(folder: Path, tmp_path: Path) -> None:
    outside = tmp_path.parent / f"{tmp_path.name} outside.csv"
    outside.write_text("\n".join([HEADING, *AGREED]))
    (folder / "link.csv").symlink_to(outside)
    assert look()["not read"] == 1
    assert "It is a link" in note(folder)
    assert outside.exists()
    assert CentralList.objects.count() == 0


@pytest.mark.parametrize("more", [0, 1])
def test_a_file_over_the_limit_is_refused(folder: Path, settings: Any, more: int) -> None:
    path = lay(folder, *AGREED)
    settings.LARGEST_REGISTER_FILE_BYTES = path.stat().st_size - more
    assert look()["not read" if more else "read"] == 1


def test_a_name_that_is_no_utf8_is_refused_by_its_bytes(folder: Path) -> None:
    with open(os.fsencode(folder) + b"/caf\xe9.csv", "w") as file:
        file.write("\n".join([HEADING, *AGREED]))
    assert look()["not read"] == 1
    assert "caf\\xe9.csv" in note(folder)
    assert "no UTF-8" in CentralFile.objects.get().problem


@pytest.mark.parametrize(("more", "came"), [(0, "read"), (2, "not read"), (50, "not read")])
@pytest.mark.parametrize("letter", ["aa", "é"])
def test_a_name_that_is_too_long_is_refused(
    folder: Path, letter: str, more: int, came: str
) -> None:
    lay(folder, *AGREED, name=letter * ((LONGEST_NAME_BYTES - 4 + more) // 2) + ".csv")
    assert look()[came] == 1
    assert not any(path.suffix == ".csv" for path in folder.iterdir())


def test_a_pipe_and_a_socket_are_refused_without_waiting(folder: Path) -> None:
    os.mkfifo(folder / "pipe.csv")
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(str(folder / "s.csv"))
        assert look()["not read"] == 2


def test_hidden_files_parts_and_folders_are_left_alone(folder: Path) -> None:
    for name in (".central.csv.Xy12", "central.csv.part", "central.TMP"):
        lay(folder, *AGREED, name=name)
    (folder / "older").mkdir()
    lay(folder / "older", *AGREED)
    assert look() == {"settled": 0}
    assert len(list(folder.iterdir())) == 4


def test_a_name_cannot_lead_out_of_the_folder(folder: Path) -> None:
    lay(folder, *AGREED, name="a..%2f..%2fetc;rm -rf $(x).csv")
    look()
    assert names(folder / DONE) == ["a..%2f..%2fetc;rm -rf $(x).csv"]


@pytest.mark.parametrize("aside", [DONE, NOT_READ])
def test_nothing_is_moved_through_a_link(folder: Path, aside: str, tmp_path: Path) -> None:
    outside = tmp_path.parent / f"{tmp_path.name} outside"
    outside.mkdir()
    (folder / aside).symlink_to(outside)
    path = lay(folder, *(AGREED if aside == DONE else ["Fern Row,A,nine,yes"]))
    with pytest.raises(UnableToReadFolder, match="is a link"):
        look()
    assert path.exists()
    assert list(outside.iterdir()) == []
