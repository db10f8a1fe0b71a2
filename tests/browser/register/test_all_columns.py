"""Whether a list shows all its columns is kept for that list, on that device."""

import pytest
from playwright.sync_api import Page, expect

from sites.kernel.engines.roles import Role
from tests import make
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


def test_the_tick_stays_with_its_list_through_sorting_and_a_reload(
    page: Page, site_url: str
) -> None:
    make.stopgap(station=make.station(name="behind the chapel"))
    page.set_viewport_size({"width": 1280, "height": 800})
    sign_in(page.context, make.user(Role.OWNER), site_url)
    page.goto(f"{site_url}/?q=")
    tick, further = page.get_by_label("All columns"), page.locator("#rows th.more").first
    expect(further).not_to_be_visible()
    tick.check()
    expect(further).to_be_visible()
    page.locator("#rows th a").first.click()  # sorted, without a new page
    page.wait_for_url("**sort=**")
    expect(further).to_be_visible()
    page.reload()
    expect(tick).to_be_checked()
    expect(further).to_be_visible()
    tick.uncheck()
    page.reload()
    expect(tick).not_to_be_checked()
    expect(further).not_to_be_visible()
