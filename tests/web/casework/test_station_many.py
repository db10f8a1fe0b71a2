"""Ticks in the lists of stations, of stopgaps and of what is off central control."""

from datetime import timedelta
from typing import Any

import pytest

from faults.models import Fault, Job, JobState
from sites.models import Station, Stopgap
from tests import make
from tests.cast import Cast, Corner
from tests.make import TODAY
from tests.web.pages import Sheet, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

LISTS = {"/stations/": "/stations/many/", "/stopgaps/": "/stopgaps/many/", "/": "/off/many/"}


def press(user: Any, page: str, act: str, *rows: Any, **more: Any) -> Sheet:
    """Tick these rows of a list and press the button."""
    browser = signed_in(user)
    once = Sheet(browser.get(page)).value("once")
    refs = [row.ref for row in rows]
    sent = {"once": once, "back": page, "act": act, "rows": refs, "sure": "1", **more}
    return Sheet(browser.post(LISTS[page], sent, follow=True))


def take_back(user: Any, sheet: Sheet) -> Sheet:
    """Press "Take back" above the list."""
    (form,) = [e for e in sheet.tree.find("form") if "take-back" in e.attributes.get("action", "")]
    return Sheet(signed_in(user).post(form.attributes["action"], follow=True))


@pytest.fixture
def off(ours: Corner) -> list[Station]:
    """Two more stations on timers, without a fault."""
    stations = [make.station(controller=ours.controller) for _ in range(2)]
    for station in stations:
        make.stopgap(station=station)
    return stations


REPORTED = {"symptom": "open", "reported_on": TODAY.isoformat(), "summary": "trench",
            "opens_by_hand": "not tried", "others_run": "not tried"}  # fmt: skip


@pytest.mark.parametrize(("page", "act"), [("/stations/", "station_report"), ("/", "off_report")])
def test_a_fault_of_its_own_is_reported_on_each_and_withdrawn(
    cast: Cast, ours: Corner, off: list[Station], page: str, act: str
) -> None:
    before = Fault.objects.count()
    sheet = press(cast.dispatcher, page, act, *off, ours.off_central, **REPORTED)
    said = sheet.panel("acted")
    assert "2 faults reported. 1 refused." in said
    assert "has an open fault already" in said
    made = Fault.objects.order_by("-pk")[:2]
    assert Fault.objects.count() == before + 2
    assert {each.stations.get().station for each in made} == set(off)
    assert {(each.symptom, each.summary) for each in made} == {("open", "trench")}
    assert "2 taken back." in take_back(cast.dispatcher, sheet).panel("acted")
    assert {each.stations.get().stage for each in made} == {"withdrawn"}
    assert ours.fault.stations.get().stage != "withdrawn"


def test_a_visit_is_planned_for_the_fault_of_each_and_withdrawn(
    cast: Cast, ours: Corner, off: list[Station]
) -> None:
    both = [ours.off_central, *off]
    sheet = press(cast.dispatcher, "/", "off_plan", *both, priority="1", due_on="")
    said = sheet.panel("acted")
    assert "1 visit planned. 2 refused." in said
    assert "No fault is open on it" in said
    assert Job.objects.get().fault == ours.fault
    take_back(cast.dispatcher, sheet)
    assert Job.objects.get().state == JobState.WITHDRAWN


def test_ticked_stopgaps_end_on_a_day_and_stand_again(
    cast: Cast, ours: Corner, off: list[Station]
) -> None:
    one, other = (station.stopgaps.get() for station in off)
    standing = ours.off_central.stopgaps.get()
    ended = make.stopgap(station=make.station(controller=ours.controller), removed_on=TODAY)
    sent = {"on": TODAY.isoformat(), "why": "mended"}
    sheet = press(cast.technician, "/stopgaps/", "stopgap_end", one, other, ended, **sent)
    said = sheet.panel("acted")
    assert "2 stopgaps ended. 1 refused." in said
    rows = Stopgap.objects.filter(pk__in=[one.pk, other.pk])
    assert {(row.removed_on, row.end_reason) for row in rows} == {(TODAY, "mended")}
    standing.refresh_from_db()
    assert standing.removed_on is None
    assert "2 taken back." in take_back(cast.technician, sheet).panel("acted")
    assert {row.removed_on for row in rows.all()} == {None}


def test_a_timer_of_two_valves_ends_on_the_ticked_one_alone(cast: Cast, ours: Corner) -> None:
    stations = [make.station(controller=ours.controller) for _ in range(2)]
    device = make.device(property=ours.property)
    one, other = (make.stopgap(station=each, device=device) for each in stations)
    sent = {"on": TODAY.isoformat(), "why": "mended"}
    press(cast.technician, "/stopgaps/", "stopgap_end", one, **sent)
    one.refresh_from_db()
    other.refresh_from_db()
    assert (one.removed_on, other.removed_on) == (TODAY, None)


@pytest.mark.parametrize(
    ("page", "look"),
    [("/stations/", "station_csv"), ("/stopgaps/", "stopgap_csv"), ("/", "off_csv")],
)
def test_a_file_holds_the_ticked_rows_alone(
    cast: Cast, ours: Corner, off: list[Station], page: str, look: str
) -> None:
    row: Any = off[0].stopgaps.get() if page == "/stopgaps/" else off[0]
    browser = signed_in(cast.dispatcher)
    answer: Any = browser.post(LISTS[page], {"act": look, "rows": [row.ref]}, follow=True)
    sent = b"".join(answer.streaming_content)
    lines = sent.decode("utf-8-sig").strip().splitlines()
    assert len(lines) == 2
    assert str(off[0].number) in lines[1]


def test_all_that_match_a_filter_are_taken_and_no_others(
    cast: Cast, ours: Corner, off: list[Station]
) -> None:
    number = off[0].number
    query = {"all": "1", "query": f"q={ours.controller.name}:{number}"}
    press(cast.dispatcher, "/stations/", "station_report", **REPORTED, **query)
    assert Fault.objects.filter(stations__station=off[0]).count() == 1
    assert Fault.objects.filter(stations__station=off[1]).count() == 0


def test_a_client_may_report_but_not_plan_or_end(cast: Cast, ours: Corner) -> None:
    words = signed_in(cast.client_user).get("/stations/").content.decode()
    assert 'value="station_report"' in words
    assert 'value="station_plan"' not in words
    press(cast.client_user, "/stations/", "station_plan", ours.off_central, priority="1")
    assert not Job.objects.exists()
    technician = signed_in(cast.technician)
    assert 'value="stopgap_end"' in technician.get("/stopgaps/").content.decode()
    before = technician.get(f"/stopgaps/?day={TODAY - timedelta(days=1)}")
    assert 'value="stopgap_end"' not in before.content.decode()
