"""Each opened form is taken once; a second press says what was taken."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from faults.models import Break, FollowUp, Job, JobLine, Reading
from sites.kernel.services.sent_forms import KEPT_FOR, forget_sent_forms
from sites.models import SentForm
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.web.fault_scene import break_fields, standing_leg
from tests.web.pages import Sheet, open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

Case = tuple[str, dict[str, Any], Callable[[], int]]


def _break(ours: Corner) -> Case:
    leg = standing_leg(ours)
    url = reverse("faults:break_add", args=[ours.fault.ref])
    return url, break_fields(leg), Break.objects.count


def _job_for_fault(ours: Corner) -> Case:
    url = reverse("faults:job_add_for_fault", args=[ours.fault.ref]) + "?kind=locate"
    return (
        url,
        {"expected_minutes": 90, "priority": 2, "skill_needed": 1, "people_needed": 1},
        Job.objects.count,
    )


def _reading(ours: Corner) -> Case:
    url = reverse("faults:reading_add", args=[ours.off_central.ref])
    fields = {"kind": "ohms", "value": 30, "taken_on": make.TODAY.isoformat()}
    return url, fields, Reading.objects.count


def _note(ours: Corner) -> Case:
    url = reverse("faults:due_note_at_fault", args=[ours.fault.ref])
    fields = {"what": "call the gate", "due_on": make.TODAY.isoformat(), "hand_to": "", "notes": ""}
    return url, fields, FollowUp.objects.count


def _line(ours: Corner) -> Case:
    job = make_jobs.started(fault=ours.fault)
    url = reverse("faults:job_line_add", args=[job.ref])
    fields = {"kind": "time", "on": "2025-06-15", "what": "trip", "quantity": 2, "unit": "h"}
    fields |= {"basis": "billable", "unit_price": "65.25"}
    return url, fields, JobLine.objects.count


CASES = [_break, _job_for_fault, _reading, _note, _line]


@pytest.mark.parametrize("case", CASES, ids=lambda each: each.__name__.strip("_"))
def test_pressed_twice_it_is_kept_once_and_says_so(
    case: Callable[[Corner], Case], cast: Cast, ours: Corner
) -> None:
    url, fields, count = case(ours)
    browser, before = signed_in(cast.owner), count()
    fields = {**fields, **_hidden(browser, url)}
    first = browser.post(url, fields)
    assert first.status_code == 302, Sheet(first).errors
    assert count() == before + 1
    second = Sheet(browser.post(url, fields, follow=True))
    assert second.status == 200
    assert "was sent before" in " ".join(second.messages)
    assert count() == before + 1


def _hidden(browser: Client, url: str) -> dict[str, str]:
    page = Sheet(browser.get(url))
    return {"once": page.value("once"), "stamp": page.value("stamp")}


def test_something_else_in_a_form_that_was_taken_is_kept_in_view_and_sent_by_one_more_press(
    cast: Cast, ours: Corner
) -> None:
    url, fields, count = _reading(ours)
    browser, before = signed_in(cast.owner), count()
    hidden = _hidden(browser, url)
    browser.post(url, {**fields, **hidden})
    again = Sheet(browser.post(url, {**fields, **hidden, "value": 31}))
    assert again.status == 422
    assert again.value("value") == "31"
    assert "was sent before" in " ".join(again.errors)
    assert count() == before + 1
    kept = Sheet(browser.post(url, {**fields, "value": 31, "once": again.value("once")}))
    assert kept.status == 302
    assert count() == before + 2


def test_a_refused_form_may_be_sent_again_with_its_key(cast: Cast, ours: Corner) -> None:
    url, fields, count = _reading(ours)
    browser, before = signed_in(cast.owner), count()
    hidden = _hidden(browser, url)
    refused = Sheet(browser.post(url, {**fields, **hidden, "taken_on": "2025-06-16"}))
    assert refused.status == 422
    assert refused.value("once") == hidden["once"]
    assert browser.post(url, {**fields, **hidden}).status_code == 302
    assert count() == before + 1


def test_two_opened_forms_are_two(cast: Cast, ours: Corner) -> None:
    url, fields, count = _reading(ours)
    browser, before = signed_in(cast.owner), count()
    keys = {_hidden(browser, url)["once"] for _ in range(2)}
    assert len(keys) == 2
    for key in keys:
        browser.post(url, {**fields, "once": key})
    assert count() == before + 2


def test_another_users_key_takes_nothing_away(cast: Cast, ours: Corner) -> None:
    url, fields, count = _reading(ours)
    key = str(uuid4())
    signed_in(cast.owner).post(url, {**fields, "once": key})
    before = count()
    other = Sheet(signed_in(cast.technician).post(url, {**fields, "once": key}))
    assert other.status == 422
    assert count() == before


def test_keys_are_forgotten_after_their_time(cast: Cast) -> None:
    for age in (KEPT_FOR, KEPT_FOR * 1.0001):
        SentForm.objects.create(key=uuid4(), user=cast.owner, taken_at=make.NOW - age)
    assert forget_sent_forms(at=make.NOW) == 1
    assert SentForm.objects.count() == 1


def test_a_stamp_made_by_hand_is_no_mistake_of_ours(cast: Cast, ours: Corner) -> None:
    url, fields, _count = _break(ours)
    for stamp in ('{"a": 1e999}', "[" * 5000, '{"a": []}', "7"):
        answer = signed_in(cast.owner).post(url, {**fields, "stamp": stamp})
        assert answer.status_code in {302, 422}


def test_a_list_in_the_history_is_shown_in_words(cast: Cast, ours: Corner) -> None:
    job = make_jobs.job(fault=ours.fault, kind="dig and mend")
    for situations in (["near a road"], ["near a road", "under a tree"]):
        job.situations = situations
        job.save()
    page = open_page(cast.owner, reverse("faults:job", args=[job.ref]))
    assert page.status == 200
    assert "near a road, under a tree" in page.words
