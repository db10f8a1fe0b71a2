"""A register that is exported and loaded elsewhere is the same register."""

import pytest

from faults.models import Fault
from sites.load.services.files import RegisterFile
from sites.models import Property, Station, StationFacts, Stopgap
from tests import make
from tests.cast import OURS, make_corner
from tests.services.export.garden import HARD_WORDS, make_garden
from tests.services.export.there_and_back import (
    exported,
    files_of,
    forget_everything,
    load,
    look,
    rows_of,
    workbook,
    zipped,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def garden() -> Property:
    """A metric property with one of everything, and values that are easy to lose."""
    return make_garden()


def test_the_demo_corner_comes_back_byte_by_byte() -> None:
    make_corner(OURS)
    _comes_back()


def test_a_garden_with_hard_values_comes_back_byte_by_byte(garden: Property) -> None:
    _comes_back()


def _comes_back() -> None:
    before = exported()
    forget_everything()
    load(*files_of(before))
    assert exported() == before


def test_the_packed_folder_itself_can_be_loaded(garden: Property) -> None:
    content = zipped()
    forget_everything()
    load(RegisterFile("register.zip", content))
    assert zipped() == content


def test_a_workbook_comes_back_too(garden: Property) -> None:
    before, content = exported(), workbook()
    forget_everything()
    load(RegisterFile("register.xlsx", content))
    assert exported() == before


def test_references_are_kept_by_an_empty_register(garden: Property) -> None:
    refs = set(Station.objects.values_list("ref", flat=True))
    lists = exported()
    forget_everything()
    load(*files_of(lists))
    assert set(Station.objects.values_list("ref", flat=True)) == refs


def test_numbers_come_back_to_the_last_digit(garden: Property) -> None:
    lists = exported()
    forget_everything()
    load(*files_of(lists))
    facts = StationFacts.objects.get()
    assert (facts.area_sqft, facts.flow_gpm) == (1e-5, 2 / 3)


@pytest.mark.parametrize("words", HARD_WORDS)
def test_words_that_could_be_formulas_or_erase_come_back(words: str) -> None:
    make.place(code="P", notes=words)
    lists = exported()
    forget_everything()
    load(*files_of(lists))
    assert Property.objects.get().notes == words


@pytest.mark.parametrize("words", HARD_WORDS[:7])
def test_no_cell_of_words_starts_as_a_formula_does(words: str) -> None:
    make.place(code="P", notes=words)
    assert rows_of(exported(), "properties")[0]["notes"].startswith("'")


def test_a_negative_number_stays_a_number(garden: Property) -> None:
    assert rows_of(exported(), "properties")[0]["latitude"] == "-33.1"


def test_windows_of_days_are_written_as_people_write_them(garden: Property) -> None:
    fitted = [row["fitted"] for row in rows_of(exported(), "stopgaps")]
    assert sorted(fitted) == ["2021", "2022-06", "2023-02-03 to 2023-05-01", "2025-01-01"]


def test_a_lost_link_keeps_that_only_its_last_possible_day_is_known(garden: Property) -> None:
    (row,) = rows_of(exported(), "controllers")
    assert row["since"] == "2025-03-05 or before"


def test_ref_comes_first_where_rows_have_one() -> None:
    make_corner(OURS)
    firsts = {name: text.split(",")[0] for name, text in exported().items()}
    without = {"contacts.csv", "schedules.csv", "breaks.csv", "readings.csv", "climate.csv"}
    assert {name for name, first in firsts.items() if first != "ref"} == without


def test_loading_an_export_where_it_came_from_changes_nothing(garden: Property) -> None:
    preview = look(exported())
    assert preview.problems == []
    assert [
        (sheet.name, sheet.changes, sheet.adds) for sheet in preview.sheets if sheet.changed
    ] == []
    assert preview.is_empty


def test_an_export_writes_no_unsurveyed_point_as_seen(garden: Property) -> None:
    lists = exported()
    forget_everything()
    load(*files_of(lists))
    assert [leg.is_surveyed for leg in Property.objects.get().legs.order_by("label")] == [
        False,
        True,
    ]


def test_one_property_can_be_written_alone(garden: Property) -> None:
    make_corner(OURS)
    lists = exported(code=f"{OURS}-park")
    assert {row["property code"] for row in rows_of(lists, "stations")} == {f"{OURS}-park"}


def test_a_fault_without_a_key_keeps_its_breaks(garden: Property) -> None:
    lists = exported()
    forget_everything()
    load(*files_of(lists))
    assert Fault.objects.get(key="").breaks.get().cause == "rodent"


def test_days_off_central_follow_again(garden: Property) -> None:
    lists = exported()
    forget_everything()
    load(*files_of(lists))
    stopgap = Stopgap.objects.open().get()
    assert stopgap.spell_parts.get().reason == "valve or solenoid"
