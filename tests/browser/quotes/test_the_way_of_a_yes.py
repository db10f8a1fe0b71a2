"""From the find to the books: the office quotes, a second phone answers without account, the work
is held to the yes, and its lines are given to the books once."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from faults.cases.engines.stages import Stage
from faults.models import Authority, BatchLine, Job, JobKind, JobState
from sites.kernel.engines.roles import Role
from sites.models import today_at
from tests import make, make_jobs, make_prices
from tests.browser.test_accessibility import PHONE, tour
from tests.cast import OURS, make_corner
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


def test_found_quoted_answered_on_another_phone_dug_up_to_the_limit_and_given_to_the_books(
    page: Page, browser: Browser, site_url: str
) -> None:
    corner = make_corner(OURS)
    fault = corner.fault
    make_prices.price_list(tax_percent="8.25")
    make.break_found(fault=fault, depth_in=18.0)
    fault.stations.update(stage=Stage.FOUND.value)
    job = make_jobs.job(fault=fault, kind=JobKind.DIG, day=timezone.localdate())
    sign_in(page.context, make.user(Role.DISPATCHER, first_name="Dora"), site_url)
    page.goto(site_url + reverse("faults:fault", args=[fault.ref]))
    page.get_by_role("link", name="Quote the dig and mend").click()
    page.get_by_label("Mending and testing, man-hours").fill("0.5")
    page.get_by_label("Standing by while you dig, man-hours").fill("2")
    page.get_by_role("button", name="Make this quote").click()
    page.get_by_role("link", name="Send to the client").click()
    page.get_by_label("Who gets it?").fill("Ann Field")
    page.get_by_role("button", name="Make the address").click()
    path = page.locator("#address").input_value().partition("/answer/")[2]

    context = browser.new_context(viewport=PHONE, locale="es-MX")  # type: ignore[arg-type]
    phone = context.new_page()
    address = f"{site_url}/answer/{path}"
    assert tour(phone, site_url, {"answer": f"/answer/{path}"}) == {}
    phone.goto(address)
    expect(phone.locator("html")).to_have_attribute("lang", "es")
    phone.get_by_role("link", name="English").click()
    phone.get_by_label("We dig and mend").check()
    phone.get_by_label("Only up to, in money before tax").fill("400")
    phone.get_by_label("Your name (needed)").fill("Ann Field")
    phone.get_by_role("button", name="Send this answer").click()
    expect(phone.get_by_text("Your answer is kept")).to_be_visible()
    expect(phone.get_by_role("button")).to_have_count(0)
    assert tour(phone, site_url, {"answered": f"/answer/{path}"}) == {}
    context.close()

    page.goto(site_url + reverse("faults:job", args=[job.ref]))
    expect(page.get_by_text("The client said yes.")).to_be_visible()
    yes = Authority.objects.get()
    assert (yes.given_by, yes.up_to_amount) == ("Ann Field", 400)
    # The dig is entered, and the limit is full: no further visit starts.
    make_jobs.line(job=job, quantity=4, unit_price=100, on=today_at(fault.property))
    page.reload()
    expect(page.get_by_text("The limit in money is used up.")).to_be_visible()

    # The dig is over: its line goes into a batch, and is not there to be billed again.
    began = timezone.now() - timedelta(hours=2)
    Job.objects.filter(pk=job.pk).update(
        state=JobState.DONE, started_at=began, ended_at=timezone.now(), actual_minutes=120
    )
    page.goto(site_url + reverse("faults:unbilled"))
    page.locator("tbody input[name=rows]").check()
    page.get_by_role("button", name="Give to the books…").click()
    expect(page.locator("#lines")).to_be_visible()
    page.get_by_role("button", name="Give them to the books").click()
    expect(page.get_by_text("Take its file into your books")).to_be_visible()
    entry = BatchLine.objects.get()
    assert (entry.charged, entry.approver, entry.line.job_id) == (400, "Ann Field", job.pk)
    page.goto(site_url + reverse("faults:unbilled"))
    expect(page.locator("tbody input[name=rows]")).to_have_count(0)
