"""What to do next comes after the page, and nothing moves under the pointer when it comes."""

import pytest
from playwright.sync_api import Page, Route, expect

from reports.off_central.services.first_steps import first_steps
from reports.off_central.services.putting_away import put_step_away
from sites.kernel.engines.roles import Role
from tests import make
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


@pytest.mark.parametrize("left_open", [0, 1])
@pytest.mark.parametrize("width", [390, 1440])
def test_a_page_stands_still_when_the_line_comes(
    page: Page, site_url: str, left_open: int, width: int
) -> None:
    make.stopgap(station=make.station())
    owner = make.user(Role.OWNER)
    for step in [step for step in first_steps(owner) if step.is_open][left_open:]:
        put_step_away(user=owner, step=step.name)
    sign_in(page.context, owner, site_url)
    page.set_viewport_size({"width": width, "height": 900})
    held: list[Route] = []
    page.route("**/first-hour/", lambda route: held.append(route))
    with page.expect_request("**/first-hour/"):
        page.goto(site_url)
    below = page.locator(".home-top")
    before = below.bounding_box()
    with page.expect_response("**/first-hour/"):
        held[0].continue_()
    expect(page.get_by_role("link", name="What to do next")).to_have_count(left_open)
    page.wait_for_load_state("networkidle")
    assert below.bounding_box() == before
