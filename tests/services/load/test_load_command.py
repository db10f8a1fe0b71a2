"""`manage.py load`: what it prints, and when it fails."""

import json
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from faults.access import uploads_for
from faults.load.services.taking_back import take_back_load
from sites.kernel.engines.roles import Role
from sites.models import Station, Upload
from sites.runs.services import Silent
from tests import make
from tests.services.load import BASE

pytestmark = pytest.mark.django_db


@pytest.fixture
def paths(tmp_path: Path) -> list[str]:
    found = []
    for name, text in BASE.items():
        path = tmp_path / f"{name}.csv"
        path.write_text(text)
        found.append(str(path))
    return found


def test_it_loads_and_prints_a_line_for_each_sheet(
    paths: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("load", *paths)
    lines = capsys.readouterr().out.splitlines()
    assert lines[-1] == "Loaded."
    assert lines[3].split() == ["stations", "stations", "2", "2", "0", "0", "0"]
    assert Station.objects.count() == 2


def test_check_writes_nothing(paths: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    call_command("load", *paths, check=True)
    assert "Nothing was written." in capsys.readouterr().out
    assert not Station.objects.exists()


def test_problems_are_printed_with_their_place_and_it_fails(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "list.csv"
    path.write_text("property,controller,station\nElm,A,one\n")
    with pytest.raises(CommandError, match="Nothing was loaded"):
        call_command("load", str(path))
    assert "! list, row 2, C station: 'one' Expected a whole number" in capsys.readouterr().out


def test_a_question_is_printed_with_its_flags_and_answered_by_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "list.csv"
    path.write_text("property,controller,station,timer since\nElm,A,1,03/04/2025\n")
    with pytest.raises(CommandError):
        call_command("load", str(path))
    assert "--day-order dmy (the day)" in capsys.readouterr().out
    call_command("load", str(path), day_order="dmy")
    assert Station.objects.count() == 1


def test_answers_come_from_a_file(tmp_path: Path) -> None:
    path, answers = tmp_path / "odd.csv", tmp_path / "answers.json"
    path.write_text("Place,Clock,Zone\nElm,A,1\n")
    answers.write_text(
        json.dumps({"sheets": {"odd": "flat list"}, "columns": {"odd": {"A": "property"}}})
    )
    call_command("load", str(path), answers=answers)
    assert Station.objects.count() == 1


def test_a_file_that_is_none_is_refused_in_words(tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    path.write_bytes(b"%PDF-1.7")
    with pytest.raises(CommandError, match=r"plan\.pdf: This is a PDF"):
        call_command("load", str(path))
    with pytest.raises(CommandError, match="No such file"):
        call_command("load", str(tmp_path / "nowhere.csv"))


def test_the_demo_loads_and_the_same_again_changes_nothing(
    capsys: pytest.CaptureFixture[str],
) -> None:
    files = sorted(str(path) for path in Path("fixtures/demo").glob("*.csv"))
    call_command("load", *files)
    first = Station.objects.count()
    capsys.readouterr()
    call_command("load", *files)
    table = [line.split() for line in capsys.readouterr().out.splitlines()[1:14]]
    assert first > 1000
    assert {(row[-4], row[-3], row[-1]) for row in table} == {("0", "0", "0")}


def test_it_is_listed_for_an_owner_and_taken_back_like_any_other(paths: list[str]) -> None:
    owner, dispatcher = make.user(Role.OWNER), make.user(Role.DISPATCHER)
    call_command("load", *paths)
    upload = uploads_for(owner).get()
    assert (upload.by, upload.filename, upload.added) == (None, "properties.csv + 2", 4)
    assert not uploads_for(dispatcher).exists()
    take_back_load(upload=upload, by=owner, progress=Silent())
    assert not Station.objects.exists()
    assert uploads_for(owner).get().loaded.count() == 0


def test_what_is_refused_or_only_looked_at_is_not_listed(paths: list[str], tmp_path: Path) -> None:
    call_command("load", *paths, check=True)
    path = tmp_path / "list.csv"
    path.write_text("property,controller,station\nElm,A,one\n")
    with pytest.raises(CommandError):
        call_command("load", str(path))
    assert not Upload.objects.exists()
