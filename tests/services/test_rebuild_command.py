"""`manage.py rebuild` mends derived rows from the records, in the order in which they follow."""

from datetime import date

import pytest
from django.core.management import CommandError, call_command

from faults.models import Wait
from sites.kernel.services.derived import derived_names
from sites.models import Meter, Spell, Station
from tests import make

pytestmark = pytest.mark.django_db

NOTHING_WRONG = {"spells": 0, "water": 0, "waits": 0, "summaries": 0}


@pytest.fixture
def stations() -> list[Station]:
    """Two stations off central control, with spells, meters and waits."""
    made = [make.station(), make.station()]
    for station in made:
        make.stopgap(station=station, on=date(2025, 1, 1))
    return made


def said(capsys: pytest.CaptureFixture[str], *names: str) -> dict[str, int]:
    """Run the command; return how many rows it says were wrong, by name."""
    call_command("rebuild", *names)
    lines = capsys.readouterr().out.splitlines()
    return {line.partition(":")[0]: int(line.split()[1]) for line in lines}


def test_where_nothing_is_wrong_nothing_changes(
    stations: list[Station], capsys: pytest.CaptureFixture[str]
) -> None:
    said(capsys)
    assert said(capsys) == NOTHING_WRONG


def test_what_was_broken_comes_back_in_all_tables(
    stations: list[Station], capsys: pytest.CaptureFixture[str]
) -> None:
    said(capsys)
    Wait.objects.all().delete()
    Spell.objects.filter(station=stations[0]).delete()  # its meter goes with it
    assert said(capsys)["spells"] == 1
    assert Spell.objects.count() == Meter.objects.count() == Wait.objects.count() == 2
    assert said(capsys) == NOTHING_WRONG


def test_only_what_is_named_is_rebuilt(
    stations: list[Station], capsys: pytest.CaptureFixture[str]
) -> None:
    Wait.objects.all().delete()
    assert said(capsys, "spells") == {"spells": 0}
    assert Wait.objects.count() == 0
    assert said(capsys, "waits") == {"waits": 2}


def test_a_name_that_is_none_is_refused_in_words() -> None:
    with pytest.raises(CommandError, match=r"There is no lawns here\. Name one or more of spells"):
        call_command("rebuild", "lawns")


def test_each_follows_those_before_it() -> None:
    assert derived_names() == ["spells", "water", "waits", "summaries"]
