"""Loading into a register that is there already: blanks, minus signs, refs, corrections."""

import pytest

from faults.load.services.register import UnableToLoad, load_register
from sites.models import Client, Controller, Property, Station, StationFacts
from tests.services.load import (
    TODAY,
    base,
    changes,
    check,
    counts,
    load,
    sheet,
    told,
    words,
)

pytestmark = pytest.mark.django_db

FACTS = "property code,controller,station number,station name,run length,area,notes\n"


def stations(*rows: str) -> str:
    return FACTS + "\n".join(rows) + "\n"


def test_blanks_never_erase() -> None:
    load(*base(stations=stations("Elm,A,1,Lawn,300,1200,mind the dog")))
    preview = load(*base(stations=stations("Elm,A,1,,,,")))
    assert counts(preview)["stations"] == (0, 0, 1)
    assert Station.objects.get().notes == "mind the dog"


def test_a_lone_minus_sign_erases() -> None:
    load(*base(stations=stations("Elm,A,1,Lawn,300,1200,mind the dog")))
    preview = load(*base(stations=stations("Elm,A,1,-,,–,-")))
    assert changes(preview) == [
        ("station name", "Lawn", ""),
        ("notes", "mind the dog", ""),
        ("area", "1200 sq ft", ""),
    ]
    station = Station.objects.get()
    assert (station.name, station.notes, station.run_length_ft) == ("", "", 300.0)
    assert StationFacts.objects.get().area_sqft is None


def test_a_minus_sign_in_a_cell_that_is_needed_is_a_problem() -> None:
    preview = check(*base(stations=stations("Elm,-,1,,,,")))
    assert told(preview) == [("stations", 2, "B controller", "-")]


def test_old_and_new_are_shown_in_the_units_of_the_file() -> None:
    load(*base(stations=stations("Elm,A,1,Lawn,100,,")))
    text = FACTS.replace("run length", "run length (m)") + "Elm,A,1,Lawn,40,,\n"
    assert changes(check(*base(stations=text))) == [("run length (m)", "30.48 m", "40")]


def test_history_tells_who_changed_what_from_which_file() -> None:
    load(*base())
    load(*base(stations="property code,controller,station number,station name\nElm,A,1,Turf\n"))
    newest, oldest = Station.history.filter(name__in=["Lawn", "Turf"]).order_by("-history_id")
    assert (newest.history_type, newest.name) == ("~", "Turf")
    assert (oldest.history_type, oldest.name) == ("+", "Lawn")
    assert "loaded from" in newest.history_change_reason


def test_a_ref_decides_and_lets_a_station_be_renumbered() -> None:
    load(*base())
    one, two = Station.objects.order_by("number")
    swapped = f"ref,property code,controller,station number\n{one.ref},Elm,A,2\n{two.ref},Elm,A,1\n"
    preview = load(*base(stations=swapped))
    assert counts(preview)["stations"] == (0, 2, 0)
    assert Station.objects.get(number=2) == one


def test_a_file_older_than_a_renumbering_is_refused() -> None:
    load(*base())
    one = Station.objects.get(number=1)
    text = "ref,property code,controller,station number,station name\n{ref},Elm,A,{number},Lawn\n"
    load(*base(stations=text.format(ref=one.ref, number=7)))
    by_ref = check(*base(stations=text.format(ref=one.ref, number=1)))
    assert told(by_ref) == [("stations", 2, "D station number", "1")]
    assert "older" in words(by_ref)


def test_a_number_that_another_has_is_refused() -> None:
    load(*base())
    one = Station.objects.get(number=1)
    preview = check(
        *base(stations=f"ref,property code,controller,station number\n{one.ref},Elm,A,2\n")
    )
    assert told(preview) == [("stations", 2, "A ref", one.ref)]


def test_a_controller_is_renamed_by_its_ref_and_keeps_its_stations() -> None:
    load(*base())
    clock = Controller.objects.get()
    load(
        *base(
            controllers=f"ref,property code,controller\n{clock.ref},Elm,Z\n",
            stations="property code,controller,station number\nElm,Z,1\n",
        )
    )
    assert Controller.objects.get().name == "Z"
    assert Station.objects.count() == 2


def test_names_match_whatever_their_case_and_spaces() -> None:
    load(*base())
    preview = check(*base(stations="property code,controller,station number\n ELM ,a,1\n"))
    assert counts(preview)["stations"] == (0, 0, 1)


def test_values_that_look_like_formulas_stay_text() -> None:
    load(*base(stations=stations("Elm,A,1,=HYPERLINK(1),,,@x")))
    assert Station.objects.get().name == "=HYPERLINK(1)"


def test_what_was_shown_is_what_is_loaded() -> None:
    shown = check(*base())
    Client.objects.create(name="Elm Trust")
    Property.objects.create(code="Elm", client=Client.objects.get())
    with pytest.raises(UnableToLoad, match="changed since"):
        load_register(files=base(), today=TODAY, digest=shown.digest)
    assert not Controller.objects.exists()


def test_a_corrected_match_is_followed() -> None:
    text = sheet("inventory", "Place,Clock,Zone,Foreman\nElm,A,1,Bo\n")
    answers = {
        "sheets": {"inventory": "flat list"},
        "columns": {"inventory": {"A": "property", "D": "notes", "C": "station number"}},
    }
    load(text, **answers)
    assert Station.objects.get().notes == "Bo"


def test_a_sheet_that_is_left_out_loads_nothing() -> None:
    preview = load(*base(), sheets={"stations": ""})
    assert not Station.objects.exists()
    assert "stations" in {each.name for each in preview.sheets}


def test_the_preview_for_a_page_is_bounded() -> None:
    rows = "".join(f"Elm,A,{number}\n" for number in range(1, 900))
    shown = check(*base(stations=f"property code,controller,station number\n{rows}")).to_json()
    assert len(shown["sheets"][2]["adds"]) == 100
    assert shown["sheets"][2]["added"] == 899


def test_days_that_show_both_orders_are_a_problem() -> None:
    text = "property,controller,station,timer since\nElm,A,1,13/04/2025\nElm,A,2,04/13/2025\n"
    preview = check(sheet("list", text))
    assert told(preview)[0] == ("list", 3, "D timer since", "04/13/2025")


def test_one_day_that_shows_the_order_settles_all_others() -> None:
    text = "property,controller,station,timer since\nElm,A,1,13/04/2025\nElm,A,2,03/04/2025\n"
    preview = check(sheet("list", text))
    assert preview.can_load


def test_numbers_that_could_be_either_are_asked_about_in_a_semicolon_file() -> None:
    text = "property;controller;station;run length\nElm;A;1;1,250\n"
    assert [each.name for each in check(sheet("list", text)).questions] == ["decimal"]
    load(sheet("list", text), decimal=",")
    assert Station.objects.get().run_length_ft == 1.25
