"""Ticks in the list of faults: a visit planned for each, a person for many, a file of them."""

from typing import Any

import pytest

from faults.models import Assignment, Fault, Job, JobState
from faults.work.services import assign_job
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.make import NOW, TODAY
from tests.web.pages import Sheet, open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

FAULTS, MANY = "/faults/", "/faults/many/"


def press(user: Any, act: str, *faults: Fault, **more: Any) -> Sheet:
    """Tick these faults and press the button."""
    browser = signed_in(user)
    once = Sheet(browser.get(FAULTS)).value("once")
    sent = {"once": once, "back": FAULTS, "act": act, "rows": [each.ref for each in faults]}
    return Sheet(browser.post(MANY, {**sent, **more}, follow=True))


def take_back(user: Any, sheet: Sheet) -> Sheet:
    """Press "Take back" above the list."""
    (form,) = [e for e in sheet.tree.find("form") if "take-back" in e.attributes.get("action", "")]
    return Sheet(signed_in(user).post(form.attributes["action"], follow=True))


@pytest.fixture
def faults(ours: Corner) -> list[Fault]:
    """Three faults: one reported, one found, and one that is given up."""
    stations = [make.station(controller=ours.controller) for _ in range(3)]
    stages = ("reported", "found", "given up")
    return [make.fault(each, stage=stage) for each, stage in zip(stations, stages, strict=True)]


def test_a_visit_is_planned_for_each_by_how_far_it_has_come_and_withdrawn(
    cast: Cast, ours: Corner, faults: list[Fault]
) -> None:
    make_jobs.job(fault=ours.fault)
    sheet = press(
        cast.dispatcher, "fault_plan", *faults, ours.fault,
        sure="1", priority="1", due_on="2025-06-20",
    )  # fmt: skip
    said = sheet.panel("acted")
    assert "2 visits planned. 2 refused." in said
    assert "This fault is closed" in said
    assert "A visit is planned for it already" in said
    jobs = Job.objects.filter(fault__in=[each.pk for each in faults]).order_by("pk")
    assert [job.kind for job in jobs] == ["locate", "dig and mend"]
    assert {(job.priority, str(job.due_on)) for job in jobs} == {(1, "2025-06-20")}
    assert [job.stations.get() for job in jobs] == [f.stations.get().station for f in faults[:2]]
    sheet = take_back(cast.dispatcher, sheet)
    assert "2 taken back." in sheet.panel("acted")
    assert {job.state for job in jobs.all()} == {JobState.WITHDRAWN}
    assert Job.objects.get(fault=ours.fault).state == JobState.PLANNED


def test_a_visit_that_somebody_was_sent_on_is_called_back_with_it(
    cast: Cast, faults: list[Fault]
) -> None:
    crew = make_jobs.crew(cast.technician)
    sheet = press(cast.dispatcher, "fault_plan", faults[1], sure="1", priority="2")
    job = Job.objects.get(fault=faults[1])
    assign_job(job=job, crew=crew, day=TODAY, by=cast.owner, at=NOW, today=TODAY)
    job.refresh_from_db()
    job.state, job.started_at = JobState.STARTED, NOW
    job.save()
    sheet = take_back(cast.dispatcher, sheet)
    assert "0 taken back." in sheet.panel("acted")
    job.refresh_from_db()
    assert job.state == JobState.STARTED


def test_a_tracer_gets_many_faults_and_loses_them_again(
    cast: Cast, ours: Corner, faults: list[Fault]
) -> None:
    typed = {"sure": "1", "who": str(cast.tracer.pk), "from_on": TODAY.isoformat()}
    sheet = press(cast.dispatcher, "fault_assign", faults[0], faults[1], ours.fault, **typed)
    assert "2 faults assigned. 1 refused." in sheet.panel("acted")
    assert "assigned to this fault already" in sheet.panel("acted")
    held = Assignment.objects.filter(user=cast.tracer, to_on=None)
    assert held.count() == 3
    take_back(cast.dispatcher, sheet)
    assert [each.fault for each in held.all()] == [ours.fault]


def test_a_client_ticks_for_a_file_alone(cast: Cast, ours: Corner, theirs: Corner) -> None:
    sheet = open_page(cast.client_user, FAULTS)
    (bar,) = sheet.tree.find("form", id="many")
    assert [each.words for each in bar.find("button")] == ["CSV"]
    sent = {"act": "fault_csv", "rows": [ours.fault.ref, theirs.fault.ref]}
    answer: Any = signed_in(cast.client_user).post(MANY, sent, follow=True)
    text = b"".join(answer.streaming_content).decode()
    assert "marigold-fault" in text
    assert "wombat" not in text
    sheet = press(cast.client_user, "fault_plan", ours.fault, sure="1", priority="2")
    assert "0 visits planned. 1 refused." in sheet.panel("acted")
    assert not Job.objects.exists()
