"""What staying off central control costs: on the first page, by property, by station, in files."""

import csv
import io
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

import pytest
from openpyxl import load_workbook

from sites.kernel.engines.roles import Role
from sites.models import Meter, Property, Station, User
from tests import make, make_water
from tests.web.pages import Sheet, open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("late_autumn")]


@dataclass(frozen=True)
class Lawns:
    """Two lawns off central: all is known of the first, the second lacks its flow."""

    place: Property
    known: Station
    unknown: Station


@pytest.fixture
def lawns() -> Lawns:
    """One property, its climate and its tariff."""
    make_water.climate(rain_in=make_water.RAIN_OF_THE_LAWN)
    place = make.place(code="Lawn Park", climate_table="Valley")
    make_water.tariff(place, labour_rate="60")
    known = make_water.lawn(place)
    unknown = make_water.lawn(place, on=date(2024, 3, 1), facts={"flow_gpm": None})
    schedule = unknown.schedules.get()
    schedule.from_on = date(2024, 1, 1)
    schedule.save()
    return Lawns(place, known, unknown)


def meter(station: Station) -> Meter:
    """Return the meter of a station that is off."""
    found: Meter = Meter.objects.get(spell__station=station, spell__to_on=None)
    return found


def shown(gallons: float | None) -> str:
    """Write gallons as a page does."""
    assert gallons is not None
    return f"{gallons:,.0f} gal"


def list_row(sheet: Sheet, station: Station) -> list[str]:
    """Return the row of a station in the list of the first page."""
    return next(row for row in sheet.rows("list-title") if row[0] == str(station))


def test_a_missing_flow_is_named_counted_and_one_click_away(lawns: Lawns, manager: User) -> None:
    sheet = open_page(manager, "/")
    assert list_row(sheet, lawns.unknown)[7:9] == ["not known flow", "not known"]
    assert list_row(sheet, lawns.known)[7] == shown(meter(lawns.known).excess_gal)
    assert f"≥ {shown(meter(lawns.known).excess_gal)}" in sheet.panel("costs")
    assert "no base for billing" in sheet.panel("costs")
    missing = open_page(manager, sheet.links["1 station"])
    ((station, _place, _since, months, lacks),) = missing.rows()
    assert (station, lacks) == (str(lawns.unknown), f"flow {lawns.unknown}")
    assert months == "33 / 33"
    assert missing.links[f"flow {lawns.unknown}"] == f"/stations/{lawns.unknown.ref}/facts/"


def test_entering_the_flow_makes_it_a_number_and_changes_total_and_order(
    lawns: Lawns, manager: User
) -> None:
    by_cost = [row[0] for row in open_page(manager, "/?sort=-cost").rows("list-title")]
    assert by_cost == [str(lawns.known), str(lawns.unknown)]
    url = f"/stations/{lawns.unknown.ref}/facts/"
    form = open_page(manager, url)
    values = {name: form.value(name) for name in ("area_sqft", "plant_factor", "efficiency")}
    answer = send(
        manager, url, what="wrong", why="never measured", flow_gpm="18", plant_kind="", **values
    )
    assert answer.messages
    sheet = open_page(manager, "/?sort=-cost")
    assert [row[0] for row in sheet.rows("list-title")] == by_cost[::-1]
    total = (meter(lawns.known).excess_gal or 0) + (meter(lawns.unknown).excess_gal or 0)
    assert f"Since fitted {shown(total)}" in sheet.panel("costs")
    assert "≥" not in sheet.panel("costs")


def body(user: User, url: str) -> bytes:
    """Return a whole file."""
    response: Any = signed_in(user).get(url)
    assert response.headers["Content-Disposition"].startswith("attachment")
    return b"".join(response.streaming_content)


def workbook(user: User, url: str) -> list[list[Any]]:
    """Return the rows of a workbook, headings first."""
    book = load_workbook(io.BytesIO(body(user, url)))
    return [list(row) for row in book.worksheets[0].iter_rows(values_only=True)]


def test_the_workbook_of_the_first_page_holds_the_same_figures(lawns: Lawns, manager: User) -> None:
    headings, *rows = workbook(manager, "/?sort=-cost&export=xlsx")
    first = dict(zip(headings, rows[0], strict=True))
    known = meter(lawns.known)
    assert first["Excess water (gal)"] == pytest.approx(known.excess_gal, abs=0.005)
    assert first["It costs"] == pytest.approx(known.cost, abs=0.005)
    second = dict(zip(headings, rows[1], strict=True))
    assert (second["Excess water (gal)"], second["Water: not known"]) == (None, "flow")


@pytest.mark.parametrize("role", [Role.TECHNICIAN, Role.TRACER])
def test_who_sees_no_prices_sees_no_cost_and_no_order_by_it(lawns: Lawns, role: Role) -> None:
    user = make.user(role, property=lawns.place)
    sheet = open_page(user, "/?sort=-cost")
    assert "It costs" not in sheet.words
    assert "·" not in sheet.panel("costs").replace("By property ·", "")
    page = open_page(user, f"/stations/{lawns.known.ref}/water/").words
    assert f"{meter(lawns.known).cost:,.2f}" not in page


def test_a_property_sums_what_is_known_and_says_of_how_many_it_is_not(
    lawns: Lawns, manager: User
) -> None:
    (row,) = open_page(manager, "/water/").rows("list-title")
    known = meter(lawns.known)
    assert row[:3] == ["Lawn Park", "2", f"≥ {shown(known.excess_gal)}"]
    assert row[-1] == "1"
    headings, found = workbook(manager, "/water/?export=xlsx")
    told = dict(zip(headings, found, strict=True))
    assert told["Excess water (gal)"] == pytest.approx(known.excess_gal, abs=0.005)
    assert told["It costs"] == pytest.approx(known.cost, abs=0.005)
    assert told["Stations not known"] == 1


def test_the_propertys_page_has_its_months_as_a_table_and_as_files(
    lawns: Lawns, manager: User
) -> None:
    url = f"/properties/{lawns.place.ref}/water/"
    sheet = open_page(manager, url)
    assert sheet.panels["picture"].find("h2")[0].words.startswith("More than needed in")
    lines = csv.reader(io.StringIO(body(manager, f"{url}?export=csv").decode("utf-8-sig")))
    rows = list(lines)[1:]
    assert len(rows) == len(sheet.rows("picture")) == 33
    months = {row[1]: row for row in rows}
    assert float(months["2025-10"][4]) == pytest.approx(7186.75, abs=0.01)
    assert (months["2024-05"][5], months["2024-05"][7]) == ("≥", "1")
    assert months["2025-10"][7] in ("0", "1")


def test_a_station_page_lists_what_was_taken_for_granted(lawns: Lawns, manager: User) -> None:
    sheet = open_page(manager, f"/stations/{lawns.known.ref}/water/")
    assert "Climate table: Valley" in sheet.panel("assumed")
    assert "long-term means" in sheet.panel("assumed")
    assert "no rain stop" in sheet.panel("assumed")
    assert "Counted up to 2026-11-19" in sheet.panel("spell-1")
    assert "no base for billing" in sheet.panel("spell-1")


@pytest.mark.parametrize("day", ["soon", "2026-11-20", "2040-01-01"])
def test_a_day_that_cannot_be_looked_ahead_to_is_said_to_be_so(
    lawns: Lawns, manager: User, day: str
) -> None:
    sheet = open_page(manager, f"/stations/{lawns.known.ref}/water/?until={day}")
    assert sheet.status == 200
    assert "Write the day" in sheet.words or "Choose a day after today" in sheet.words


def test_looking_ahead_is_what_the_meter_will_say_on_that_day(lawns: Lawns, manager: User) -> None:
    from sites.water.services.ledger import rebuild_water

    page = open_page(manager, f"/stations/{lawns.known.ref}/water/?until=2027-05-01").words
    rebuild_water([lawns.known.pk], at=datetime(2027, 5, 1, 12, tzinfo=UTC))
    ahead = meter(lawns.known)
    assert f"{shown(ahead.excess_gal)} of excess by 2027-05-01" in page
    assert f"{ahead.cost:,.2f}" in page


def test_linked_neighbours_of_the_same_kind_stand_beside(lawns: Lawns, manager: User) -> None:
    lawns.known.facts.update(plant_kind="turf")
    for minutes in (7, 21):
        linked = make.station(controller=lawns.known.controller)
        make_water.facts(linked, plant_kind="turf", area_sqft=1200, flow_gpm=9)
        make_water.schedule(linked, run_by="central", minutes=minutes)
    sheet = open_page(manager, f"/stations/{lawns.known.ref}/water/")
    # Both together give as much depth as the lawn: 18 gpm on 2,400 sq ft, 14 minutes in the mean.
    assert "0 gal more than 2 linked neighbours" in sheet.panel("spell-1")
    schedule = lawns.known.schedules.get()
    schedule.minutes = 28
    schedule.save()
    twice = open_page(manager, f"/stations/{lawns.known.ref}/water/")
    more = shown((meter(lawns.known).applied_gal or 0) / 2)
    assert f"{more} more than 2 linked neighbours" in twice.panel("spell-1")


def test_battery_visits_are_counted_by_the_device_and_shared_by_its_valves(
    lawns: Lawns, manager: User
) -> None:
    timer = make.device(property=lawns.place, name="T-9")
    for station in (lawns.known, lawns.unknown):
        station.stopgaps.update(device=timer)
    for day in (date(2025, 6, 1), date(2026, 1, 5), date(2026, 7, 5)):
        timer.battery_changed_on = day
        timer.save()
    spell = open_page(manager, f"/stations/{lawns.known.ref}/water/").panel("spell-1")
    assert "≥ 2 battery visits to T-9 (one set for 2 valves): ≥ 40.00 of labour" in spell
    assert "≥ 20.00 for this station" in spell
    assert "Earlier changes are not written down." in spell


def test_a_valve_stuck_open_is_told_apart(lawns: Lawns, manager: User) -> None:
    url = f"/stations/{lawns.known.ref}/stuck-open/"
    before = meter(lawns.known).excess_gal
    assert send(manager, url, on="2026-08-01", hours="8", notes="").messages
    sheet = open_page(manager, f"/stations/{lawns.known.ref}/water/")
    assert "2026-08-01: 8 hours, 8,640 gal" in sheet.panel("stuck").replace("8.0 hours", "8 hours")
    assert meter(lawns.known).excess_gal == before


def test_days_on_which_nothing_ran_are_noted_changed_and_taken_back(
    lawns: Lawns, manager: User
) -> None:
    url = f"/stations/{lawns.known.ref}/outage/"
    before = meter(lawns.known).applied_gal
    week = {"kind": "dead battery", "from_on": "2025-08-01", "last_on": "2025-08-07", "notes": ""}
    assert send(manager, url, **week).messages
    assert meter(lawns.known).applied_gal == (before or 0) - 4 * 756
    wrong = send(manager, url, **{**week, "last_on": "2025-07-01"})
    assert wrong.status == 422
    assert wrong.value("from_on") == "2025-08-01"
    row = lawns.known.outages.get().pk
    assert send(manager, f"{url}take-back/?row={row}", why="it ran").messages
    assert meter(lawns.known).applied_gal == before
    assert open_page(manager, f"{url}?row={row}").status == 404


def test_a_climate_table_is_entered_in_millimetres_and_chosen(manager: User) -> None:
    station = make_water.lawn(make.place(code="Dry Park"))
    place = station.controller.property
    assert meter(station).excess_gal is None
    months = {f"eto_{n}": "100" for n in range(1, 13)} | {f"rain_{n}": "0" for n in range(1, 13)}
    sent = send(manager, "/climate/add/?unit=mm", name="Hills", source="a city's code", **months)
    assert sent.messages
    assert send(manager, f"/properties/{place.ref}/climate/", name="Hills").messages
    assert meter(station).needed_gal is not None
    row = open_page(manager, "/climate/").rows("tables")[0]
    assert row == ["Hills", "12 long-term months", "every year", "a city's code", "1"]
    table = open_page(manager, "/climate/table/?table=Hills")
    assert table.value("eto_7") == "3.937"


def test_a_refused_climate_table_keeps_what_was_typed(manager: User) -> None:
    answer = send(manager, "/climate/add/", name="Hills", source="x", eto_1="52.3")
    assert answer.status == 422
    assert answer.value("eto_1") == "52.3"
    assert "figure of a year" in " ".join(answer.errors)


def test_nobody_off_central_is_said_in_words(manager: User) -> None:
    station = make.station()
    assert "nothing runs away" in open_page(manager, "/water/").words
    place = station.controller.property
    assert "nothing runs away" in open_page(manager, f"/properties/{place.ref}/water/").words
    assert "nothing ran away" in open_page(manager, f"/stations/{station.ref}/water/").words
