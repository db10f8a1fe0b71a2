"""Job sheets over the web: what a phone is given, what it sends, and what the office sees of it."""

import json
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from faults.models import CrewMember, Job, SheetItem
from sites.models import User
from tests import make, make_jobs, make_notices
from tests.cast import Cast, Corner
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db

ITEMS = "/sheet/items/"
OF_A_FAULT = "before there arrive search found digs mended proven returned finish"
# Session, user, grants, the job, the sheets that the phone keeps; the fault's stations, breaks and
# yes; readiness; the skill of the crew; the wire to search along and its history; legs and wires;
# what was sent before; earlier visits, their people and the limit; who may start; tickets, rules;
# who is in the crew, minutes entered of people;
# of what is there: contacts, hours, days shut, controllers, coils, volts, notices, breaks, boxes;
# photos of visits.
QUERIES = 62


@pytest.fixture
def tessa(cast: Cast) -> User:
    """The technician, in a crew."""
    make_jobs.crew(cast.technician, name="North")
    return cast.technician


def job_on(tessa: User, corner: Corner, days: int = 0, **given: Any) -> Job:
    """Plan a visit of her crew so many days from now."""
    crew = make_jobs.Crew.objects.get(name="North")
    day = timezone.localdate() + timedelta(days=days)
    return make_jobs.job(**{"fault": corner.fault, "crew": crew, "day": day, **given})


def batch(user: User, *things: dict[str, Any], **given: Any) -> dict[str, Any]:
    """Return a batch as her phone sends it."""
    now = timezone.now().isoformat()
    return {"user": f"u{user.pk}", "now": now, "items": list(things), **given}


def start_of(job: Job) -> dict[str, Any]:
    """Return the thing that starts a visit."""
    now = timezone.now().isoformat()
    return {"id": str(uuid4()), "kind": "start", "job": job.ref, "at": now, "body": {}}


def post(browser: Client, body: Any) -> Any:
    """Send a body as it is, or as JSON."""
    text = body if isinstance(body, str) else json.dumps(body)
    return browser.post(ITEMS, text, content_type="application/json")


def addresses_kept(user: User) -> list[str]:
    """Return the sheets that her phone is to store."""
    data = signed_in(user).get("/sheets/").context["data"]
    return [sheet for sheet, _data in data["sheets"]]


def test_a_phone_keeps_the_visits_of_its_crew_today_and_on_its_next_three_days(
    tessa: User, ours: Corner, theirs: Corner
) -> None:
    today, tomorrow = job_on(tessa, ours), job_on(tessa, theirs, days=1)
    second, third = job_on(tessa, ours, days=4), job_on(tessa, ours, days=9)
    job_on(tessa, ours, days=10)
    job_on(tessa, ours, days=-1)
    job_on(tessa, ours, state="withdrawn")
    make_jobs.job(fault=ours.fault, crew=make_jobs.crew(), day=timezone.localdate())
    going_on = job_on(tessa, ours, days=-3, state="started", started_at=timezone.now())
    kept = [f"/jobs/{job.ref}/sheet/" for job in (going_on, today, tomorrow, second, third)]
    assert addresses_kept(tessa) == kept


@pytest.mark.parametrize(("days", "is_kept"), [(14, True), (15, False)])
def test_no_day_farther_ahead_than_a_fortnight_is_kept(
    tessa: User, ours: Corner, days: int, is_kept: bool
) -> None:
    job_on(tessa, ours, days=days)
    assert bool(addresses_kept(tessa)) is is_kept


def test_somebody_in_no_crew_keeps_nothing_and_reads_what_to_expect(cast: Cast) -> None:
    answer = signed_in(cast.dispatcher).get("/sheets/")
    assert answer.context["data"]["sheets"] == []
    assert "no visit on the next days" in answer.content.decode()


def test_nothing_of_another_client_stands_on_a_sheet(
    tessa: User, ours: Corner, theirs: Corner
) -> None:
    job = job_on(tessa, ours)
    job_on(tessa, theirs)
    page = signed_in(tessa).get(f"/jobs/{job.ref}/sheet/").content.decode()
    assert "marigold" in page
    assert "wombat" not in page


def test_a_sheet_says_all_without_its_script(tessa: User, ours: Corner) -> None:
    page = signed_in(tessa).get(f"/jobs/{job_on(tessa, ours).ref}/sheet/").content.decode()
    for words in ("Before you go", "At the controller", "leave it shut", "can only be read"):
        assert words in page


@pytest.mark.parametrize(
    ("kind", "steps"),
    [
        ("locate", OF_A_FAULT),
        ("dig and mend", OF_A_FAULT),
        (
            "return to central",
            "before there arrive search found digs mended proven returned finish",
        ),
        ("station walk", "before there walk finish"),
        ("battery round", "before there batteries finish"),
        ("bring-home round", "before there homes finish"),
    ],
)
def test_each_kind_of_visit_has_its_steps(tessa: User, ours: Corner, kind: str, steps: str) -> None:
    job = job_on(tessa, ours, kind=kind)
    data = signed_in(tessa).get(f"/jobs/{job.ref}/sheet/data/").json()
    assert " ".join(step["id"] for step in data["steps"]) == steps


def test_a_check_up_asks_for_the_ohms_of_each_station(tessa: User, ours: Corner) -> None:
    job = job_on(tessa, ours, kind="wire check-up", fault=None, property=ours.property)
    data = signed_in(tessa).get(f"/jobs/{job.ref}/sheet/data/").json()
    forms = data["steps"][2]["forms"]
    assert [form["kind"] for form in forms] == ["reading", "reading"]


def test_a_metric_property_is_asked_in_metres(tessa: User, ours: Corner) -> None:
    ours.property.units = "metric"
    ours.property.save()
    data = signed_in(tessa).get(f"/jobs/{job_on(tessa, ours).ref}/sheet/data/").json()
    found = next(step for step in data["steps"] if step["id"] == "found")
    fields = {field["name"]: field for field in found["forms"][0]["fields"]}
    assert fields["feet_along"]["unit"] == "m"
    assert fields["feet_along"]["factor"] == pytest.approx(1 / 0.3048)
    assert fields["depth_in"]["factor"] == pytest.approx(1 / 2.54)


def test_the_authority_is_told_in_minutes(tessa: User, ours: Corner) -> None:
    make.authority(property=ours.property)
    data = signed_in(tessa).get(f"/jobs/{job_on(tessa, ours).ref}/sheet/data/").json()
    assert data["authority"] == {
        "left_man_min": 120,
        "people": 1,
        "entered_man_min": 0,
        "amount": "",
        "near": "",
        "by": "the board",
    }


def test_what_a_phone_sends_is_answered_thing_by_thing(tessa: User, ours: Corner) -> None:
    job = job_on(tessa, ours)
    one = start_of(job)
    answer = post(signed_in(tessa), batch(tessa, one))
    assert [(each["id"], each["answer"]) for each in answer.json()["answers"]] == [
        (one["id"], "accepted")
    ]
    job.refresh_from_db()
    assert job.state == "started"


@pytest.mark.parametrize("body", ["", "[]", "{", '{"user": "U", "items": []}', "7"])
def test_what_is_no_batch_is_refused_with_words(tessa: User, body: str) -> None:
    answer = post(signed_in(tessa), body.replace("U", f"u{tessa.pk}"))
    assert answer.status_code == 400
    assert answer.json()["why"]


def test_things_of_another_person_are_not_taken_in_under_this_name(
    tessa: User, ours: Corner, cast: Cast
) -> None:
    job = job_on(tessa, ours)
    answer = post(signed_in(cast.dispatcher), batch(tessa, start_of(job)))
    assert answer.status_code == 409
    assert not SheetItem.objects.exists()


def test_a_form_key_is_asked_for(tessa: User, ours: Corner) -> None:
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(tessa, backend="django.contrib.auth.backends.ModelBackend")
    assert post(browser, batch(tessa, start_of(job_on(tessa, ours)))).status_code == 403


def test_whoever_is_signed_out_is_led_to_the_door(tessa: User, ours: Corner) -> None:
    assert post(Client(), batch(tessa, start_of(job_on(tessa, ours)))).status_code == 302


def refused_by(tessa: User, job: Job) -> None:
    """Send a finish of what nobody started."""
    thing = {**start_of(job), "kind": "finish", "body": {"minutes": 30}}
    post(signed_in(tessa), batch(tessa, thing))


def test_the_office_sees_what_was_not_kept_until_it_settles_it(
    tessa: User, ours: Corner, cast: Cast
) -> None:
    job = job_on(tessa, ours)
    refused_by(tessa, job)
    office = signed_in(cast.dispatcher)
    assert "1 thing to look at" in office.get("/sheets/").content.decode()
    page = office.get(f"/jobs/{job.ref}/sheet/kept/").content.decode()
    assert "visit finished" in page
    assert "Start it first" in page
    office.post(f"/jobs/{job.ref}/sheet/settle/", {})
    assert "thing to look at" not in office.get("/sheets/").content.decode()
    assert "Start it first" in office.get(f"/jobs/{job.ref}/sheet/kept/").content.decode()
    again = office.post(f"/jobs/{job.ref}/sheet/settle/", {})
    assert again.status_code == 422


def test_the_worker_may_serve_every_sheet_and_is_asked_for_anew(client: Client) -> None:
    answer = client.get("/sheet-worker.js")
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert answer.headers["Service-Worker-Allowed"] == "/"
    assert answer.headers["Cache-Control"] == "no-cache"
    told = json.loads(answer.content.decode().split("\n")[0][len("const KEEP = ") : -1])
    assert {"/static/faults/sheet/main.js", "/static/faults/locating/index.js"} <= set(
        told["files"]
    )
    assert "/static/faults/sheet/worker.js" not in told["files"]


def test_a_sheet_takes_as_many_queries_with_3_stations_as_with_30(
    tessa: User, ours: Corner
) -> None:
    job = job_on(tessa, ours)
    url, browser = f"/jobs/{job.ref}/sheet/data/", signed_in(tessa)
    counts = []
    for more in (3, 27):
        for _number in range(more):
            make.station(controller=ours.controller)
        with CaptureQueriesContext(connection) as asked:
            browser.get(url)
        counts.append(len(asked))
    assert counts == [QUERIES, QUERIES]


def before(user: User, job: Job) -> tuple[list[str], str]:
    """The kinds of forms of the first step, and the words on what is missing."""
    first = signed_in(user).get(f"/jobs/{job.ref}/sheet/data/").json()["steps"][0]
    words = " ".join(line["words"] for line in first["lines"] if line["name"] == "Who goes")
    return [form["kind"] for form in first["forms"]], words


def test_a_sheet_that_cannot_start_says_so_before_anybody_drives(cast: Cast, ours: Corner) -> None:
    tracer, technician = cast.tracer, cast.technician
    job = make_jobs.job(fault=ours.fault, day=timezone.localdate())
    forms, words = before(technician, job)
    assert "start" not in forms
    assert "Ask the office" in words
    # The tracer's assignment is what lets the tracer see the job at all.
    forms, words = before(tracer, job)
    assert ("start" in forms, words) == (True, "")
    assert addresses_kept(tracer) == [f"/jobs/{job.ref}/sheet/"]
    assert addresses_kept(technician) == []
    answer = post(signed_in(tracer), batch(tracer, start_of(job))).json()["answers"][0]
    assert answer["answer"] == "accepted"


def test_a_crew_without_the_skill_is_named_on_the_sheet_and_may_start(
    tessa: User, ours: Corner
) -> None:
    CrewMember.objects.update(skill=2)
    job = job_on(tessa, ours, skill_needed=3)
    forms, words = before(tessa, job)
    assert "start" in forms
    assert "needs skill 3; the best in" in words


def test_the_digging_step_says_how_near_to_a_mark_only_hand_tools_dig(
    tessa: User, ours: Corner
) -> None:
    make_notices.rule(region="Ohio", tolerance_in=30)
    ours.property.notice_region = "Ohio"
    ours.property.save()
    url = f"/jobs/{job_on(tessa, ours).ref}/sheet/data/"
    steps = {step["id"]: step for step in signed_in(tessa).get(url).json()["steps"]}
    words = "within 30 in of the outside edges of what is marked: the rule of Ohio."
    assert any(words in caution for caution in steps["digs"]["cautions"])
