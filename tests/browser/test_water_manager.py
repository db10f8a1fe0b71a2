"""A water manager's morning: sign in, see the count, find the oldest, why, and where it is."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from sites.kernel.engines.roles import Role
from sites.stopgaps.services.spells import rebuild_spells
from tests import make
from tests.services_real.chromium import sign_in
from tests.web.fern_row import FernRow, make_fern_row

pytestmark = pytest.mark.service

PASSWORD = "seven dry lawns"


@pytest.fixture
def fern(site_url: str) -> FernRow:
    """Fern Row, and Walter who manages its water."""
    walter = make.user(Role.WATER_MANAGER, username="walter", first_name="Walter")
    walter.set_password(PASSWORD)
    walter.save()
    return make_fern_row()


@pytest.fixture
def home(page: Page, site_url: str, fern: FernRow) -> Page:
    """Off central, opened by Walter through the sign-in form."""
    page.goto(site_url)
    page.get_by_label("Username").fill("walter")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page).to_have_title(re.compile("Off central"))
    # The title is there before the scripts: a choice made now would reach none of them.
    page.wait_for_load_state()
    return page


def shown(page: Page) -> list[str]:
    """Return the stations in the list, in order."""
    return page.locator("#rows tbody tr > th").all_inner_texts()


def mark(page: Page) -> None:
    """Leave a mark that a reload of the page would wipe out."""
    page.evaluate("window.theSamePage = true")


def is_marked(page: Page) -> bool:
    """Return whether the page was never reloaded since it was marked."""
    return bool(page.evaluate("window.theSamePage === true"))


def test_signs_in_and_sees_how_many_stations_are_off(home: Page) -> None:
    expect(home.get_by_role("heading", level=1)).to_have_text(
        "5 of 7 stations are off central control"
    )
    assert "Walter" in home.locator("header").inner_text()


def test_finds_the_longest_off_and_why_in_two_clicks(home: Page) -> None:
    home.locator(".lead a").first.click()
    expect(home.get_by_role("heading", level=1)).to_have_text("A:7 lawn A7")
    expect(home.locator(".lead")).to_contain_text("wire, at least")
    home.get_by_role("link", name="Fern Row").click()
    expect(home.get_by_role("heading", level=1)).to_have_text("Fern Row")
    expect(home.locator(".grid-cells a.off")).to_have_count(5)


def test_filters_by_reason_without_reloading_the_page(home: Page) -> None:
    mark(home)
    home.get_by_label("Reason").select_option("link lost")
    expect(home.locator("#rows tbody tr")).to_have_count(2)
    assert (shown(home), is_marked(home)) == (["B:1", "B:2"], True)
    assert re.search("reason=link(%20|[+])lost", home.url)


def test_filters_while_typing(home: Page) -> None:
    mark(home)
    home.get_by_label("Text").press_sequentially("A:7")
    expect(home.locator("#rows tbody tr")).to_have_count(1)
    assert (shown(home), is_marked(home)) == (["A:7"], True)


def test_sorts_without_reloading_the_page(home: Page) -> None:
    mark(home)
    home.get_by_label("All columns").check()
    home.locator("#rows th a", has_text="Off since").click()
    expect(home.locator("#rows th[aria-sort]")).to_have_attribute("aria-sort", "descending")
    assert shown(home)[-1] == "A:7"
    assert is_marked(home)


def test_the_address_of_a_filter_can_be_handed_on(home: Page, site_url: str) -> None:
    home.get_by_label("Reason").select_option("link lost")
    home.wait_for_url(re.compile("reason=link"))
    home.goto(home.url)
    assert shown(home) == ["B:1", "B:2"]
    expect(home.get_by_label("Reason")).to_have_value("link lost")


def test_going_back_from_a_station_brings_the_filtered_page(home: Page) -> None:
    home.get_by_label("Reason").select_option("link lost")
    expect(home.locator("#rows tbody tr")).to_have_count(2)
    home.locator("#rows").get_by_role("link", name="B:1").click()
    home.wait_for_url("**/stations/**")
    home.go_back()
    expect(home.get_by_role("heading", level=1)).to_have_text(re.compile("are off central"))
    expect(home.locator("#rows tbody tr")).to_have_count(2)


def test_going_back_over_filters_brings_whole_pages_with_their_chart(home: Page) -> None:
    for reason in ("wire", "link lost"):
        home.get_by_label("Reason").select_option(reason)
        home.wait_for_url(re.compile(f"reason={reason.split()[0]}"))
    home.go_back()
    expect(home.locator("#rows tbody tr").first).to_contain_text("A:7")
    assert shown(home) == ["A:7", "A:1"]
    expect(home.get_by_label("Reason")).to_have_value("wire")
    home.locator("[data-drawn=yes]").wait_for()


def test_pages_of_a_long_list_turn_without_reloading(page: Page, site_url: str) -> None:
    clock = make.controller(name="M")
    first = timezone.localdate() - timedelta(days=90)
    for number in range(1, 31):
        make.stopgap(station=make.station(controller=clock, number=number), on=first)
    rebuild_spells(clock.stations.values_list("pk", flat=True))
    sign_in(page.context, make.user(Role.WATER_MANAGER), site_url)
    page.goto(site_url)
    mark(page)
    page.get_by_role("navigation", name="Pages of the table").get_by_text("2").click()
    expect(page.locator("#rows tbody tr")).to_have_count(5)
    assert (shown(page)[0], is_marked(page)) == ("M:26", True)


def test_a_session_that_ended_leads_to_sign_in_and_back_to_the_filter(home: Page) -> None:
    home.context.clear_cookies()
    home.get_by_label("Reason").select_option("wire")
    expect(home.get_by_role("heading", level=1)).to_have_text("Sign in")


def test_all_of_it_works_by_keyboard(home: Page) -> None:
    home.keyboard.press("Tab")
    expect(home.locator(".skip")).to_be_focused()
    home.keyboard.press("Enter")
    expect(home.locator("main")).to_be_focused()
    home.keyboard.press("Tab")
    expect(home.locator(".lead a").first).to_be_focused()
    outline = home.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid"


def test_without_scripts_the_same_form_filters(
    fern: FernRow, browser: object, site_url: str
) -> None:
    context = browser.new_context(java_script_enabled=False)  # type: ignore[attr-defined]
    sign_in(context, make.user(Role.WATER_MANAGER), site_url)
    page = context.new_page()
    page.goto(site_url)
    page.get_by_label("Reason").select_option("link lost")
    page.get_by_role("button", name="Filter").click()
    assert shown(page) == ["B:1", "B:2"]
    context.close()
