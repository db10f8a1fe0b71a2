"""A client in a real browser: its own properties and nobody else's, in its own language."""

import pytest
from playwright.sync_api import Page, expect

from tests.cast import OURS, THEIRS, make_cast, make_corner
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


@pytest.fixture
def mine(page: Page, site_url: str) -> Page:
    """The page that a client comes to, signed in as our client."""
    cast = make_cast(make_corner(OURS), make_corner(THEIRS))
    sign_in(page.context, cast.client_user, site_url)
    page.goto(site_url)
    return page


def test_sees_only_its_own(mine: Page, site_url: str) -> None:
    expect(mine.get_by_role("heading", level=1)).to_have_text("Your properties")
    expect(mine.get_by_role("link", name=f"{OURS}-park")).to_be_visible()
    for address in ("/mine/", "/properties/", "/stations/", "/faults/", f"/search/?q={THEIRS}"):
        mine.goto(site_url.rstrip("/") + address)
        assert f"{THEIRS}-park" not in mine.content()


def test_reads_it_in_spanish_after_choosing_that(mine: Page, site_url: str) -> None:
    mine.goto(site_url.rstrip("/") + "/account/")
    mine.get_by_label("Language").select_option("es")
    mine.get_by_role("button", name="Keep").click()
    mine.goto(site_url)
    expect(mine.get_by_role("heading", level=1)).to_have_text("Sus propiedades")
    expect(mine.get_by_text("Un cable enterrado está roto")).to_be_visible()
    expect(mine.locator("html")).to_have_attribute("lang", "es")
