"""A distance that no place on the wire can give is refused on the phone, before it is sent."""

import re
from collections.abc import Iterator

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from faults.models import SearchReading
from sites.kernel.engines.roles import Role
from tests import make, make_jobs, make_searches
from tests.browser.sheet.test_page import open_sheet, sheet_of
from tests.services_real.chromium import sign_in
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.service


@pytest.fixture
def page(browser: Browser, site_url: str) -> Iterator[Page]:
    """A phone at a search on a wire of 500 ft, the form of a distance open."""
    tessa = make.user(Role.TECHNICIAN, username="tessa")
    job = make_jobs.job(
        fault=make_searches.way(200, 300, joints="s").fault,
        crew=make_jobs.crew(tessa),
        day=timezone.localdate(),
        state="started",
        started_at=timezone.now(),
    )
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, service_workers="block"
    )
    sign_in(context, tessa, site_url)
    page = open_sheet(context, site_url + sheet_of(job))
    page.locator(".which-step select").select_option("search")
    page.get_by_role("button", name="Start the search").tap()
    page.locator(".do-next .taps .tap, .do-next form").first.wait_for()
    page.locator("summary", has_text="Another test").tap()
    page.locator("#other-other").select_option("read distance")
    yield page
    context.close()


def type_distance(page: Page, typed: str) -> None:
    page.get_by_label(re.compile("^Distance to the fault.*ft$")).first.fill(typed)
    page.get_by_role("button", name="Keep this test").first.tap()


def test_far_off_the_wire_it_is_refused_however_often_it_is_pressed(page: Page) -> None:
    for _ in range(2):
        type_distance(page, "5000")
        expect(page.get_by_text("by more than its error")).to_be_visible()
    type_distance(page, "-400")
    expect(page.get_by_text("lies before the start of this wire")).to_be_visible()
    assert SearchReading.objects.count() == 0
    # What was typed stands there still, and a distance on the wire is kept.
    type_distance(page, "400")
    wait_until(lambda: SearchReading.objects.count() == 1, what="the distance")
    assert SearchReading.objects.get().said["feet"] == 400
