"""An owner in a real browser: from home to the worst leg, why, what renewing is worth, a file."""

from datetime import date

import pytest
from playwright.sync_api import Page, expect

from sites.kernel.engines.roles import Role
from tests import make
from tests.services.hotspots.trunk import trunk
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


@pytest.fixture
def owned(page: Page, site_url: str) -> Page:
    """Home, as the owner of a trunk of which one leg was struck eight times."""
    made = trunk((100.0,) * 12)
    for n in range(8):
        made.struck(made.legs[2], date(2021 + n // 3, 2 + n, 3), feet_along=40.0 + n, depth_in=11)
    made.struck(made.legs[6], date(2022, 8, 1), cause="splice")
    sign_in(page.context, make.user(Role.OWNER), site_url)
    page.goto(site_url)
    return page


def test_from_home_to_the_worst_leg_and_what_renewing_is_worth(owned: Page) -> None:
    owned.get_by_role("navigation", name="Main").get_by_role("link", name="Hotspots").click()
    expect(owned.get_by_role("heading", level=1)).to_contain_text("1 of 12 legs fails more")
    worst = owned.get_by_role("region", name="What fails more than chance makes it")
    expect(worst).to_contain_text("times as often as the rest")
    worst.get_by_role("link", name="T-3").click()
    expect(owned.get_by_role("heading", level=1)).to_contain_text("Leg T-3 fails")
    expect(owned.get_by_role("region", name="Why it stands there")).to_contain_text(
        "8 faults were located on it"
    )
    owned.locator("[data-chart=places-figure][data-drawn=yes]").wait_for()
    owned.get_by_role("link", name="Repair or replace?").click()
    # No verdict on costs of our own: the company's come first.
    expect(owned.get_by_role("region", name="Both ways over 20 years")).to_be_hidden()
    owned.get_by_label("Cost of one fault").fill("630")
    owned.get_by_label("Renewal, per foot").fill("9000")
    owned.get_by_label("Renewal, besides").fill("500")
    owned.get_by_role("button", name="Work it out").click()
    expect(owned.get_by_role("region", name="Both ways over 20 years")).to_be_visible()
    expect(owned.locator(".lead")).to_contain_text("Mending as it breaks costs less")
    assert "per_foot=9000" in owned.url


def test_every_chart_is_drawn_and_the_ranking_leaves_as_a_file(owned: Page, site_url: str) -> None:
    owned.goto(site_url.rstrip("/") + "/hotspots/")
    # Nothing is scrolled: on a desk all is drawn when the page rests, so that it prints.
    for name in ("funnel", "curves", "causes", "months", "covers"):
        box = owned.locator(f"[data-chart={name}-figure]")
        expect(box).to_have_attribute("data-drawn", "yes", timeout=30_000)
    expect(owned.locator("#rows tbody tr").first).to_be_hidden()
    owned.get_by_text("All 12 rows, with rates and intervals").click()
    expect(owned.locator("#rows tbody tr").first).to_contain_text("T-3")
    # A dot leads to its leg, as its name in the table does.
    leads = owned.evaluate(
        """() => document.querySelector('[data-chart=funnel-figure]').data
            .flatMap((trace) => trace.customdata || [])"""
    )
    assert set(leads) == set(
        owned.locator("#rows tbody a[href*='/hotspots/legs/']").evaluate_all(
            "links => links.map((link) => link.getAttribute('href').split('?')[0])"
        )
    )
    with owned.expect_download() as found:
        owned.locator(".below-rows").get_by_role("link", name="XLSX").click()
    assert found.value.suggested_filename.startswith("hotspots-")
