"""What programs send goes through the verbs of the pages, and is taken once."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import InterfaceError, OperationalError
from django.utils import timezone

from faults.models import Fault, OperatorAnswer, Reading, ReadingKind
from faults.readings.forms.meter import OPEN_OHMS
from faults.readings.forms.readings import BY_STATION
from reports.api.views.sent import KindIn
from sites.kernel.engines.roles import Role
from sites.models import ClimateRow, Schedule, Station, User
from tests import make, make_notices
from tests.make_tokens import ask, send, token

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return make.user(Role.OWNER)


@pytest.fixture
def secret(owner: User) -> str:
    return token(owner)


@pytest.fixture
def station() -> Station:
    return make.station(controller=make.controller(property=make.place(code="ELM"), name="A"))


def test_a_fault_is_reported_with_all_that_was_said(secret: str, station: Station) -> None:
    other = make.station(controller=station.controller)
    said = {
        "stations": [station.ref, other.ref],
        "symptom": "open",
        "summary": "dry since Monday",
        "opens_by_hand": "no",
        "ohms": 26.5,
        "caller": "the front desk",
        "order_number": "PO-7",
        "promised_on": timezone.localdate().isoformat(),
        "promised_from": "08:00",
        "promised_until": "10:30",
    }
    answer = send(secret, "/faults", said)
    assert answer.status_code == 201
    fault = Fault.objects.get(ref=answer.json()["ref"])
    assert (fault.symptom, fault.summary, fault.caller, fault.order_number) == (
        "open", "dry since Monday", "the front desk", "PO-7",
    )  # fmt: skip
    assert fault.promised_hours() == "08:00–10:30"
    # As on the page: a valve that does not open by hand is not the wire's fault.
    assert fault.cause_side == "valve or water"
    assert {row.station_id for row in fault.stations.all()} == {station.pk, other.pk}
    assert Reading.objects.get().value == 26.5
    shown = ask(secret, f"/faults/{fault.ref}").json()
    assert [each["station_ref"] for each in shown["stations"]] == [station.ref, other.ref]


def test_the_other_station_that_comes_on_is_named_and_sent(secret: str, station: Station) -> None:
    other = make.station(controller=station.controller, number=31)
    said = {"stations": [station.ref], "symptom": "runs with another", "runs_with": "A:31"}
    answer = send(secret, "/faults", said)
    fault = Fault.objects.get(ref=answer.json()["ref"])
    assert fault.runs_with == other
    assert ask(secret, f"/faults/{fault.ref}").json()["runs_with"] == "A:31"
    again = send(secret, "/faults", {**said, "stations": [other.ref], "runs_with": "A:77"})
    assert (again.status_code, again.json()["errors"][0]["field"]) == (422, "runs_with")


def test_a_refused_report_says_why_and_writes_nothing(secret: str, station: Station) -> None:
    tomorrow = (timezone.localdate() + timedelta(days=2)).isoformat()
    answer = send(secret, "/faults", {"stations": [station.ref], "reported_on": tomorrow})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["field"] == "reported_on"
    answer = send(secret, "/faults", {"stations": [station.ref], "symptom": "sulking"})
    assert answer.status_code == 422
    answer = send(secret, "/faults", {"stations": [station.ref], "colour": "red"})
    assert answer.json()["errors"][0]["field"].endswith("colour")
    elsewhere = make.station()
    answer = send(secret, "/faults", {"stations": [station.ref, elsewhere.ref]})
    assert answer.json()["errors"][0]["field"] == "stations"
    assert Fault.objects.count() == 0


def test_a_station_of_another_client_is_not_there(station: Station) -> None:
    ours = make.place()
    secret = token(make.user(Role.CLIENT, client=ours.client))
    assert send(secret, "/faults", {"stations": [station.ref]}).status_code == 404
    assert Fault.objects.count() == 0


def test_the_same_request_again_is_taken_once(secret: str, station: Station) -> None:
    body = {"stations": [station.ref]}
    first = send(secret, "/faults", body, key="night-1")
    again = send(secret, "/faults", body, key="night-1")
    assert (first.status_code, again.status_code) == (201, 200)
    assert again.json() == first.json()
    assert Fault.objects.count() == 1


@pytest.mark.parametrize("lost", [OperationalError, InterfaceError])
def test_while_the_database_is_away_a_program_is_told_to_send_again(
    secret: str, station: Station, monkeypatch: pytest.MonkeyPatch, lost: type[Exception]
) -> None:
    def gone(**_how: Any) -> None:
        raise lost("the connection is lost")

    body = {"stations": [station.ref]}
    with monkeypatch.context() as patched:
        patched.setattr("reports.api.services.sending.report_fault", gone)
        answer = send(secret, "/faults", body, key="night-1")
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "30")
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert send(secret, "/faults", body, key="night-1").status_code == 201
    assert Fault.objects.count() == 1


def test_a_key_belongs_to_one_request_of_one_token(
    owner: User, secret: str, station: Station
) -> None:
    second = make.station()
    send(secret, "/faults", {"stations": [station.ref]}, key="night-1")
    other = send(secret, "/faults", {"stations": [second.ref]}, key="night-1")
    assert other.status_code == 422
    assert other.json()["errors"][0]["field"] == "Idempotency-Key"
    elsewhere = send(token(owner), "/faults", {"stations": [second.ref]}, key="night-1")
    assert elsewhere.status_code == 201


def test_a_refused_request_may_be_mended_under_its_key(secret: str, station: Station) -> None:
    fault = make.fault(station)
    body = {"stations": [station.ref]}
    assert send(secret, "/faults", body, key="night-1").status_code == 422
    fault.stations.all().delete()
    assert send(secret, "/faults", body, key="night-1").status_code == 201


def test_readings_are_read_as_a_meter_shows_them(secret: str, station: Station) -> None:
    for value, kept in ((26.4, 26.4), ("1.2k", 1200.0), ("OL", OPEN_OHMS)):
        body = {"station": station.ref, "kind": "ohms", "value": value}
        answer = send(secret, "/readings", body)
        assert answer.status_code == 201, answer.json()
        assert Reading.objects.get(pk=answer.json()["ref"]).value == kept
    live = {"station": station.ref, "kind": "ohms", "value": 26, "is_loaded": True}
    assert send(secret, "/readings", live).json()["errors"][0]["field"] == "is_loaded"
    wrong = {"station": station.ref, "kind": "volts", "value": "1,200"}
    assert send(secret, "/readings", wrong).json()["errors"][0]["field"] == "value"
    assert Reading.objects.count() == 3


def test_the_kinds_of_reading_are_those_of_the_page() -> None:
    assert set(KindIn.__args__) == {kind.value for kind in (*BY_STATION, ReadingKind.LOOP)}


def listed(station: Station, *, enabled: bool | None) -> dict[str, Any]:
    return {
        "property_code": station.controller.property.code,
        "controller": station.controller.name,
        "station_number": station.number,
        "enabled": enabled,
    }


def test_centrals_list_comes_back_as_differences(secret: str, station: Station) -> None:
    off = make.station(controller=station.controller)
    make.stopgap(station=off, on=date(2025, 2, 1))
    body = {"stations": [listed(station, enabled=True), listed(off, enabled=True)]}
    answer = send(secret, "/central-lists", body)
    assert (answer.status_code, answer.json()["counts"]) == (201, {"listed": 2, "differences": 1})
    (line,) = ask(secret, f"/central-lists/{answer.json()['ref']}/differences").json()
    assert (line["station_ref"], line["is_decided"]) == (off.ref, False)


def test_an_operators_answer_reaches_the_line_of_the_ticket(secret: str) -> None:
    notice = make_notices.notice()
    row = OperatorAnswer.objects.create(notice=notice, operator="City Gas")
    other = OperatorAnswer.objects.create(notice=notice, operator="Valley Power")
    day = notice.given_at.date().isoformat()
    said = {"operator": " city  gas", "state": "marked", "answered_on": day}
    answer = send(secret, f"/notices/{notice.ref}/answers", {"answers": [said]})
    assert (answer.status_code, answer.json()["counts"]) == (201, {"changed": 1})
    row.refresh_from_db()
    other.refresh_from_db()
    assert (row.state, other.state) == ("marked", "waiting")
    assert notice.operators.count() == 2


def test_a_schedule_follows_the_one_of_the_same_hand(secret: str, station: Station) -> None:
    timer = Schedule.objects.create(
        station=station, from_on=date(2025, 3, 1), run_by="battery timer", minutes=10
    )
    body = {"from_on": "2025-05-01", "run_by": "central", "minutes": 20, "days": "Mon Wed Fri"}
    assert send(secret, f"/stations/{station.ref}/schedule", body).status_code == 201
    body |= {"from_on": "2025-06-01", "minutes": 15.5, "starts": "4:30"}
    assert send(secret, f"/stations/{station.ref}/schedule", body).status_code == 201
    timer.refresh_from_db()
    assert timer.to_on is None
    rows = station.schedules.filter(run_by="central").order_by("from_on")
    assert [(row.from_on.month, row.minutes, row.to_on) for row in rows] == [
        (5, 20.0, date(2025, 6, 1)),
        (6, 15.5, None),
    ]
    wrong = send(secret, f"/stations/{station.ref}/schedule", {**body, "days": "Someday"})
    assert (wrong.status_code, wrong.json()["errors"][0]["field"]) == (422, "days")


def test_weather_becomes_a_climate_table(secret: str) -> None:
    days = [
        {"date": "2025-07-06", "tmin": 12.3, "tmax": 21.5, "rhmax": 84, "rhmin": 63, "rs": 22.07,
         "wind": 2.078, "rain": 1.5},
        {"date": "2025-07-07", "tmin": 12.0, "tmax": 21.0},
        {"date": "2025-07-08"},
    ]  # fmt: skip
    body = {"table": "valley", "source": "own station", "latitude": 50.8, "elevation_m": 100,
            "days": days}  # fmt: skip
    answer = send(secret, "/weather", body)
    assert answer.json()["counts"] == {"full": 1, "estimated": 1, "missing": 1, "left_out": 0}
    row = ClimateRow.objects.get(table="valley", day=6)
    # FAO Irrigation and Drainage Paper 56, example 18: 3.9 mm a day.
    assert row.eto_in * 25.4 == pytest.approx(3.9, abs=0.05)


def test_a_table_for_all_needs_a_role_for_all(station: Station) -> None:
    manager = make.user(Role.WATER_MANAGER, property=station.controller.property)
    body = {"table": "valley", "source": "own", "latitude": 50, "elevation_m": 100,
            "days": [{"date": "2025-07-06"}]}  # fmt: skip
    assert send(token(manager), "/weather", body).status_code == 403
    limited = token(make.user(Role.OWNER), place=station.controller.property)
    assert send(limited, "/weather", body).status_code == 403
    assert ClimateRow.objects.count() == 0


def test_what_a_program_changed_bears_its_users_name(owner: User, station: Station) -> None:
    send(token(owner), "/faults", {"stations": [station.ref]})
    record: Any = Fault.history.get()
    assert record.history_user == owner
