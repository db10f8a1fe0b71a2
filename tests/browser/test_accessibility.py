"""Every page in a real browser: rules of accessibility in both themes, a phone's width, silence."""

from contextlib import suppress
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import ConsoleMessage, Page, expect

from faults.models import Job
from sites.kernel.engines.roles import Role
from tests import make
from tests.browser.scene import Scene, make_scene
from tests.services_real.chromium import sign_in
from tests.services_real.needs import NotReady, wait_until

pytestmark = pytest.mark.service

# One for all: a new one would read its half megabyte of script again.
AXE = Axe()
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}
# Addresses deeper than /stations/<ref>/ are forms of verbs, all drawn by the same few templates:
# those are looked at in the light theme alone, for the sake of minutes.
MANY_ALIKE = 4
# A chart that is not drawn yet, and a part of the page that htmx fetches after it.
STILL_TO_COME = "[data-chart]:not([data-drawn]), [hx-trigger=load]"


def violations(page: Page, **options: Any) -> list[str]:
    """Return each rule that the page breaks, with the first element that breaks it."""
    # Without this, most of the time goes into what is right and how to find each element again.
    answer = AXE.run(page, options={"resultTypes": ["violations"], **options}).response
    return [f"{each['id']}: {each['nodes'][0]['html'][:120]}" for each in answer["violations"]]


def overflow(page: Page) -> int:
    """Return by how much the page is wider than its window, once drawings have followed."""
    wider = "document.documentElement.scrollWidth - window.innerWidth"
    with suppress(NotReady):
        wait_until(lambda: page.evaluate(wider) <= 0, what="a page that fits", seconds=2)
    return int(page.evaluate(wider))


def look_at(page: Page, url: str, *, both_themes: bool = True) -> dict[str, Any]:
    """Open a page and return all that is wrong with it, by what was looked at."""
    said: list[str] = []

    def keep(message: ConsoleMessage) -> None:
        if message.type == "error":
            said.append(message.text)

    page.on("console", keep)
    page.goto(url)
    for chart in page.locator("[data-chart]").all():  # each is drawn when it comes into view
        chart.scroll_into_view_if_needed()
    expect(page.locator(STILL_TO_COME)).to_have_count(0)
    wrong: dict[str, Any] = {"light": violations(page)}
    if both_themes:
        page.emulate_media(color_scheme="dark")
        wrong["dark"] = violations(page, runOnly=["color-contrast"])
        page.emulate_media(color_scheme="light")
    page.set_viewport_size(PHONE)
    wrong["wider than a phone"] = overflow(page)
    page.set_viewport_size(DESK)
    page.remove_listener("console", keep)
    wrong["console"] = said
    return {name: found for name, found in wrong.items() if found}


def tour(page: Page, site_url: str, addresses: dict[str, str]) -> dict[str, dict[str, Any]]:
    """Look at each page; return what is wrong by the page's name."""
    found = {
        name: look_at(page, site_url + url, both_themes=url.count("/") < MANY_ALIKE)
        for name, url in addresses.items()
    }
    return {name: wrong for name, wrong in found.items() if wrong}


@pytest.fixture
def scene(site_url: str) -> Scene:
    """Something of everything."""
    return make_scene()


def test_every_page_is_accessible_in_both_themes_fits_a_phone_and_complains_of_nothing(
    page: Page, site_url: str, scene: Scene
) -> None:
    sign_in(page.context, scene.owner, site_url)
    addresses = scene.addresses()
    assert {"reports:home", "reports:property", "faults:load"} < addresses.keys()
    assert tour(page, site_url, addresses) == {}


def test_main_pages_fit_the_narrowest_window_and_a_tablet(
    page: Page, site_url: str, scene: Scene
) -> None:
    """Down to 320 px (WCAG 2.2, 1.4.10); what scrolls inside is reached by the keyboard (2.1.1)."""
    sign_in(page.context, scene.owner, site_url)
    addresses = scene.addresses()
    main = {name: url for name, url in addresses.items() if url.count("/") < MANY_ALIKE - 1}
    main |= {name: addresses[name] for name in ("reports:property", "reports:hotspot_worth")}
    assert len(main) > 15
    wrong: dict[str, Any] = {}
    for name, url in main.items():
        page.goto(site_url + url)
        for width in (320, 768):
            page.set_viewport_size({"width": width, "height": 800})
            if wider := overflow(page):
                wrong[f"{name} at {width}"] = wider
        page.set_viewport_size({"width": 320, "height": 800})
        for each in page.locator("details:not([open]) > summary").all():
            if each.is_visible():
                each.click()
        if unreached := violations(page, runOnly=["scrollable-region-focusable"]):
            wrong[name] = unreached
    assert wrong == {}


def test_pages_before_signing_in_and_for_clients_are_so_too(
    page: Page, site_url: str, scene: Scene
) -> None:
    outside = {"sign in": "/account/sign-in/", "forgotten": "/account/forgotten/"}
    assert tour(page, site_url, outside) == {}
    client = make.user(Role.CLIENT, client=scene.corner.property.client)
    sign_in(page.context, client, site_url)
    assert tour(page, site_url, {"client": "/mine/"}) == {}


def test_pages_with_nothing_to_show_are_so_too(page: Page, site_url: str) -> None:
    sign_in(page.context, make.user(Role.OWNER), site_url)
    empty = {"home": "/", "properties": "/properties/", "stations": "/stations/?q=nowhere"}
    empty |= {"moves": "/moves/", "board": "/moves/board/"}
    assert tour(page, site_url, empty) == {}


def test_whose_move_it_is_and_a_board_with_clashes_are_so_too(
    page: Page, site_url: str, scene: Scene
) -> None:
    sign_in(page.context, scene.owner, site_url)
    job = Job.objects.filter(kind="locate").earliest("pk")
    pages = {
        "moves": "/moves/",
        "week": "/moves/board/",
        "day": "/moves/board/?view=day",
        "form": f"/jobs/{job.ref}/board/move/",
    }
    assert tour(page, site_url, pages) == {}


def test_an_error_page_is_so_too_but_for_the_browser_naming_its_status(
    page: Page, site_url: str, scene: Scene
) -> None:
    sign_in(page.context, scene.owner, site_url)
    (wrong,) = tour(page, site_url, {"nowhere": "/nowhere/"}).values()
    assert wrong.keys() == {"console"}
    assert all("404" in line for line in wrong["console"])


def test_a_form_with_mistakes_is_so_too_but_for_the_browser_naming_its_status(
    page: Page, site_url: str, scene: Scene
) -> None:
    sign_in(page.context, scene.owner, site_url)
    page.goto(f"{site_url}/properties/add/")
    page.evaluate("document.querySelector('main form').noValidate = true")
    page.get_by_role("button", name="Add this property").click()
    page.locator(".errorlist").first.wait_for()
    assert violations(page) == []


def test_the_looking_glass_sees_what_is_wrong(page: Page) -> None:
    page.set_viewport_size(PHONE)
    page.set_content('<html><body><img src="x"><p style="width:900px">wide</p></body></html>')
    assert overflow(page) > 0
    assert any(each.startswith("image-alt") for each in violations(page))
