"""The command writes the register, or one property, as a workbook or a packed folder."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from sites.load.services.files import RegisterFile, read_file
from tests.cast import OURS, THEIRS, make_corner
from tests.services.export.there_and_back import lists_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _two_corners(db: None) -> None:
    make_corner(OURS)
    make_corner(THEIRS)


def export(path: Path, *more: str) -> bytes:
    """Return what the command wrote."""
    call_command("export", str(path), *more, stdout=StringIO())
    return path.read_bytes()


def test_a_name_in_zip_makes_a_packed_folder(tmp_path: Path) -> None:
    lists = lists_of(export(tmp_path / "all.zip"))
    assert {f"{OURS}-park", f"{THEIRS}-park"} <= set(lists["properties.csv"].split(","))


def test_a_name_in_xlsx_makes_a_workbook(tmp_path: Path) -> None:
    content = export(tmp_path / "all.xlsx")
    sheets = read_file(RegisterFile("all.xlsx", content))
    assert [sheet.name for sheet in sheets][:3] == ["properties", "contacts", "controllers"]


def test_one_property_by_its_code(tmp_path: Path) -> None:
    lists = lists_of(export(tmp_path / "one.zip", "--property", f"{OURS}-park"))
    assert THEIRS not in str(lists)


@pytest.mark.parametrize(
    ("name", "more", "words"),
    [
        ("all.csv", [], "ends in .xlsx or .zip"),
        ("all.zip", ["--property", "Nowhere"], "no property Nowhere"),
        ("nowhere/all.zip", [], "No such file"),
    ],
)
def test_refuses_in_words(tmp_path: Path, name: str, more: list[str], words: str) -> None:
    with pytest.raises(CommandError, match=words):
        export(tmp_path / name, *more)
