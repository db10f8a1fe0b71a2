"""Ticks in the list of jobs: a crew, a day, a lock for many at once, files and sheets of them."""

from datetime import time, timedelta
from typing import Any

import pytest

from faults.models import Crew, FaultStation, Job, JobKind
from faults.work.services import assign_job
from sites.models import TickedAct, User
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.make import NOW, TODAY
from tests.web.pages import Sheet, fragment, open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

JOBS, MANY = "/jobs/", "/jobs/many/"
TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture
def crew(cast: Cast) -> Crew:
    """A crew of the technician."""
    return make_jobs.crew(cast.technician, name="North")


def press(user: User, act: str, *jobs: Job, **more: Any) -> Sheet:
    """Tick these jobs and press the button."""
    browser = signed_in(user)
    page = Sheet(browser.get(JOBS))
    rows = [job.ref for job in jobs]
    sent = {"once": page.value("once"), "back": JOBS, "act": act, "rows": rows, **more}
    return Sheet(browser.post(MANY, sent, follow=True))


def take_back(user: User) -> Sheet:
    """Press "Take back" above the list."""
    one = TickedAct.objects.latest("pk")
    return Sheet(signed_in(user).post(f"/acts/{one.ref}/take-back/", follow=True))


def sent_to(*jobs: Job) -> list[tuple[Any, ...]]:
    """Return crew, day and time of these jobs as they stand now."""
    rows = Job.objects.in_bulk([job.pk for job in jobs])
    return [(rows[j.pk].crew, rows[j.pk].day, rows[j.pk].starts_at) for j in jobs]


def test_every_row_of_the_list_has_a_tick_named_by_the_job(cast: Cast, ours: Corner) -> None:
    job = make_jobs.job(fault=ours.fault)
    sheet = open_page(cast.dispatcher, JOBS)
    (box,) = [each for each in sheet.tree.find("input", name="rows") if "form" in each.attributes]
    assert box.attributes["value"] == job.ref
    assert "locate" in box.attributes["aria-label"].lower()
    assert sheet.tree.find("form", id="many")
    assert fragment(cast.dispatcher, JOBS).tree.find("form", id="many")


def test_a_crew_is_sent_to_many_and_called_back_with_the_faults_stage(
    cast: Cast, ours: Corner, crew: Crew
) -> None:
    jobs = [make_jobs.job(fault=ours.fault), make_jobs.job(property=ours.property)]
    asked = press(cast.dispatcher, "job_assign", *jobs)
    assert asked.heading == "Assign 2 jobs"
    typed = {"sure": "1", "crew": crew.ref, "day": TOMORROW.isoformat()}
    sheet = press(cast.dispatcher, "job_assign", *jobs, **typed)
    assert "2 jobs assigned." in sheet.panel("acted")
    assert sent_to(*jobs) == [(crew, TOMORROW, None)] * 2
    stage = FaultStation.objects.get(fault=ours.fault)
    assert stage.stage == "scheduled"
    take_back(cast.dispatcher)
    assert sent_to(*jobs) == [(None, None, None)] * 2
    stage.refresh_from_db()
    assert stage.stage == "reported"


def test_a_day_is_moved_and_each_keeps_its_crew_and_its_time(
    cast: Cast, ours: Corner, crew: Crew
) -> None:
    south = make_jobs.crew(name="South")
    jobs = [
        make_jobs.job(property=ours.property, crew=crew, day=TODAY, starts_at=time(9, 30)),
        make_jobs.job(property=ours.property, crew=south, day=TOMORROW),
        make_jobs.job(property=ours.property),
        make_jobs.job(property=ours.property, crew=crew, day=TODAY, is_locked=True),
    ]
    before = sent_to(*jobs)
    later = TODAY + timedelta(days=3)
    sheet = press(cast.dispatcher, "job_move", *jobs, sure="1", day=later.isoformat())
    assert "2 jobs moved. 2 refused." in sheet.panel("acted")
    assert "Nobody has this job yet" in sheet.panel("acted")
    assert "locked" in sheet.panel("acted")
    assert sent_to(*jobs)[:2] == [(crew, later, time(9, 30)), (south, later, None)]
    assert sent_to(*jobs)[2:] == before[2:]
    take_back(cast.dispatcher)
    assert sent_to(*jobs) == before


def test_a_move_whose_old_day_has_passed_says_so_and_stays(
    cast: Cast, ours: Corner, crew: Crew
) -> None:
    job = make_jobs.job(property=ours.property, crew=crew, day=TODAY - timedelta(days=1))
    press(cast.dispatcher, "job_move", job, sure="1", day=TOMORROW.isoformat())
    sheet = take_back(cast.dispatcher)
    assert "0 taken back." in sheet.panel("acted")
    assert sent_to(job) == [(crew, TOMORROW, None)]


def test_jobs_are_taken_from_their_crews_and_given_back_to_each(
    cast: Cast, ours: Corner, crew: Crew
) -> None:
    south = make_jobs.crew(name="South")
    jobs = [make_jobs.job(property=ours.property) for _ in range(2)]
    for job, who, at in zip(jobs, (crew, south), (time(8), None), strict=True):
        facts = {"starts_at": at, "by": cast.owner, "at": NOW, "today": TODAY}
        assign_job(job=job, crew=who, day=TOMORROW, **facts)
    sheet = press(cast.dispatcher, "job_unassign", *jobs, sure="1", why="")
    assert sheet.status == 422
    press(cast.dispatcher, "job_unassign", *jobs, sure="1", why="storm")
    assert sent_to(*jobs) == [(None, None, None)] * 2
    take_back(cast.dispatcher)
    assert sent_to(*jobs) == [(crew, TOMORROW, time(8)), (south, TOMORROW, None)]


def test_jobs_are_locked_and_unlocked(cast: Cast, ours: Corner, crew: Crew) -> None:
    jobs = [make_jobs.job(property=ours.property, crew=crew, day=TODAY) for _ in range(2)]
    press(cast.dispatcher, "job_lock", *jobs)
    assert Job.objects.filter(is_locked=True).count() == 2
    take_back(cast.dispatcher)
    assert Job.objects.filter(is_locked=True).count() == 0


def test_a_technician_ticks_to_print_and_moves_nothing(
    cast: Cast, ours: Corner, crew: Crew
) -> None:
    job = make_jobs.job(property=ours.property, crew=crew, day=TODAY)
    words = [each.words for each in open_page(cast.technician, JOBS).tree.find("button")]
    assert {"Print sheets", "CSV"} <= set(words)
    assert "Lock" not in words
    sheet = press(cast.technician, "job_lock", job)
    assert "0 jobs locked. 1 refused." in sheet.panel("acted")
    assert not Job.objects.get(pk=job.pk).is_locked


def test_sheets_are_printed_of_what_is_ticked_and_of_nothing_else(
    cast: Cast, ours: Corner, theirs: Corner, crew: Crew
) -> None:
    made = {"kind": JobKind.CHECK_UP, "crew": crew, "day": TODAY}
    jobs = [make_jobs.job(property=ours.property, notes=f"box {n}", **made) for n in (1, 2)]
    left = make_jobs.job(property=make.place(code="elsewhere"), **made)
    sheet = press(cast.dispatcher, "sheets", *jobs)
    printed = [each for each in sheet.tree.find("article") if "printed-sheet" in each.classes]
    assert len(printed) == 2
    assert all("marigold" in each.words for each in printed)
    assert left.property.code not in sheet.words
    foreign = make_jobs.job(property=theirs.property)
    assert "wombat" not in open_page(cast.tracer, f"/sheets/print/?rows={foreign.ref}").words


def test_a_file_holds_what_is_ticked(cast: Cast, ours: Corner) -> None:
    jobs = [make_jobs.job(property=ours.property, priority=n) for n in (1, 2, 3)]
    browser = signed_in(cast.dispatcher)
    sent = {"act": "csv", "rows": [job.ref for job in jobs[:2]]}
    answer: Any = browser.post(MANY, sent, follow=True)
    lines = b"".join(answer.streaming_content).decode().splitlines()
    assert len(lines) == 3
    assert "Tick" not in lines[0]


def test_a_list_without_ticks_takes_no_notice_of_rows(cast: Cast) -> None:
    assert open_page(cast.owner, "/job-lines/?rows=x").status == 200
