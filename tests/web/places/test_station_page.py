"""A station's page: how it is controlled now, its times off, stopgaps, faults and facts."""

from datetime import date

import pytest

from faults.models import ReadingKind
from sites.kernel.engines.roles import Role
from sites.models import Central, Schedule, Station, StationFacts, User
from sites.stopgaps.services.spells import rebuild_spells
from tests import make
from tests.web.fern_row import FernRow
from tests.web.pages import Sheet, open_page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def opened(user: User, station: Station) -> Sheet:
    """Open the station's page as this user."""
    return open_page(user, f"/stations/{station.ref}/")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("A:1", "Off central control: wire, 165 days. What stands in: battery timer."),
        ("A:2", "Off central control: valve or solenoid, 106 days. What stands in: by hand."),
        ("A:3", "On central control."),
        ("A:7", "Off central control: wire, at least 1,262 days. What stands in: battery timer."),
        ("B:1", "Off central control: link lost, 10 days."),
        ("C:1", "Not meant to be under central control."),
    ],
)
def test_says_how_the_station_is_controlled_now(
    fern: FernRow, manager: User, name: str, words: str
) -> None:
    assert words in opened(manager, fern[name]).words


def test_says_that_a_link_is_not_known(manager: User) -> None:
    station = make.station(controller=make.controller(central=Central.NOT_KNOWN))
    assert "Link not known." in opened(manager, station).words


def test_says_when_it_was_retired(fern: FernRow, manager: User) -> None:
    fern["A:3"].retired_on = date(2025, 6, 2)
    fern["A:3"].save()
    sheet = opened(manager, fern["A:3"])
    assert "Retired on 2025-06-02." in sheet.words
    assert "On central control." not in sheet.words


def test_names_what_stands_in_and_not_the_stopgap_that_came_last(
    fern: FernRow, manager: User
) -> None:
    make.stopgap(
        station=fern["A:1"], kind="surface wire", on=date(2025, 5, 1), removed_on=date(2025, 5, 3)
    )
    assert "What stands in: battery timer." in opened(manager, fern["A:1"]).words


def test_lists_each_time_off_newest_first(fern: FernRow, manager: User) -> None:
    make.stopgap(station=fern["A:4"], on=date(2025, 6, 1))
    rebuild_spells([fern["A:4"].pk])
    assert opened(manager, fern["A:4"]).rows("spells") == [
        ["2025-06-01", "still off", "14", "wire"],
        ["2024-05-01", "2024-05-08", "7", "wire"],
    ]


def test_a_time_off_that_may_have_begun_before_is_at_least_that_long(
    fern: FernRow, manager: User
) -> None:
    row = opened(manager, fern["A:7"]).rows("spells")[0]
    assert row[:3] == ["at least since 2021-12-31", "still off", "≥ 1,262"]


def test_a_time_off_for_changing_reasons_is_one_with_the_day_of_each(
    fern: FernRow, manager: User
) -> None:
    make.stopgap(station=fern["B:1"], on=date(2025, 6, 10))
    rebuild_spells([fern["B:1"].pk])
    (row,) = opened(manager, fern["B:1"]).rows("spells")
    assert row[:3] == ["2025-06-05", "still off", "10"]
    assert row[3] == "link lost from 2025-06-05 wire from 2025-06-10"


def test_days_in_season_stand_beside_the_days(fern: FernRow, manager: User) -> None:
    fern.property.season_start, fern.property.season_end = "04-01", "11-01"
    fern.property.save()
    (row,) = opened(manager, fern["A:1"]).rows("spells")
    assert row[2:4] == ["165", "75"]


def test_a_station_never_off_says_as_far_as_records_go(fern: FernRow, manager: User) -> None:
    sheet = opened(manager, fern["A:3"])
    assert "Never, as far as the records go." in sheet.panel("spells")
    assert "None, as far as the records go." in sheet.panel("stopgaps")


def test_stopgaps_come_with_device_battery_and_what_was_written(manager: User) -> None:
    device = make.device(name="T-01", battery_changed_on=date(2025, 2, 3))
    station = make.stopgap(
        device=device,
        reason_given="cut by the fence people",
        agreed_until=date(2025, 9, 1),
        notes="in the lid",
    ).station
    assert opened(manager, station).rows("stopgaps") == [
        [
            "battery timer",
            "2025-01-01",
            "",
            "T-01 battery 2025-02-03",
            "cut by the fence people agreed until 2025-09-01 in the lid",
        ]
    ]


def test_faults_are_listed_with_their_stage(fern: FernRow, manager: User) -> None:
    make.fault(fern["A:1"], key="F-0", reported_on=date(2024, 3, 1), symptom="open")
    assert opened(manager, fern["A:1"]).rows("faults") == [
        ["F-1", "2025-05-01", "not known", "reported"],
        ["F-0", "2024-03-01", "open circuit", "reported"],
    ]


def test_facts_and_the_schedule_of_today_are_shown(manager: User) -> None:
    station = make.station(coil_ohms=25.34, wire_size="14 AWG")
    StationFacts.objects.create(station=station, area_sqft=7850, flow_gpm=48.94)
    for start, minutes in ((date(2025, 1, 1), 30), (date(2025, 6, 1), 39), (date(2025, 7, 1), 50)):
        Schedule.objects.create(station=station, from_on=start, minutes=minutes, days="every 3")
    facts = opened(manager, station).facts()
    assert (facts["Area"], facts["Flow"]) == ("7,850 sq ft", "48.9 gpm")
    assert (facts["Coil"], facts["Run length"]) == ("25.3 Ω", "400 ft, 14 AWG")
    assert facts["Schedule"] == "every 3, 39 min"


def test_facts_are_in_the_units_of_the_property(manager: User) -> None:
    clock = make.controller(property=make.place(units="metric"))
    station = make.station(controller=clock, run_length_ft=1000)
    StationFacts.objects.create(station=station, area_sqft=1000, flow_gpm=10)
    facts = opened(manager, station).facts()
    assert (facts["Run length"], facts["Area"]) == ("305 m", "93 m²")
    assert facts["Flow"] == "37.9 l/min"


def test_facts_that_nobody_knows_are_said_to_be_not_known(manager: User) -> None:
    facts = opened(manager, make.station()).facts()
    assert [facts[name] for name in ("Coil", "Area", "Flow")] == ["not known"] * 3


def test_leads_to_the_master_valve_that_it_depends_on(manager: User) -> None:
    clock = make.controller(name="A")
    master = make.station(controller=clock, number=90, kind="master valve")
    sheet = opened(manager, make.station(controller=clock, depends_on=master))
    assert sheet.links["A:90"] == f"/stations/{master.ref}/"


def test_latest_readings_are_shown_and_voided_ones_are_not(manager: User) -> None:
    station = make.station()
    make.reading(station=station, value=24.55, is_loaded=True, kind=ReadingKind.VOLTS)
    make.reading(station=station, value=99, voided_on=make.TODAY)
    assert opened(manager, station).rows("readings") == [
        ["2025-06-15", "volts, loaded", "24.6 V", "", "void"]
    ]


def test_history_is_for_our_own_people(fern: FernRow, manager: User) -> None:
    tracer = make.user(Role.TRACER, property=fern.property)
    assert "history" in opened(manager, fern["A:1"]).panels
    assert "history" not in opened(tracer, fern["A:1"]).panels
