"""Without signal, a sheet refuses that nothing was dug where a break lies in the ground."""

from collections.abc import Iterator

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, expect

from faults.cases.services.opened import ground_was_opened
from faults.models import Job, SheetItem
from sites.kernel.engines.roles import Role
from sites.models import Leg, User
from tests import make, make_jobs, make_searches
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


@pytest.fixture
def tessa(site_url: str) -> User:
    """The technician."""
    return make.user(Role.TECHNICIAN, username="tessa")


@pytest.fixture
def job(tessa: User) -> Job:
    """Her visit of today to a wire with one box, which has begun."""
    way = make_searches.way(150.0, 200.0, joints="s")
    crew = make_jobs.crew(tessa)
    return make_jobs.job(
        fault=way.fault,
        crew=crew,
        day=timezone.localdate(),
        state="started",
        started_at=timezone.now(),
    )


@pytest.fixture
def page(browser: Browser, site_url: str, tessa: User, job: Job) -> Iterator[Page]:
    """Her phone with the sheet open, and then no signal."""
    context: BrowserContext = browser.new_context(
        viewport={"width": 390, "height": 844}, service_workers="block"
    )
    sign_in(context, tessa, site_url)
    made = context.new_page()
    made.goto(site_url + reverse("faults:sheet", args=[job.ref]))
    made.locator(".which-step select").wait_for()
    yield made
    context.close()


def _go(page: Page, step: str) -> None:
    page.locator(".which-step select").select_option(step)


def _found(page: Page, feet: str) -> None:
    _go(page, "found")
    leg = Leg.objects.get(length_ft=150.0)
    page.locator("select[id$=-leg]").select_option(str(leg.pk))
    page.get_by_label("Along the leg").fill(feet)
    page.get_by_label("rodent").check()
    page.get_by_role("button", name="Keep this break").click()


def _mended(page: Page) -> None:
    _go(page, "mended")
    page.get_by_label("spliced", exact=True).check()
    page.get_by_label("nothing was dug").check()
    page.get_by_role("button", name="It is mended").click()


def test_a_break_along_the_leg_is_refused_before_it_is_sent(page: Page) -> None:
    page.context.set_offline(True)
    _found(page, "60")
    _mended(page)
    expect(page.locator(".error", has_text=ground_was_opened())).to_be_visible()
    _go(page, "digs")
    page.get_by_label("nobody: at the terminals").check()
    page.get_by_role("button", name="Tell the office").click()
    expect(page.locator(".error", has_text=ground_was_opened())).to_be_visible()
    page.get_by_label("we, after the client's yes").check()
    page.get_by_role("button", name="Tell the office").click()
    expect(page.locator("#sending")).to_contain_text("2 things are not sent yet")
    assert not SheetItem.objects.exists()


def test_a_break_at_a_box_is_kept(page: Page) -> None:
    page.context.set_offline(True)
    _found(page, "150")
    _mended(page)
    expect(page.locator("#sending")).to_contain_text("2 things are not sent yet")
    page.context.set_offline(False)
    expect(page.locator("#sending")).to_contain_text("Everything is sent", timeout=30_000)
    assert set(SheetItem.objects.values_list("kind", "answer")) == {
        ("found", "accepted"),
        ("mended", "accepted"),
    }


def test_a_break_that_the_office_knows_counts_too(page: Page, job: Job) -> None:
    assert job.fault is not None
    leg = make.leg(property=job.property, length_ft=100.0)
    make.break_found(fault=job.fault, leg=leg, feet_along=40.0)
    job.fault.stations.update(stage="found")
    page.reload()
    page.locator(".which-step select").wait_for()
    page.context.set_offline(True)
    _found(page, "150")
    _mended(page)
    expect(page.locator(".error", has_text=ground_was_opened())).to_be_visible()
