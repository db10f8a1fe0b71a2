"""Pages of jobs: what each role reads and does, the list, its file, and the number of queries."""

from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse

from faults.events import SearchTimeAsked
from faults.locating.services.minutes import answer_search_time
from faults.models import Crew, Job, JobKind
from sites.models import User
from tests import make, make_jobs, make_notices
from tests.cast import Cast, Corner
from tests.web.fault_scene import TODAY, fault_page
from tests.web.pages import Sheet, open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def url(name: str, *args: Any) -> str:
    """The address of a page of jobs."""
    return reverse(f"faults:{name}", args=args)


def page(user: User, job: Job) -> Sheet:
    """Open the page of a job."""
    return open_page(user, url("job", job.ref))


@pytest.fixture
def crew(cast: Cast) -> Crew:
    """A crew of the technician and the tracer."""
    return make_jobs.crew(cast.technician, cast.tracer, name="North")


def test_the_office_plans_a_locate_job_from_the_fault_and_sends_a_crew(
    cast: Cast, ours: Corner, crew: Crew
) -> None:
    adding = fault_page(cast.dispatcher, ours.fault).links["Plan a job"]
    form = open_page(cast.dispatcher, adding)
    assert "locate" in form.heading
    search = answer_search_time(SearchTimeAsked(ours.fault, make.TODAY))
    assert search is not None
    assert form.value("expected_minutes") == str(search.expected)
    assert f"nine of ten such searches end within {search.nine_of_ten}" in form.words
    station = str(ours.off_central.pk)
    fields = {"stations": [station], "expected_minutes": 90, "priority": 3, "skill_needed": 2}
    fields["people_needed"] = 1
    sheet = send(cast.dispatcher, adding, **fields)
    assert sheet.messages == ["Planned. Assign it to a crew and a day, and somebody goes."]
    job = ours.fault.jobs.get()
    sheet = send(cast.dispatcher, url("job_assign", job.ref), crew=crew.ref, day=TODAY)
    assert sheet.messages == [f"North goes on {TODAY}."]
    assert fault_page(cast.dispatcher, ours.fault).panel("jobs").count("North") == 1
    ours.fault.refresh_from_db()
    assert ours.fault.stage == "scheduled"


def test_the_step_schedule_a_visit_sends_a_crew_where_there_are_crews(
    cast: Cast, ours: Corner, crew: Crew
) -> None:
    row = ours.fault.stations.get()
    step = reverse("faults:move", args=[ours.fault.ref, "scheduled"])
    assert open_page(cast.dispatcher, step).tree.find("select", name="who") == []
    sheet = send(cast.dispatcher, step, stations=[str(row.pk)], on=TODAY, crew=crew.ref, day=TODAY)
    assert sheet.messages == ["marigold clock:1: now scheduled."]
    job = ours.fault.jobs.get()
    assert (job.kind, job.crew, job.day) == ("locate", crew, make.TODAY)


def test_a_refused_assignment_keeps_what_was_typed(cast: Cast, ours: Corner, crew: Crew) -> None:
    job = make_jobs.job(fault=ours.fault, due_on=make.TODAY)
    later = (make.TODAY + timedelta(days=2)).isoformat()
    sheet = send(cast.dispatcher, url("job_assign", job.ref), crew=crew.ref, day=later)
    assert sheet.status == 422
    assert "Choose an earlier day, or say why" in sheet.errors[0]
    assert sheet.value("day") == later


def test_a_job_without_a_fault_is_planned_from_its_property(cast: Cast, ours: Corner) -> None:
    chosen = open_page(cast.dispatcher, url("job_add") + "?property=nowhere")
    assert chosen.status == 422
    answer: Any = signed_in(cast.dispatcher).get(url("job_add"), {"property": "MARIGOLD-park"})
    assert answer.headers["Location"] == url("job_add_on_property", ours.property.ref)
    adding = f"{answer.headers['Location']}?kind=battery+round"
    timer = ours.property.devices.get()
    fields = {"expected_minutes": 30, "priority": 2, "skill_needed": 1, "people_needed": 2}
    fields["devices"] = [str(timer.pk)]
    send(cast.dispatcher, adding, **fields, stations="marigold clock:2")
    job = Job.objects.get()
    assert (job.kind, job.devices.get(), job.stations.get()) == (
        JobKind.BATTERIES,
        timer,
        ours.on_central,
    )


def test_a_dig_asks_for_its_depth_in_the_units_of_the_property(cast: Cast, ours: Corner) -> None:
    ours.property.units = "metric"
    ours.property.save()
    adding = url("job_add_for_fault", ours.fault.ref) + "?kind=dig+and+mend"
    fields = {"expected_minutes": 60, "priority": 2, "skill_needed": 1, "people_needed": 1}
    send(cast.dispatcher, adding, **fields, planned_depth_in="50.8", situations=["traffic"])
    job = Job.objects.get()
    assert (job.planned_depth_in, job.situations) == (pytest.approx(20), ["traffic"])
    assert "51 cm" in page(cast.technician, job).panel("safety")


@pytest.mark.parametrize(
    ("units", "of_the_rule", "words"),
    [
        ("us", 24, "within 24 in of the outside edges of what is marked: the rule of Ohio."),
        ("metric", 24, "within 61 cm of the outside edges of what is marked: the rule of Ohio."),
        ("us", 18, "within 18 in of the outside edges of what is marked: the rule of Ohio."),
        # A smaller width than the common one, and none at all.
        ("us", 12, "within 18 in of the outside edges of what is marked: common practice."),
        ("us", None, "within 18 in of the outside edges of what is marked: common practice."),
    ],
)
def test_a_dig_says_how_near_to_a_mark_only_hand_tools_dig(
    cast: Cast, ours: Corner, units: str, of_the_rule: float | None, words: str
) -> None:
    make_notices.rule(region="Ohio", tolerance_in=of_the_rule)
    ours.property.units, ours.property.notice_region = units, "Ohio"
    ours.property.save()
    job = make_jobs.job(fault=ours.fault, kind=JobKind.DIG)
    assert words in page(cast.technician, job).panel("safety")
    assert words in open_page(cast.technician, url("job_safety", job.ref)).words
    ticket = make_notices.notice("Gas", fault=ours.fault)
    sheet = open_page(cast.technician, url("notice", ticket.ref))
    assert words in sheet.facts()["Near a mark"]


def test_a_dig_goes_by_the_rule_of_its_ticket_though_the_region_changed(
    cast: Cast, ours: Corner
) -> None:
    rule = make_notices.rule(region="Ohio", tolerance_in=24)
    make_notices.notice("Gas", fault=ours.fault, rule=rule)
    job = make_jobs.job(fault=ours.fault, kind=JobKind.DIG)
    assert "within 24 in" in page(cast.technician, job).panel("safety")


def test_a_technician_starts_answers_and_finishes_on_the_phone(
    cast: Cast, ours: Corner, crew: Crew
) -> None:
    job = make_jobs.job(fault=ours.fault, crew=crew, day=make.TODAY)
    assert page(cast.technician, job).links["Start"] == url("job_start", job.ref)
    assert send(cast.technician, url("job_start", job.ref)).messages == ["Started."]
    sheet = send(cast.technician, url("job_finish", job.ref), actual_minutes=40)
    assert sheet.messages[0].startswith("Done in 40 minutes")
    sheet = send(cast.technician, url("job_reopen", job.ref), why="forgot the other box")
    assert sheet.messages == ["The job is under way again."]


def test_a_dig_that_may_not_start_says_what_is_lacking(
    cast: Cast, ours: Corner, crew: Crew
) -> None:
    job = make_jobs.job(fault=ours.fault, crew=crew, day=make.TODAY, kind=JobKind.DIG)
    sheet = send(cast.technician, url("job_start", job.ref))
    assert sheet.status == 422
    assert "Nobody has agreed to this dig" in sheet.words
    assert "local codes and licensed practice decide" in sheet.words.lower()


def test_the_answers_before_a_hole_name_their_rules(cast: Cast, ours: Corner, crew: Crew) -> None:
    job = make_jobs.job(fault=ours.fault, kind=JobKind.DIG, planned_depth_in=60)
    form = open_page(cast.technician, url("job_safety", job.ref))
    assert "29 CFR 1926.652(a)(1)" in form.words
    fields = {"depth_in": 60, "answer_protective_system": "shored"}
    send(cast.technician, url("job_safety", job.ref), **fields, answer_competent_person="Tessa")
    told = page(cast.technician, job).panel("safety")
    assert "shored" in told
    assert "Tessa" in told


@pytest.mark.parametrize(
    ("verb", "fields", "message"),
    [
        ("job_hold", {"held_for": "parts", "since": TODAY}, "Held for parts."),
        ("job_vehicle", {"parts_ready": "on"}, "Noted."),
        ("job_lock", {}, "Locked: crew and day stay as they are."),
        ("job_split", {"minutes": 20}, "Split: 20 minutes in the new part, 40 here."),
        ("job_unassign", {"why": "rain"}, "Nobody goes now. The job waits to be assigned."),
        ("job_withdraw", {"why": "rain"}, "Withdrawn. It can be brought back."),
    ],
)
def test_each_verb_says_what_it_did(
    cast: Cast, ours: Corner, crew: Crew, verb: str, fields: dict[str, Any], message: str
) -> None:
    job = make_jobs.job(fault=ours.fault, crew=crew, day=make.TODAY)
    assert send(cast.dispatcher, url(verb, job.ref), **fields).messages == [message]


def test_undos_are_offered_where_something_can_be_undone(
    cast: Cast, ours: Corner, crew: Crew
) -> None:
    job = make_jobs.job(fault=ours.fault, crew=crew, day=make.TODAY)
    send(cast.dispatcher, url("job_lock", job.ref))
    assert {"Unlock", "Withdraw"} < set(page(cast.dispatcher, job).links)
    assert "Move" not in page(cast.dispatcher, job).links
    send(cast.dispatcher, url("job_unlock", job.ref))
    send(cast.dispatcher, url("job_withdraw", job.ref), why="rain")
    links = page(cast.dispatcher, job).links
    assert "Bring back" in links
    assert "Add a line" not in links
    send(cast.dispatcher, url("job_bring_back", job.ref))
    assert "Assign" in page(cast.dispatcher, job).links


def test_two_who_move_one_job_at_once_are_told(cast: Cast, ours: Corner, crew: Crew) -> None:
    job = make_jobs.job(fault=ours.fault, crew=crew, day=make.TODAY)
    moving = url("job_move", job.ref)
    stamp = open_page(cast.dispatcher, moving).value("stamp")
    first, second = ((make.TODAY + timedelta(days=n)).isoformat() for n in (1, 2))
    send(cast.owner, moving, crew=crew.ref, day=first)
    sheet = send(cast.dispatcher, moving, crew=crew.ref, day=second, stamp=stamp)
    assert sheet.status == 422
    assert "Somebody changed this" in sheet.words
    job.refresh_from_db()
    assert job.day.isoformat() == first


def test_the_list_filters_by_kind_state_crew_property_and_days(
    cast: Cast, ours: Corner, theirs: Corner, crew: Crew
) -> None:
    make_jobs.job(fault=ours.fault, crew=crew, day=make.TODAY, notes="gate")
    make_jobs.job(property=theirs.property, kind=JobKind.WALK, state="done")
    for query, count in (
        ("", 2),
        ("kind=locate", 1),
        ("state=open", 1),
        ("state=done", 1),
        (f"crew={crew.ref}", 1),
        ("crew=nobody", 1),
        (f"property={theirs.property.ref}", 1),
        (f"since={TODAY}&until={TODAY}", 1),
        ("since=2025-06-16", 0),
        ("q=gate", 1),
        ("q=wombat", 1),
    ):
        assert len(open_page(cast.owner, url("jobs") + "?" + query).rows()) == count, query


def test_a_tracer_sees_only_its_jobs_and_a_client_none(
    cast: Cast, ours: Corner, crew: Crew
) -> None:
    mine = make_jobs.job(fault=ours.fault)
    other = make_jobs.job(property=ours.property)
    rows = open_page(cast.tracer, url("jobs")).rows()
    assert len(rows) == 1
    assert page(cast.tracer, mine).status == 200
    assert page(cast.tracer, other).status == 404
    for address in (url("jobs"), url("job", mine.ref), url("crews"), url("crew", crew.ref)):
        assert open_page(cast.client_user, address).status == 403
    told = fault_page(cast.client_user, ours.fault)
    assert "jobs" not in told.panels
    assert "North" not in told.words


def test_the_office_sets_up_a_crew_and_a_technician_only_reads_it(cast: Cast) -> None:
    fields = {"name": "South", "vehicle": "van", "starts_at": "07:00", "ends_at": "15:30"}
    sheet = send(cast.dispatcher, url("crew_add"), **fields)
    crew = Crew.objects.get()
    assert sheet.heading == "South"
    joining = url("crew_member_add", crew.ref)
    joined = {"user": str(cast.technician.pk), "skill": 2, "from_on": TODAY}
    signed_in(cast.dispatcher).post(joining, joined)
    away = {"from_on": TODAY, "last_on": TODAY, "why": "training"}
    send(cast.dispatcher, url("crew_away_add", crew.ref), **away)
    sheet = open_page(cast.technician, url("crew", crew.ref))
    assert "tessa" in sheet.panel("members")
    assert sheet.rows("away") == [[TODAY, "2025-06-16", "training"]]
    assert "Change" not in sheet.links
    assert send(cast.technician, url("crew_retire", crew.ref), on=TODAY).status == 403
