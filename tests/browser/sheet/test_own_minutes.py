"""What a visit itself has spent of the limit: the phone's script and the server say the same."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from faults.cases.services.spending import spending_of
from faults.models import Job, JobState, PersonThere
from faults.sheet.forms.payload import sheet_payload
from faults.sheet.services.inbox import take_in
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_billing, make_jobs
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service

OWN = """async ([url, data, queue, now]) => {
  const { ownManMin, stateOf } = await import(url.replace("main", "keep"));
  return ownManMin(data, stateOf(data, queue), now);
}"""


@pytest.fixture
def crew(site_url: str) -> list[User]:
    """Two technicians."""
    return [make.user(Role.TECHNICIAN, username=name) for name in ("tessa", "tom")]


@pytest.fixture
def job(crew: list[User]) -> Job:
    """Their visit, under way for two hours, on a property with a limit of ten man-hours."""
    fault = make.fault()
    make.authority(property=fault.property, up_to_hours=10)
    began = timezone.now() - timedelta(hours=2)
    return make_jobs.started(
        fault=fault, crew=make_jobs.crew(*crew), day=began.date(), started_at=began
    )


@pytest.fixture
def page(browser: Browser, site_url: str, crew: list[User], job: Job) -> Iterator[Page]:
    """The sheet on a phone."""
    made = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True,
                               is_mobile=True, service_workers="block")  # fmt: skip
    sign_in(made, crew[0], site_url)
    page = made.new_page()
    page.goto(site_url + reverse("faults:sheet", args=[job.ref]))
    yield page
    made.close()


def thing(job: Job, kind: str, body: dict[str, Any]) -> dict[str, Any]:
    """A thing that waits on the phone."""
    at = timezone.now().isoformat()
    return {"id": str(uuid4()), "kind": kind, "job": job.ref, "at": at, "body": body}


def test_before_and_after_they_are_sent_the_same_minutes_count(
    page: Page, job: Job, crew: list[User]
) -> None:
    assert job.fault is not None
    module = page.locator("script[type=module]").get_attribute("src")
    day = (timezone.localdate() - timedelta(days=1)).isoformat()

    def entry(starts: str, ends: str, *people: User, others: str = "") -> dict[str, Any]:
        body = {"people": [user.pk for user in people], "others": others, "did": "tracing"}
        return thing(job, "people", {**body, "on": day, "starts": starts, "ends": ends})

    both = entry("08:00", "11:00", *crew)
    over_midnight = entry("23:30", "00:15", crew[0], others="Pip, Kim")
    ends = thing(job, "finish", {"minutes": 125})
    for queue in ([], [both], [both, over_midnight], [ends], [both, ends]):
        Job.objects.filter(pk=job.pk).update(state=JobState.STARTED, actual_minutes=None)
        PersonThere.objects.filter(job=job).delete()
        job.refresh_from_db()
        now = timezone.now()
        data = sheet_payload(job=job, user=crew[0], today=now.date(), at=now)
        waiting = [{**each, "state": "waiting"} for each in queue]
        said = page.evaluate(OWN, [module, data, waiting, now.timestamp() * 1000])
        sent = [{**each, "id": str(uuid4())} for each in queue]
        rows = take_in(batch={"now": now.isoformat(), "items": sent}, by=crew[0], now=now)
        assert {row.answer for row in rows} <= {"accepted"}, [row.why for row in rows]
        job.refresh_from_db()
        assert said == pytest.approx(spending_of(job.fault, at=now).used_man_min, abs=0.01)
        after = sheet_payload(job=job, user=crew[0], today=now.date(), at=now)
        again = page.evaluate(OWN, [module, after, [], now.timestamp() * 1000])
        assert again == pytest.approx(said, abs=0.01)


def test_who_was_there_is_entered_on_the_phone(page: Page, job: Job, crew: list[User]) -> None:
    page.locator(".which-step select").select_option("finish")
    panel = page.locator("section.panel", has_text="Who was there")
    expect(panel.get_by_label("tessa")).to_be_checked()
    expect(panel.get_by_label("tom")).to_be_checked()
    panel.get_by_label("Day").fill((timezone.localdate() - timedelta(days=1)).isoformat())
    panel.get_by_label("From").fill("08:00")
    panel.get_by_label("To", exact=True).fill("11:00")
    panel.get_by_role("button", name="Keep who was there").tap()
    expect(page.locator("#toast")).to_contain_text("Who was there")
    expect(page.locator("#sending")).to_contain_text("Everything is sent")
    assert sum(person.minutes for person in job.people.all()) == 360
    # Ten hours less six of both: 240 man-minutes, 120 for each of two.
    expect(page.get_by_text("120 of the minutes that the client allowed are left.")).to_be_visible()
    make_billing.there(job=job, name="Pip", minutes=240)
    page.reload()
    expect(page.get_by_text("Stop: what the client allowed is used up.")).to_be_visible()
