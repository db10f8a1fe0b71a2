"""The flat list: what most offices have, and all that it implies."""

from datetime import date

import pytest

from sites.engines.spells import Reason
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
