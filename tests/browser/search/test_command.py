"""The command search by keyboard alone, and the bar at the foot of a phone."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.scene import make_scene
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


@pytest.fixture
def owned(page: Page, site_url: str) -> Page:
    """The list of properties, signed in as the owner."""
    sign_in(page.context, make_scene().owner, site_url)
    page.goto(site_url + "/properties/")
    return page


def test_a_page_is_opened_by_keys_alone(owned: Page) -> None:
    owned.keyboard.press("/")
    box = owned.get_by_role("combobox")
    expect(box).to_be_focused()
    owned.keyboard.type("crews")
    first = owned.get_by_role("option", name="Crews", exact=True)
    expect(first).to_have_attribute("aria-selected", "true")
    owned.keyboard.press("ArrowDown")
    expect(first).to_have_attribute("aria-selected", "false")
    second = owned.get_by_role("option", name="Crews and days")
    expect(box).to_have_attribute("aria-activedescendant", str(second.get_attribute("id")))
    owned.keyboard.press("ArrowUp")
    owned.keyboard.press("Enter")
    expect(owned).to_have_url(re.compile("/crews/$"))


def test_enter_right_after_typing_goes_by_what_was_typed(owned: Page) -> None:
    owned.keyboard.press("Control+k")
    expect(owned.get_by_role("option").first).to_be_visible()
    owned.keyboard.type("hotspots")
    owned.keyboard.press("Enter")
    expect(owned).to_have_url(re.compile("/hotspots/$"))


def test_escape_closes_and_a_slash_in_a_box_is_a_slash(owned: Page) -> None:
    owned.keyboard.press("Control+k")
    owned.keyboard.press("Escape")
    expect(owned.get_by_role("combobox")).to_be_hidden()
    field = owned.locator("main input[type=search]").first
    field.press("/")
    expect(field).to_have_value("/")


def test_the_key_can_be_switched_off(owned: Page) -> None:
    owned.keyboard.press("/")
    owned.get_by_label("The / key opens this").uncheck()
    owned.keyboard.press("Escape")
    owned.reload()
    owned.keyboard.press("/")
    expect(owned.get_by_role("combobox")).to_be_hidden()
    owned.get_by_role("button", name="Search").first.click()
    expect(owned.get_by_role("combobox")).to_be_focused()


def test_without_scripts_the_box_leads_to_the_page(page: Page, site_url: str) -> None:
    browser = page.context.browser
    assert browser is not None
    context = browser.new_context(java_script_enabled=False)
    sign_in(context, make_scene().owner, site_url)
    plain = context.new_page()
    plain.goto(site_url + "/properties/")
    plain.get_by_role("searchbox", name="Search").first.fill("marigold")
    plain.get_by_role("searchbox", name="Search").first.press("Enter")
    expect(plain.get_by_role("heading", level=1)).to_have_text("Search")
    expect(plain.get_by_role("link", name="marigold-park").first).to_be_visible()
    context.close()


def test_a_phone_has_the_bar_and_nothing_is_hidden_behind_it(owned: Page, site_url: str) -> None:
    owned.set_viewport_size({"width": 390, "height": 780})
    owned.goto(site_url + "/")
    bar = owned.get_by_role("navigation", name="Short ways")
    expect(bar.get_by_role("link")).to_have_count(4)
    expect(bar).to_be_in_viewport()
    owned.evaluate("window.scrollTo(0, document.body.scrollHeight)")
    foot, at = owned.locator("footer").bounding_box(), bar.bounding_box()
    assert foot is not None
    assert at is not None
    assert foot["y"] + foot["height"] <= at["y"] + 1
