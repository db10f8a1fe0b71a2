"""A hole at a half of a long leg, as a phone says it: how far along, and from which point."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from faults.models import KindOfTest
from sites.kernel.engines.roles import Role
from tests import make, make_jobs, make_searches
from tests.browser.sheet.test_page import open_sheet, sheet_of
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


@pytest.fixture
def page(browser: Browser, site_url: str) -> Iterator[Page]:
    """A phone at a search on a leg of 800 ft between boxes that walks did not show, twice."""
    tessa = make.user(Role.TECHNICIAN, username="tessa")
    way = make_searches.way(100, 800, 100, joints="ss")
    now = timezone.now()
    search = make_searches.search(
        fault=way.fault, station=way.station, wire=way.wire, started_at=now - timedelta(hours=2)
    )
    _clock, first, second, _valve = (point.pk for point in way.points)
    told = [
        {"kind": "box", "point": first, "controller_bad": False, "valve_bad": True, "runs": False},
        {"kind": "box", "point": second, "controller_bad": True, "valve_bad": False, "runs": False},
        *[{"kind": "tone walked", "point": second, "to_point": first}] * 2,
    ]
    for minutes, said in enumerate(told):
        make_searches.search_reading(
            search=search,
            kind=KindOfTest(str(said["kind"])),
            said=said,
            taken_at=now - timedelta(minutes=60 - minutes),
        )
    job = make_jobs.job(
        fault=way.fault,
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
    page.locator(".do-next .action").first.wait_for()
    yield page
    context.close()


def test_the_phone_says_where_and_leads_to_what_was_found(page: Page) -> None:
    hole = page.locator(".do-next", has_text="Open the ground on leg")
    expect(hole.locator(".action")).to_contain_text("400 ft from box 1")
    assert "%(" not in page.locator("main").inner_text()
    # Nobody names a hole where no plan asks for one.
    page.locator("summary", has_text="Another test").tap()
    assert not [
        each
        for each in page.locator("#other-other option").all_inner_texts()
        if each.startswith("Open the ground")
    ]
    hole.get_by_role("button", name="the fault lies bare").tap()
    expect(page.locator(".which-step select")).to_have_value("found")
