"""Three registers as they really come, unlike each other: every problem is named at once."""

import io

import pytest
from openpyxl import load_workbook

from faults.load.services.register import UnableToLoad
from sites.load.services.files import RegisterFile
from sites.models import (
    CentralState,
    Client,
    Controller,
    Leg,
    Point,
    Property,
    Station,
    StationFacts,
    Stopgap,
)
from tests.services.load import check, counts, load, saved, sheet, told, words, workbook

pytestmark = pytest.mark.django_db


def nothing_is_written() -> bool:
    return not any(
        model._default_manager.exists() for model in (Client, Property, Controller, Station, Point)
    )


# An office's list: Windows letters, semicolons, decimal commas, a title, days either way round.
OFFICE = """
    Liste der Stationen;;;;;;;;
    Stand: Juni;;;;;;;;
    ;;;;;;;;
    Anlage / Site;Owner;Clock;Zone #;Description;Area (m2);Run length, m;On timer since;Cause
    Königsgarten;Familie Ö;01;1;Rasen Süd;120,5;1.050,5;03/04/2025;Gopher
    Königsgarten;Familie Ö;01;2;Beete;80,25;60;;
    Königsgarten;Familie Ö;01;zwei;Hecke;15;40;;
    Königsgarten;Familie Ö;02;1;=1+1;viel;25,5;05/06/2025;Kabel?
    Königsgarten;Familie Ö;02;2;Hang;;;06/07/2031;
    ;;02;3;Wall;;;;
"""


def office(text: str = OFFICE) -> RegisterFile:
    text = text.replace("Anlage / Site", "Site")
    return sheet("stationen", text, encoding="cp1252", suffix="txt")


def test_an_office_list_asks_once_which_comes_first_in_its_days() -> None:
    preview = check(office())
    (question,) = preview.questions
    assert question.name == "day_order"
    assert question.examples == ("03/04/2025", "05/06/2025", "06/07/2031")
    assert not preview.can_load


def test_an_office_list_names_all_its_problems_and_writes_nothing() -> None:
    with pytest.raises(UnableToLoad) as refused:
        load(office(), day_order="dmy")
    assert told(refused.value.preview) == [
        ("stationen", 7, "D Zone #", "zwei"),
        ("stationen", 8, "F Area (m2)", "viel"),
        ("stationen", 9, "H On timer since", "06/07/2031"),
        ("stationen", 10, "A Site", ""),
    ]
    assert nothing_is_written()


def test_an_office_list_loads_once_it_is_mended() -> None:
    mended = (
        OFFICE.replace("zwei", "3")
        .replace("viel", "9")
        .replace("2031", "2024")
        .replace("    ;;02", "    Königsgarten;;02")
    )
    load(office(mended), day_order="dmy")
    place = Property.objects.get()
    assert (place.code, place.client.name) == ("Königsgarten", "Familie Ö")
    lawn = Station.objects.get(name="Rasen Süd")
    assert (lawn.controller.name, round(lawn.run_length_ft or 0, 2)) == ("01", 3446.52)
    assert Station.objects.get(name="=1+1")
    assert str(Stopgap.objects.get(station=lawn).fitted_latest) == "2025-04-03"
    again = load(office(mended), day_order="dmy")
    assert counts(again) == {"stationen": (0, 0, 6)}


# A workbook: merged titles, hidden rows, formulas never computed, metres, words of their own.
def consultants_book() -> RegisterFile:
    made = workbook(
        Sites=[
            ["Irrigation survey"],
            [],
            ["Site code", "Site name", "Customer", "Unit system"],
            ["Oak", "Oak Court", "Oak Ltd", "metric"],
        ],
        Clock_list=[["Site", "Clock", "Central control"], ["Oak", "A", "offline"]],
        Boxes=[
            ["Site", "Box", "Type"],
            ["Oak", "A", "clock"],
            ["Oak", "S1", "junction box"],
            ["Oak", "V1", "valve"],
        ],
        Wire_runs=[
            ["Site", "Run", "From", "To", "Length [m]", "Foreman"],
            ["Oak", "L1", "A", "S1", "=30+2", "Bo"],
            ["Oak", "L2", "S1", "V1", 20.5, "Bo"],
            ["Oak", "L3", "S1", "V9", 12, "Bo"],
        ],
        Zones=[
            ["Site", "Clock", "Zone", "Description", "Irrigated area (m²)", "Eff"],
            ["Oak", "A", 1, "Lawn", "1 200", "75%"],
            ["Oak", "A", 2, "Beds", 80, 75],
            ["Oak", "A", 1, "Bank", 20, 0.7],
        ],
        Notes=[["Called Bo on Monday."]],
    )
    made["Sites"].merge_cells("A1:D1")
    made["Zones"].row_dimensions[3].hidden = True
    return saved(made, "survey.xlsx")


def test_a_consultants_book_names_all_its_problems_and_writes_nothing() -> None:
    with pytest.raises(UnableToLoad) as refused:
        load(consultants_book())
    assert told(refused.value.preview) == [
        ("Wire runs", 2, "E2 Length [m]", ""),
        ("Wire runs", 4, "D To", "V9"),
        ("Zones", 3, "F Eff", "75"),
        ("Zones", 4, "C Zone", "1"),
    ]
    assert nothing_is_written()


def test_a_consultants_book_tells_what_it_left_alone() -> None:
    preview = check(consultants_book())
    assert "Column F 'Foreman' was not used: " in words(preview)
    assert "Hidden rows are read like the others: 3." in words(preview)
    assert "left alone" in words(preview)
    assert [each.kind for each in preview.sheets] == [
        "properties",
        "controllers",
        "points",
        "legs",
        "stations",
        "",
    ]


def test_a_consultants_book_loads_once_it_is_mended() -> None:
    made = load_workbook(io.BytesIO(consultants_book().content))
    made["Wire runs"]["E2"] = 32
    made["Wire runs"]["D4"] = "A"
    made["Wire runs"]["C4"] = "V1"
    made["Zones"]["F3"] = 0.75
    made["Zones"]["C4"] = 3
    load(saved(made))
    assert Leg.objects.get(label="L1").length_ft == pytest.approx(104.98688)
    facts = StationFacts.objects.get(station__number=1)
    assert facts.area_sqft == pytest.approx(12916.69)
    assert facts.efficiency == 0.75
    assert CentralState.objects.get(state="link lost").from_is_exact is False
    assert not any(added or changed for added, changed, _same in counts(load(saved(made))).values())


# A set of files: UTF-16, unknown references, stopgaps that cannot be, years alone.
SET = {
    "properties": "property code|property|client\nElm|Elm park|Elm Trust",
    "controllers": "property code|controller|central|since\nElm|A|link lost|\nElm|B||",
    "stations": """
        ref|property code|controller|station number|wire|depends on
        |Elm|A|1||
        |Elm|A|2|A-2 hot|A:9
        lost|Elm|B|1||
        |Elm|B|2||B:2
    """,
    "stopgaps": """
        property code|controller|station number|kind|fitted|removed|source key
        Elm|A|1|battery timer|2021|2023-05-01|S1
        Elm|A|1|shut off|2023-04-01||S2
        Elm|A|2|battery timer|2024-05-01|2024-04-01|S3
        Elm|C|1|battery timer|2024||S4
        Oak|A|1|battery timer|2024||S5
        Elm|B|2|kite|2024||S6
    """,
    "faults": "property code|fault key|reported|stations|stage\nElm|F1|2024-01-05|A:1;A:7|found",
    "breaks": "fault key|leg|feet|cause\nF9|L1|12|rodent",
}


def set_of_files(**more: str) -> list[RegisterFile]:
    return [sheet(name, text, encoding="utf-16") for name, text in {**SET, **more}.items()]


def test_a_set_of_files_names_all_its_problems_and_writes_nothing() -> None:
    with pytest.raises(UnableToLoad) as refused:
        load(*set_of_files())
    assert told(refused.value.preview) == [
        ("stations", 3, "E wire", "A-2 hot"),
        ("stations", 3, "F depends on", "A:9"),
        ("stations", 4, "A ref", "lost"),
        ("stations", 5, "F depends on", "B:2"),
        ("stopgaps", 3, "E fitted", "2023-04-01"),
        ("stopgaps", 4, "F removed", "2024-04-01"),
        ("stopgaps", 5, "B controller", "C"),
        ("stopgaps", 6, "A property code", "Oak"),
        ("stopgaps", 7, "D kind", "kite"),
        ("faults", 2, "D stations", "A:1;A:7"),
        ("breaks", 2, "A fault key", "F9"),
    ]
    assert nothing_is_written()


def test_a_set_of_files_loads_once_it_is_mended() -> None:
    mended = set_of_files(
        stations="""
            property code|controller|station number
            Elm|A|1
            Elm|A|2
        """,
        stopgaps="""
            property code|controller|station number|kind|fitted|removed|source key
            Elm|A|1|battery timer|2021|2023-04-01|S1
            Elm|A|1|shut off|2023-04-01||S2
        """,
        faults="property code|fault key|reported|stations|stage\nElm|F1|2024-01-05|A:1;A:2|found",
        breaks="fault key|cause\nF1|rodent",
    )
    load(*mended)
    assert Stopgap.objects.get(source_key="S1").counted_from.isoformat() == "2021-12-31"
    assert not any(added or changed for added, changed, _same in counts(load(*mended)).values())
