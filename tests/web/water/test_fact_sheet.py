"""The sheet of missing facts: read as files are, kept all at once or not at all."""

import json
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from sites.kernel.engines.roles import Role
from sites.models import Property, Schedule, StationFacts
from tests import make, make_water
from tests.cast import Cast, Corner
from tests.web.pages import Sheet, open_page, signed_in
from tests.web.water.sheet import SINCE, keep, off, url, wrong

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def test_a_lawn_becomes_known_by_one_sheet(cast: Cast, park: Property) -> None:
    lawn = off(park)
    sheet = open_page(cast.owner, url(park))
    assert "0 of 1 meters are known" in sheet.words
    sheet = keep(
        cast, park, lawn,
        area_sqft_1="2,400.0 sq ft", flow_gpm_1="18", plant_factor_1="0.8", efficiency_1="75 %",
        minutes_1="14", days_1="lun mar jue sab", starts_1="4:00 am; 05:00",
        run_length_ft_1="100 m", coil_ohms_1="24", battery_changed_on_1="4/15/2025",
        battery_kind_1="9 V alkaline",
    )  # fmt: skip
    assert "Kept: 11. The water of 1 of 1 stations off central is known." in sheet.messages
    facts = StationFacts.objects.get()
    assert (facts.area_sqft, facts.flow_gpm, facts.plant_factor) == (2400, 18, 0.8)
    assert (facts.efficiency, facts.from_on) == (0.75, None)
    times = Schedule.objects.get()
    assert (times.days, times.starts, times.minutes) == ("Mon Tue Thu Sat", "04:00;05:00", 14)
    assert (times.run_by, times.from_on) == ("battery timer", SINCE)
    lawn.refresh_from_db()
    assert lawn.run_length_ft == pytest.approx(328.084, abs=0.001)
    assert lawn.coil_ohms == 24
    timer = lawn.stopgaps.get().device
    assert timer is not None
    assert (timer.battery_changed_on, timer.battery_kind) == (date(2025, 4, 15), "9 V alkaline")
    assert "not written down before" in facts.history.get().history_change_reason
    # What is known is no longer asked for.
    assert open_page(cast.owner, url(park)).tree.find("input", name=f"flow_gpm-{lawn.ref}") == []


def test_numbers_are_read_in_the_units_of_the_property(cast: Cast, park: Property) -> None:
    park.units = "metric"
    park.save()
    lawn = off(park)
    keep(cast, park, lawn, area_sqft_1="223", flow_gpm_1="18 gpm", run_length_ft_1="100")
    facts = StationFacts.objects.get()
    assert facts.area_sqft == pytest.approx(2400.35, abs=0.01)
    assert facts.flow_gpm == 18
    lawn.refresh_from_db()
    assert lawn.run_length_ft == pytest.approx(328.084, abs=0.001)


@pytest.mark.parametrize(
    ("column", "text", "words"),
    [
        ("flow_gpm", "twelve", "no number that can be read"),
        ("flow_gpm", "12 acres", "no number that can be read"),
        ("flow_gpm", "-1", "or more"),
        ("flow_gpm", "1,250", "two ways"),
        ("plant_factor", "2.01", "from 0 to 2"),
        ("efficiency", "0", "from 0.01 to 1"),
        ("efficiency", "1.01", "from 0.01 to 1"),
        ("minutes", "1441", "from 0 to 1440"),
        ("days", "someday", "These are no days"),
        ("starts", "25:00", "no time of day"),
        ("battery_changed_on", "03/04/2025", "in two ways"),
        ("battery_changed_on", "2025-05", "whole day"),
        ("battery_changed_on", "2025-06-16", "has not come yet"),
        ("days", "Mon", "Without its minutes"),
    ],
)
def test_one_cell_that_cannot_be_keeps_all_from_being_written(
    cast: Cast, park: Property, column: str, text: str, words: str
) -> None:
    first, second = off(park, 1), off(park, 2)
    sheet = keep(cast, park, first, second, **{"area_sqft_1": "2400", f"{column}_2": text})
    assert sheet.status == 422
    assert list(wrong(sheet)) == [column]
    assert words in wrong(sheet)[column]
    assert sheet.value(f"area_sqft-{first.ref}") == "2400"
    assert sheet.value(f"{column}-{second.ref}") == text
    assert not StationFacts.objects.exists()
    assert not Schedule.objects.exists()


@pytest.mark.parametrize(
    ("column", "text", "kept"),
    [
        ("plant_factor", "2", 2.0),
        ("plant_factor", "0", 0.0),
        ("efficiency", "1", 1.0),
        ("efficiency", "0.01", 0.01),
        ("flow_gpm", "0", 0.0),
        ("flow_gpm", "1250", 1250.0),
        ("flow_gpm", "1,25", 1.25),
    ],
)
def test_the_last_value_that_can_be_is_kept(
    cast: Cast, park: Property, column: str, text: str, kept: float
) -> None:
    keep(cast, park, off(park), **{f"{column}_1": text})
    assert getattr(StationFacts.objects.get(), column) == kept


def test_every_wrong_cell_is_named_at_once(cast: Cast, park: Property) -> None:
    sheet = keep(cast, park, off(park), area_sqft_1="big", flow_gpm_1="fast", days_1="someday")
    assert set(wrong(sheet)) == {"area_sqft", "flow_gpm", "days"}
    assert "3 cells cannot be kept yet, so nothing was kept" in sheet.words


def test_refusals_of_two_verbs_are_both_named_and_nothing_is_kept(
    cast: Cast, park: Property
) -> None:
    first, second = off(park, 1), off(park, 2)
    sheet = keep(cast, park, first, second, days_1="Mon", days_2="Tue", flow_gpm_2="12")
    spans = [each.words for each in sheet.tree.find("span") if each.classes == ["error"]]
    assert len([words for words in spans if "Without its minutes" in words]) == 2
    assert not StationFacts.objects.exists()


def test_the_days_of_a_schedule_are_added_to_it(cast: Cast, park: Property) -> None:
    lawn = off(park)
    held = make_water.schedule(lawn, days="", minutes=20)
    keep(cast, park, lawn, days_1="every 3")
    held.refresh_from_db()
    assert (held.days, held.minutes) == ("every 3", 20)


def test_one_timer_of_two_valves_is_asked_of_once(cast: Cast, park: Property) -> None:
    first, second = off(park, 1), off(park, 2)
    shared = first.stopgaps.get().device
    second.stopgaps.update(device=shared)
    sheet = open_page(cast.owner, url(park))
    asked = [
        each
        for each in sheet.tree.find("input")
        if each.attributes.get("name", "").startswith("battery_kind")
    ]
    assert [each.attributes["name"] for each in asked] == [f"battery_kind-{first.ref}"]


def test_the_check_says_what_is_wrong_and_what_would_be_known_and_keeps_nothing(
    cast: Cast, park: Property
) -> None:
    first, second = off(park, 1), off(park, 2)
    for lawn in (first, second):
        make_water.facts(lawn, flow_gpm=None)
        make_water.schedule(lawn, from_on=SINCE)
    sent = {"refs": f"{first.ref} {second.ref}", f"flow_gpm-{first.ref}": "18"}
    answer = signed_in(cast.owner).post(f"{url(park)}check/", sent)
    assert json.loads(answer.content) == {"problems": {}, "filled": 1, "known": 1, "total": 2}
    sent[f"flow_gpm-{second.ref}"] = "fast"
    answer = signed_in(cast.owner).post(f"{url(park)}check/", sent)
    said = json.loads(answer.content)
    assert (said["known"], list(said["problems"])) == (1, [f"flow_gpm-{second.ref}"])
    assert not StationFacts.objects.filter(flow_gpm__isnull=False).exists()
    # What it promised comes true.
    sheet = keep(cast, park, first, second, flow_gpm_1="18")
    assert "The water of 1 of 2 stations" in sheet.messages[0]


def test_minutes_alone_do_not_make_a_meter_known(cast: Cast, park: Property) -> None:
    lawn = off(park)
    make_water.facts(lawn)
    cells = {"refs": lawn.ref, f"minutes-{lawn.ref}": "14"}
    answer = signed_in(cast.owner).post(f"{url(park)}check/", cells)
    assert json.loads(answer.content)["known"] == 0
    cells[f"days-{lawn.ref}"] = "Mon"
    answer = signed_in(cast.owner).post(f"{url(park)}check/", cells)
    assert json.loads(answer.content)["known"] == 1


def test_stations_on_central_are_shown_when_all_are_asked_for(cast: Cast, park: Property) -> None:
    lawn = off(park)
    linked = make.station(controller=lawn.controller, number=7)
    assert f"area_sqft-{linked.ref}" not in open_page(cast.owner, url(park)).html
    everything = open_page(cast.owner, f"{url(park)}?show=all")
    assert f"area_sqft-{linked.ref}" in everything.html
    # When it waters matters where something stands in for central.
    assert f"minutes-{linked.ref}" not in everything.html


def test_a_technician_of_the_place_may_not_and_another_client_finds_nothing(
    cast: Cast, ours: Corner, park: Property
) -> None:
    assert open_page(cast.technician, url(park)).status == 403
    limited = make.user(Role.DISPATCHER, username="lim", property=ours.property)
    assert open_page(limited, url(park)).status == 404
    assert signed_in(limited).post(f"{url(park)}check/", {}).status_code == 404


def test_a_station_of_another_property_is_not_filled_in(
    cast: Cast, ours: Corner, park: Property
) -> None:
    foreign = ours.off_central
    sent = {"refs": foreign.ref, f"coil_ohms-{foreign.ref}": "24"}
    sheet = Sheet(signed_in(cast.owner).post(url(park), sent, follow=True))
    assert sheet.status == 422
    foreign.refresh_from_db()
    assert foreign.coil_ohms is None


def test_the_sheet_asks_as_often_for_thirty_rows_as_for_three(cast: Cast, park: Property) -> None:
    counts = []
    for numbers in (range(1, 4), range(4, 31)):
        for number in numbers:
            off(park, number)
        browser = signed_in(cast.owner)
        with CaptureQueriesContext(connection) as asked:
            assert browser.get(url(park)).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 25
