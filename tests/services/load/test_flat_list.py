"""The flat list: what most offices have, and all that it implies."""

from datetime import date

import pytest

from sites.models import (
    Client,
    Controller,
    Leg,
    Property,
    Spell,
    Station,
    StationFacts,
    Stopgap,
    Termination,
    Wire,
)
from sites.stopgaps.engines.spells import Reason
from tests.services.load import changes, check, counts, load, saved, sheet, told, words, workbook

pytestmark = pytest.mark.django_db

LIST = """
    Property,Client,Controller,Station,Name,Area (sq ft),GPM,Run length,Wire size,Timer since,Cause
    Elm,Elm Trust,01,1,Lawn,1200,12.5,340,14 AWG,2025-02-01,gopher
    Elm,Elm Trust,01,2,Beds,,,410 ft,14,,
    Elm,Elm Trust,02,1,Bank,,,,,2024,ask Bo
"""


def test_a_list_makes_what_it_implies() -> None:
    preview = load(sheet("our list", LIST))
    assert counts(preview) == {"our list": (3, 0, 0)}
    assert list(Client.objects.values_list("name", flat=True)) == ["Elm Trust"]
    assert sorted(Controller.objects.values_list("name", flat=True)) == ["01", "02"]
    lawn = Station.objects.get(name="Lawn")
    assert (lawn.run_length_ft, lawn.wire_size) == (340.0, "14 AWG")
    facts = StationFacts.objects.get()
    assert (facts.area_sqft, facts.flow_gpm, facts.from_on) == (1200.0, 12.5, None)


def test_a_run_length_becomes_one_leg_with_a_hot_wire_and_a_common_not_surveyed() -> None:
    load(sheet("our list", LIST))
    legs = Leg.objects.order_by("length_ft")
    assert [leg.length_ft for leg in legs] == [340.0, 410.0]
    assert not any(leg.is_surveyed or leg.to_point.is_surveyed for leg in legs)
    assert [str(leg.to_point) for leg in legs] == ["01-1 valve", "01-2 valve"]
    wires = {w.name: sorted(each.length_ft for each in w.legs.all()) for w in Wire.objects.all()}
    assert wires == {"01-1 hot": [340.0], "01-2 hot": [410.0], "01 common": [340.0, 410.0]}
    assert Station.objects.get(name="Lawn").feeds.get().wire.name == "01-1 hot"
    assert Termination.objects.get(wire__name="01 common").terminal == "C"


def test_a_timer_becomes_an_open_stopgap_and_a_spell() -> None:
    load(sheet("our list", LIST))
    timer = Stopgap.objects.get(station__name="Lawn")
    assert (timer.kind, timer.reason, timer.reason_given) == ("battery timer", "wire", "gopher")
    assert timer.counted_from == date(2025, 2, 1)
    assert Spell.objects.get(station__name="Lawn").from_on == date(2025, 2, 1)


def test_a_year_counts_from_its_last_day() -> None:
    load(sheet("our list", LIST))
    timer = Stopgap.objects.get(station__name="Bank")
    assert (timer.fitted_earliest, timer.counted_from) == (date(2024, 1, 1), date(2024, 12, 31))
    assert not Spell.objects.get(station__name="Bank").from_is_exact


def test_a_reason_that_says_nothing_is_kept_and_remarked_on_once() -> None:
    preview = load(sheet("our list", LIST))
    timer = Stopgap.objects.get(station__name="Bank")
    assert (timer.reason, timer.reason_given) == (Reason.NOT_KNOWN.value, "ask Bo")
    assert [text for text in preview.remarks if "'ask Bo'" in text]


def test_the_same_list_again_changes_nothing() -> None:
    load(sheet("our list", LIST))
    again = load(sheet("our list", LIST))
    assert counts(again) == {"our list": (0, 0, 3)}
    assert again.is_empty
    assert Station.history.count() == 3


def test_a_client_without_a_name_is_called_so_and_named_later() -> None:
    load(sheet("our list", "property,controller,station\nElm,A,1\n"))
    assert Client.objects.get().name == "Client not named"
    load(sheet("our list", "property,client,controller,station\nElm,Elm Trust,A,1\n"))
    assert Property.objects.get().client.name == "Elm Trust"


def test_a_list_without_property_and_controller_is_one_place_named_like_its_sheet() -> None:
    preview = load(saved(workbook(Elm_Court=[["station", "name", "cause"], [1, "Lawn", ""]])))
    assert Property.objects.get().code == "Elm Court"
    assert Controller.objects.get().name == "A"
    assert "no column for the property" in words(preview)


def test_yes_means_a_timer_that_was_seen_on_the_day_of_the_list() -> None:
    text = "property,controller,station,timer since,cause\nElm,A,1,yes,wire\nElm,A,2,no,\n"
    load(sheet("our list", text))
    assert Stopgap.objects.get().first_seen_on == date(2025, 6, 15)
    assert counts(load(sheet("our list", text))) == {"our list": (0, 0, 2)}


def test_another_day_for_the_open_timer_is_shown_as_a_change() -> None:
    load(sheet("our list", LIST))
    preview = load(sheet("our list", LIST.replace("2025-02-01", "2025-01-20")))
    assert changes(preview) == [("Timer since", "2025-02-01", "2025-01-20")]
    assert Spell.objects.get(station__name="Lawn").from_on == date(2025, 1, 20)


def test_one_station_in_two_rows_is_a_problem_unless_both_say_the_same() -> None:
    text = "property,controller,station,name,cause\nElm,A,1,Lawn,\nElm,A,1,Lawn,\nElm,A,1,Beds,\n"
    preview = check(sheet("our list", text))
    assert told(preview) == [("our list", 4, "C station", "1")]
    assert "the same as row 2" in words(preview)


def test_a_run_length_that_changes_takes_the_implied_leg_with_it() -> None:
    load(sheet("our list", LIST))
    load(sheet("our list", LIST.replace("340", "360")))
    assert sorted(Leg.objects.values_list("length_ft", flat=True)) == [360.0, 410.0]


CODES = """
    Property code,Property,Client,Controller,Station number
    CD1,Cedar Row,Cedar HOA,A,1
    CD1,Cedar Row,Cedar HOA,A,2
    WE9,Willow End,Cedar HOA,A,1
"""
TURNED = """
    Property,Property code,Client,Controller,Station number
    Cedar Row,CD1,Cedar HOA,A,1
    Cedar Row,CD1,Cedar HOA,A,2
    Willow End,WE9,Cedar HOA,A,1
"""
PLACES = "property code,property,client\nCD1,Cedar Row,Cedar HOA\n"


def places() -> list[tuple[str, str]]:
    return sorted(Property.objects.values_list("code", "name"))


@pytest.mark.parametrize("text", [CODES, TURNED])
def test_code_and_name_of_a_property_are_two_columns(text: str) -> None:
    preview = load(sheet("our list", text))
    assert places() == [("CD1", "Cedar Row"), ("WE9", "Willow End")]
    assert "not used" not in words(preview)
    assert counts(load(sheet("our list", text))) == {"our list": (0, 0, 3)}
    load(sheet("properties", PLACES), sheet("controllers", "property code,controller\nCD1,B\n"))
    assert places() == [("CD1", "Cedar Row"), ("WE9", "Willow End")]
    assert Controller.objects.filter(property__code="CD1").count() == 2


@pytest.mark.parametrize("heading", ["Property", "Property code", "Site ID"])
def test_one_column_holds_the_code_or_the_name(heading: str) -> None:
    load(sheet("properties", PLACES))
    for written in ("CD1", "Cedar Row"):
        load(sheet("our list", f"{heading},Controller,Station number\n{written},A,1\n"))
    assert places() == [("CD1", "Cedar Row")]
    assert Station.objects.count() == 1


def test_a_row_without_its_code_is_found_by_the_name_that_another_row_gives() -> None:
    load(sheet("our list", CODES.replace("CD1,Cedar Row,Cedar HOA,A,2", ",Cedar Row,,A,2")))
    assert places() == [("CD1", "Cedar Row"), ("WE9", "Willow End")]
    assert Station.objects.filter(controller__property__code="CD1").count() == 2


def test_another_name_for_a_known_code_is_shown_as_a_change() -> None:
    load(sheet("our list", CODES))
    preview = load(sheet("our list", CODES.replace("Cedar Row", "Cedar Lane")))
    assert changes(preview) == [("Property", "Cedar Row", "Cedar Lane")]
    assert ("CD1", "Cedar Lane") in places()


def test_two_names_for_one_code_are_a_problem() -> None:
    preview = check(sheet("our list", CODES.replace("Row,Cedar HOA,A,2", "Lane,Cedar HOA,A,2")))
    assert told(preview) == [("our list", 3, "B Property", "Cedar Lane")]


def test_a_name_that_another_property_of_the_client_has_is_shown_as_a_possible_double() -> None:
    load(sheet("our list", "property,client,controller,station\nCedar Row,Cedar HOA,A,1\n"))
    for file in (sheet("properties", PLACES), sheet("our list", CODES)):
        preview = check(file)
        assert preview.can_load
        assert words(preview).count("has a property Cedar Row that is called 'Cedar Row'") == 1
    others = sheet("properties", PLACES.replace("Cedar HOA", "Another client"))
    assert "is called" not in words(check(others))


def test_doubles_within_one_file_are_shown_too() -> None:
    preview = check(sheet("properties", PLACES + "CD2,Cedar Row,Cedar HOA\nX,CD1,Cedar HOA\n"))
    assert words(preview).count("has a property CD1 that is called 'Cedar Row'") == 1
    assert words(preview).count("has a property CD1 that is called 'CD1'") == 1
