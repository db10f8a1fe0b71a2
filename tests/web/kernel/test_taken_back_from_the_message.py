"""What a verb did can be taken back from the sentence that says so, where its undo has a page."""

from typing import Any

import pytest
from django.urls import reverse

from faults.models import FollowUp, Job
from tests import make_due, make_jobs
from tests.cast import Cast, Corner
from tests.make import TODAY
from tests.web.pages import open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def url(name: str, ref: str) -> str:
    """Return the address of a page."""
    return reverse(f"faults:{name}", args=[ref])


def test_a_job_is_locked_and_unlocked_again(cast: Cast, ours: Corner) -> None:
    crew = make_jobs.crew(cast.technician)
    job = make_jobs.job(property=ours.property, crew=crew, day=TODAY)
    sheet = send(cast.dispatcher, url("job_lock", job.ref))
    assert sheet.undo == url("job_unlock", job.ref)
    assert open_page(cast.dispatcher, sheet.undo).status == 200
    sheet = send(cast.dispatcher, sheet.undo)
    assert sheet.undo == url("job_lock", job.ref)
    assert not Job.objects.get().is_locked


@pytest.mark.parametrize(
    ("name", "fields", "undo"),
    [
        ("due_finish", {"note": "two cells"}, "due_reopen"),
        ("due_move", {"to": "2025-07-01", "why": "frozen"}, "due_move_back"),
    ],
)
def test_a_line_of_what_is_due(
    cast: Cast, ours: Corner, name: str, fields: dict[str, Any], undo: str
) -> None:
    row = make_due.follow_up(property=ours.property)
    sheet = send(cast.technician, url(name, row.ref), **fields)
    assert sheet.undo == url(undo, row.ref)
    send(cast.technician, sheet.undo)
    again = FollowUp.objects.get()
    assert (again.state, again.due_on) == ("open", TODAY)


def test_nothing_leads_back_where_the_undo_is_only_words_or_a_correction(
    cast: Cast, ours: Corner
) -> None:
    row = make_due.follow_up(property=ours.property)
    sheet = send(cast.technician, url("due_hand_over", row.ref), to=str(cast.technician.pk))
    assert sheet.messages == ["It is with tessa now."]
    assert sheet.undo == ""


def test_who_may_not_undo_it_is_not_led_there(cast: Cast, ours: Corner) -> None:
    crew = make_jobs.crew(cast.technician)
    job = make_jobs.job(property=ours.property, crew=crew, day=TODAY)
    # A technician holds a job; locking is the office's, and so is its way back.
    sheet = send(cast.technician, url("job_lock", job.ref))
    assert (sheet.status, sheet.undo) == (403, "")


def test_what_was_typed_is_escaped_beside_the_link(cast: Cast, ours: Corner) -> None:
    row = make_due.follow_up(property=ours.property, what="<b>mind</b> the step")
    sheet = send(cast.technician, url("due_finish", row.ref))
    assert sheet.messages == ["Done: <b>mind</b> the step."]
    assert "<b>mind" not in sheet.html
