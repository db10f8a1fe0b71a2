"""What a heading is taken for, and what is said of what is left behind."""

import pytest

from sites.models import Station, StationFacts, Stopgap
from tests.services.load import base, check, load, sheet

pytestmark = pytest.mark.django_db


def columns(text: str) -> dict[str, str]:
    """Which field each heading was taken for."""
    (only,) = check(sheet("list", text)).sheets
    return {each.heading: each.field for each in only.columns}


def remarks(text: str, name: str = "list") -> list[str]:
    (only,) = check(sheet(name, text)).sheets
    return only.remarks


def test_what_stands_below_a_heading_decides() -> None:
    numbers = "Site,Timer #,Zone\nElm,1,1\nElm,2,1\n"
    assert columns(numbers)["Timer #"] == "controller"
    days = "Site,Clock,Zone,Timer\nElm,A,1,2023\nElm,A,2,\n"
    assert columns(days)["Timer"] == "stopgap since"
    # One day that can be read is enough; with none it is no column of days.
    assert (
        columns("Site,Clock,Zone,Timer\nElm,A,1,soon\nElm,A,2,2023\n")["Timer"] == "stopgap since"
    )
    assert columns("Site,Clock,Zone,Timer\nElm,A,1,soon\n")["Timer"] == ""
    both = "Site,Timer,Zone,Battery timer\nElm,3,1,2023\n"
    assert columns(both) == {
        "Site": "property",
        "Timer": "controller",
        "Zone": "station number",
        "Battery timer": "stopgap since",
    }


def test_a_heading_of_several_meanings_gives_way_to_one_of_a_single_meaning() -> None:
    found = columns("Location,Site,Clock,Zone\nEntry,Elm,A,1\n")
    assert (found["Location"], found["Site"]) == ("station name", "property")
    assert columns("Location,Clock,Zone\nElm,A,1\n")["Location"] == "property"
    named = columns("Site,Clock,Valve,No.\nElm,A,Front lawn,1\n")
    assert (named["Valve"], named["No."]) == ("station name", "station number")


def test_a_required_column_is_named_cell_by_cell_though_nothing_in_it_can_be_read() -> None:
    (only,) = check(sheet("list", "Site,Clock,Station\nElm,A,one\n")).sheets
    assert [(each.column, each.value) for each in only.problems] == [("C Station", "one")]


def test_marks_for_not_known_are_empty_cells_with_one_note() -> None:
    text = "Site,Clock,Zone,Flow,Wire size,Name\nElm,A,1,?,n/a,tbd\nElm,A,2,tbd,14,?\nElm,A,3,?,,\n"
    load(sheet("list", text))
    assert not StationFacts.objects.filter(flow_gpm__isnull=False).exists()
    # In a column of words they may be words.
    assert list(Station.objects.order_by("number").values_list("name", flat=True)) == [
        "tbd",
        "?",
        "",
    ]
    notes = [each for each in remarks(text) if "not known" in each]
    assert len(notes) == 3
    assert "Column D Flow: '?' counts as not known." in notes


def test_since_nobody_knows_when_is_a_timer_and_not_applicable_is_none() -> None:
    text = "Site,Clock,Zone,Timer since\nElm,A,1,?\nElm,A,2,n/a\nElm,A,3,n/d\nElm,A,4,2023\n"
    load(sheet("list", text))
    assert sorted(Stopgap.objects.values_list("station__number", flat=True)) == [1, 3, 4]
    assert "Row 2: '?' was read as: on a timer, nobody knows since when." in remarks(text)


def test_rows_of_totals_are_left_out_and_said() -> None:
    text = "Site,Clock,Zone,Flow\nElm,A,1,5\nSubtotal,,1,5\nTotal,,,5\nTotal Court,A,2,6\n"
    said = remarks(text)
    assert [each for each in said if "total" in each] == [
        "Row 3 looks like a total ('Subtotal') and was left out.",
        "Row 4 looks like a total ('Total') and was left out.",
    ]
    load(sheet("list", text))
    assert sorted(Station.objects.values_list("controller__property__code", flat=True)) == [
        "Elm",
        "Total Court",
    ]


def test_a_column_left_behind_is_said_with_what_is_in_it() -> None:
    said = remarks("Site,Clock,Zone,Foo,Bar\nElm,A,1,x,\nElm,A,2,y,\n")
    assert (
        "Column D 'Foo' was not used: 2 cells are left behind (such as 'x', 'y'). If they matter, "
        "say which column it is." in said
    )
    assert "Column E 'Bar' is empty and was not used." in said


def test_days_read_like_another_row_say_which() -> None:
    said = remarks("Site,Clock,Zone,Timer since\nElm,A,1,9/25/2022\nElm,A,2,04/07/2024\n")
    assert "Days such as 04/07/2024 were read month first, because row 2 says 9/25/2022." in said
    assert not any(
        "were read" in each for each in remarks("Site,Clock,Zone,Timer since\nElm,A,1,9/25/2022\n")
    )


def test_a_list_of_bare_stations_makes_what_it_implies_unless_its_name_says_otherwise() -> None:
    text = "Property,Controller,Station\nElm,A,1\n"
    assert check(sheet("list", text)).sheets[0].kind == "flat list"
    assert check(sheet("stations", text)).sheets[0].kind == "stations"


@pytest.mark.parametrize(("number", "is_told"), [(11, False), (12, False), (13, True)])
def test_a_number_above_what_a_controller_can_switch_is_told(number: int, is_told: bool) -> None:
    files = {
        "controllers": "property code,controller,stations\nElm,A,12\n",
        "stations": f"property code,controller,station number\nElm,A,{number}\nElm,A,1\n",
    }
    preview = check(*base(**files))
    remarks = [each for sheet in preview.sheets for each in sheet.remarks]
    words = f"Row 2: Number {number} is above the 12 stations that controller A can switch."
    assert any(each.startswith(words) for each in remarks) is is_told
    assert preview.can_load
