"""Pages of a suggested rota: the form, who may see it, progress, the plan, and taking it over."""

from datetime import date, time
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from faults.models import Crew, Job
from sites.kernel.engines.roles import Role
from sites.models import Run, RunState, User
from sites.runs.services import execute_run
from tests import make, make_jobs
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

# make.TODAY is a Sunday.
MONDAY = date(2025, 6, 16)
START = "/moves/board/suggest/"


@pytest.fixture
def dispatcher() -> User:
    return make.user(Role.DISPATCHER)


@pytest.fixture
def crew() -> Crew:
    return make_jobs.crew(make.user(Role.TECHNICIAN), name="North")


def form(crew: Crew, **changes: Any) -> dict[str, Any]:
    return {"days": [str(MONDAY)], "crews": [crew.ref], "may_move": "on", **changes}


def suggested(client: Client, crew: Crew) -> str:
    """Start a suggestion by the form, do its work, and return its address."""
    answer = client.post(START, form(crew))
    assert answer.status_code == 302
    # The test's own transaction never ends, so nothing has set it off.
    execute_run(Run.objects.latest("pk").pk)
    return str(answer.headers["Location"])


def test_the_board_leads_there_for_who_plans(dispatcher: User, crew: Crew) -> None:
    assert open_page(dispatcher, "/moves/board/").links["Suggest a rota"] == START
    assert "Suggest a rota" not in open_page(make.user(Role.TECHNICIAN), "/moves/board/").links


def test_nothing_ticked_is_said_and_keeps_the_rest(dispatcher: User, crew: Crew) -> None:
    answer = signed_in(dispatcher).post(START, {"days": [str(MONDAY)]})
    assert answer.status_code == 422
    words = answer.content.decode()
    assert "Tick at least one crew." in words
    assert "Tick at least one day." not in words
    assert f'value="{MONDAY}" id="id_days_1" checked' in words
    assert not Run.objects.exists()


def test_from_the_form_to_the_board(dispatcher: User, crew: Crew) -> None:
    job = make_jobs.job()
    client = signed_in(dispatcher)
    address = suggested(client, crew)
    shown = client.get(address).content.decode()
    assert "Proven: no rota is better by these rules." in shown
    assert "from the tray" in shown
    answer = client.post(f"{address}take/", {"job": [job.ref]}, follow=True)
    assert "1 job has its crew, day and time." in answer.content.decode()
    job.refresh_from_db()
    assert (job.crew, job.day, job.starts_at) == (crew, MONDAY, time(7, 20))
    # The same again: it has changed since, by that very step.
    again = client.post(f"{address}take/", {"job": [job.ref]}, follow=True).content.decode()
    assert "It has changed since this was planned." in again


def test_what_overtime_costs_is_for_those_who_set_crews_up(dispatcher: User, crew: Crew) -> None:
    crew.overtime_minutes, crew.costs_currency = 60, "USD"
    crew.hour_costs, crew.overtime_hour_costs = Decimal(40), Decimal(60)
    crew.save()
    # The drives take 20 minutes each way.
    make_jobs.job(expected_minutes=510)
    other = make.user(Role.WATER_MANAGER)
    words = {}
    for user in (dispatcher, other):
        client = signed_in(user)
        words[user] = client.get(suggested(client, crew)).content.decode()
        assert "minutes of overtime" in words[user]
        assert "Minutes of overtime" in words[user]
    assert " USD." in words[dispatcher]
    assert "What the overtime costs" in words[dispatcher]
    assert "USD" not in words[other]
    assert "What the overtime costs" not in words[other]


def test_nothing_ticked_takes_nothing(dispatcher: User, crew: Crew) -> None:
    make_jobs.job()
    client = signed_in(dispatcher)
    answer = client.post(f"{suggested(client, crew)}take/", {}, follow=True)
    assert "Tick at least one job" in answer.content.decode()
    assert not Job.objects.filter(crew=crew).exists()


def test_while_it_is_under_way_it_can_be_stopped(dispatcher: User, crew: Crew) -> None:
    client = signed_in(dispatcher)
    address = str(client.post(START, form(crew)).headers["Location"])
    assert "Looking for the best rota" in client.get(address).content.decode()
    assert "HX-Refresh" not in client.get(f"{address}progress/").headers
    stopped = client.post(f"{address}stop/", follow=True).content.decode()
    assert "Stopped. Nothing was moved." in stopped
    assert Run.objects.get().state == RunState.CANCELLED
    assert client.get(f"{address}progress/").headers["HX-Refresh"] == "true"
    refused = client.post(f"{address}take/", {"job": ["x"]}, follow=True)
    assert "Tick at least one job" in refused.content.decode()


def test_a_plan_without_anybody_says_what_to_do(dispatcher: User) -> None:
    nobody = make_jobs.crew(name="Empty")
    client = signed_in(dispatcher)
    shown = client.get(suggested(client, nobody)).content.decode()
    assert "None of these crews works on these days" in shown
    assert "Suggest again" in shown


def test_it_is_seen_by_the_user_who_had_it_made(dispatcher: User, crew: Crew) -> None:
    address = suggested(signed_in(dispatcher), crew)
    other = signed_in(make.user(Role.DISPATCHER))
    for page in ("", "progress/"):
        assert other.get(f"{address}{page}").status_code == 404
    for page in ("take/", "stop/"):
        assert other.post(f"{address}{page}").status_code == 404
    # Nor is another kind of run one of these.
    Run.objects.update(service="load upload")
    assert signed_in(dispatcher).get(address).status_code == 404
