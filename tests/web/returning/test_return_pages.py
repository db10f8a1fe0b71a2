"""Pages of what to bring back first: what is asked, the set, its file, sent and taken back."""

from datetime import date
from typing import Any

import pytest
from django.test import Client

from faults.models import Job, JobState
from faults.prices.engines.pricing import Charge
from sites.kernel.engines.roles import Role
from sites.models import Run, RunState, Station, User
from sites.runs.services import execute_run
from tests import make, make_prices, make_water
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

START = "/first/"
ASKED = {
    "hours": "16", "people": "2", "until": "2025-11-01", "by": "money", "place": "",
    "month_worth": "0", "promise_worth": "0", "budget": "",
}  # fmt: skip


@pytest.fixture
def manager() -> User:
    return make.user(Role.WATER_MANAGER)


@pytest.fixture
def lawn() -> Station:
    make_water.climate()
    place = make.place(climate_table="Valley")
    make_water.tariff(place)
    make_prices.price_list({Charge.TRACING: 60})
    return make_water.lawn(place, on=date(2025, 5, 1))


def chosen(client: Client, **changes: Any) -> str:
    """Ask by the form, do its work, and return the address of the answer."""
    answer = client.post(START, ASKED | changes)
    assert answer.status_code == 302, answer.content.decode()
    # The test's own transaction never ends, so nothing has set it off.
    execute_run(Run.objects.latest("pk").pk)
    return str(answer.headers["Location"])


def test_home_leads_there_for_who_sees_prices(manager: User, lawn: Station) -> None:
    assert open_page(manager, "/").links["Which to bring back first"] == START
    assert "Which to bring back first" not in open_page(make.user(Role.TECHNICIAN), "/").links


def test_from_hours_to_the_tray_and_back(manager: User, lawn: Station) -> None:
    client = signed_in(manager)
    address = chosen(client)
    shown = client.get(address).content.decode()
    assert "Bring this one station back first" in shown
    assert "No other set in these hours is worth more: all were ruled out." in shown
    answer = client.post(f"{address}send/", {"station": [lawn.ref]}, follow=True)
    assert "1 visit lies in the tray of Crews and days." in answer.content.decode()
    job = Job.objects.get()
    assert list(job.stations.all()) == [lawn]
    again = client.post(f"{address}send/", {"station": [lawn.ref]}, follow=True).content.decode()
    assert "Planned already, so not planned again" in again
    assert "Take back the one visit that was sent" in again
    back = client.post(f"{address}take-back/", follow=True).content.decode()
    assert "1 visit was withdrawn." in back
    job.refresh_from_db()
    assert job.state == JobState.WITHDRAWN
    assert "Take back the one visit" not in back


def test_nothing_ticked_sends_nothing(manager: User, lawn: Station) -> None:
    client = signed_in(manager)
    answer = client.post(f"{chosen(client)}send/", {}, follow=True).content.decode()
    assert "Tick at least one station" in answer
    assert not Job.objects.exists()


def test_the_file_holds_the_same_rows(manager: User, lawn: Station) -> None:
    client = signed_in(manager)
    address = chosen(client)
    file = b"".join(client.get(f"{address}?export=csv"))  # type: ignore[arg-type]
    lines = file.decode("utf-8-sig").splitlines()
    assert lines[0].startswith("List,Station,Property")
    assert len(lines) == 2
    assert str(lawn) in lines[1]
    worth = Run.objects.latest("pk").result["worth"]
    assert f",{worth:.2f},".rstrip("0").rstrip(",").rstrip("0") in lines[1]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"until": "2025-06-15"}, "Give a day to come."),
        ({"until": "2029-01-01"}, "Give a day within three years."),
        ({"hours": "0"}, "0.25"),
        ({"hours": ""}, "required"),
        ({"budget": "-1"}, "0"),
    ],
)
def test_a_question_without_sense_keeps_what_was_typed(
    manager: User, lawn: Station, changes: dict[str, str], words: str
) -> None:
    answer = signed_in(manager).post(START, ASKED | {"people": "3"} | changes)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert 'name="people" value="3"' in answer.content.decode()
    assert not Run.objects.exists()


def test_the_day_after_today_is_the_first_that_counts(manager: User, lawn: Station) -> None:
    assert chosen(signed_in(manager), until="2025-06-16")


def test_what_the_company_sets_stands_in_the_next_form(manager: User, lawn: Station) -> None:
    client = signed_in(manager)
    chosen(client, month_worth="12.5", people="3")
    page = client.get(START).content.decode()
    assert 'name="month_worth" value="12.5"' in page
    assert 'name="people" value="3"' in page
    assert "The last answer" in page


def test_an_answer_belongs_to_who_asked(manager: User, lawn: Station) -> None:
    address = chosen(signed_in(manager))
    other = signed_in(make.user(Role.OWNER))
    assert other.get(address).status_code == 404
    assert other.post(f"{address}send/", {"station": [lawn.ref]}).status_code == 404
    assert signed_in(make.user(Role.TECHNICIAN)).get(START).status_code == 403


def test_what_is_under_way_or_failed_says_so(manager: User, lawn: Station) -> None:
    client = signed_in(manager)
    address = str(client.post(START, ASKED).headers["Location"])
    assert "Choosing the stations" in client.get(address).content.decode()
    run = Run.objects.latest("pk")
    client.post(f"{address}stop/")
    run.refresh_from_db()
    assert run.state == RunState.CANCELLED
    assert "Stopped. Nothing was planned." in client.get(address).content.decode()
    assert client.get(f"{address}progress/").headers["HX-Refresh"] == "true"
