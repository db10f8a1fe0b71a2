"""On paper every column of a table stands within the sheet, and no picture says it is drawn."""

from itertools import count

import pytest
from django.urls import reverse
from playwright.sync_api import Browser

from tests import make
from tests.browser.scene import make_scene
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service

# Letter and A4 in portrait, less the margins of the sheet, at 96 pixels an inch.
SHEETS_PX = {"Letter": 725, "A4": 703}
OVER = """(wide) => [...document.querySelectorAll("table")].filter((each) =>
    each.offsetParent && each.getBoundingClientRect().right > wide + 1).length"""
WAITING = """() => [...document.querySelectorAll(".chart-wait")].filter((each) =>
    each.offsetParent).length"""


@pytest.mark.parametrize("sheet", SHEETS_PX)
def test_wide_tables_fit_and_no_chart_is_left_undrawn(
    browser: Browser, site_url: str, sheet: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # As wide as names get, whatever was made before.
    monkeypatch.setattr(make, "_number", count(100_000))
    scene = make_scene()
    wide = SHEETS_PX[sheet]
    context = browser.new_context(viewport={"width": wide, "height": 950})
    sign_in(context, scene.owner, site_url)
    page = context.new_page()
    place = reverse("reports:property", args=[scene.corner.property.ref])
    for url in ("/", place, "/hotspots/", "/stopgaps/"):
        page.goto(site_url + url)
        page.emulate_media(media="print")
        page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
        assert page.evaluate(OVER, wide) == 0, url
        assert page.evaluate(WAITING) == 0, url
        page.emulate_media(media="screen")
    context.close()


def test_a_wide_drawing_is_as_wide_as_the_sheet_on_paper_and_as_the_window_again(
    browser: Browser, site_url: str
) -> None:
    scene = make_scene()
    context = browser.new_context(viewport={"width": 980, "height": 950})
    sign_in(context, scene.owner, site_url)
    page = context.new_page()
    page.goto(site_url + "/")
    page.locator("[data-chart]").first.scroll_into_view_if_needed()
    page.locator("[data-drawn] .main-svg").first.wait_for()
    wide = """Math.max(...[...document.querySelectorAll("[data-drawn] .main-svg")].map(
        (each) => Number(each.getAttribute("width"))))"""
    assert page.evaluate(wide) > max(SHEETS_PX.values())
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert 0 < page.evaluate(wide) < min(SHEETS_PX.values())
    page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    page.wait_for_function(f"{wide} > {max(SHEETS_PX.values())}")
    context.close()
