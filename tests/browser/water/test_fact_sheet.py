"""Twenty missing facts pasted from a spreadsheet, looked over by the keyboard, kept at once."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from sites.kernel.engines.roles import Role
from sites.models import Property, Station, StationFacts
from tests import make, make_water
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service

PASTE = """(text) => {
  const data = new DataTransfer();
  data.setData("text/plain", text);
  document.activeElement.dispatchEvent(
    new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
}"""


@pytest.fixture
def stations(page: Page, site_url: str) -> list[Station]:
    """Five lawns on timers of which only the schedule is known."""
    make_water.climate()
    place = make.place(code="Lawn Park", climate_table="Valley")
    clock = make.controller(property=place, name="A")
    since = timezone.localdate() - timedelta(days=90)
    made = []
    for number in range(1, 6):
        station = make.station(controller=clock, number=number)
        make_water.schedule(station, from_on=since)
        make.stopgap(station=station, on=since)
        made.append(station)
    sign_in(page.context, make.user(Role.WATER_MANAGER), site_url)
    return made


def open_sheet(page: Page, site_url: str, place: Property) -> None:
    """Open the sheet of a property."""
    page.goto(f"{site_url}/properties/{place.ref}/missing/")


def test_twenty_facts_are_pasted_checked_mended_and_kept(
    page: Page, site_url: str, stations: list[Station]
) -> None:
    place = stations[0].controller.property
    open_sheet(page, site_url, place)
    said = page.locator(".fact-sum output")
    expect(said).to_have_text("0 of 5 meters are known")
    first = page.get_by_label("Area, A:1")
    first.focus()
    lines = [f"{2000 + n}\t{10 + n} gpm\t0.8\t75%" for n in range(4)] + ["2004\tfast\t0.8\t75%"]
    page.evaluate(PASTE, "\r\n".join(lines) + "\r\n")
    expect(page.get_by_label("Flow, A:4")).to_have_value("13 gpm")
    expect(page.locator("td", has=page.get_by_label("Flow, A:5"))).to_contain_text("no number")
    expect(said).to_have_text("4 of 5 meters would be known")
    # By the keyboard to the cell that is wrong: down the column, then to the right.
    for _step in range(4):
        page.keyboard.press("ArrowDown")
    expect(page.get_by_label("Area, A:5")).to_be_focused()
    page.keyboard.press("ArrowRight")
    expect(page.get_by_label("Flow, A:5")).to_be_focused()
    page.keyboard.type("never")
    page.keyboard.press("ArrowUp")
    expect(page.locator("[aria-invalid=true]")).to_have_count(0)
    assert not StationFacts.objects.exists()
    page.get_by_role("button", name="Keep all of it").click()
    expect(page.locator(".messages")).to_contain_text("Kept: 20.")
    expect(page.locator(".messages")).to_contain_text("4 of 5 stations")
    facts = StationFacts.objects.order_by("station__number")
    assert [each.flow_gpm for each in facts] == [10, 11, 12, 13, None]
    assert [each.area_sqft for each in facts] == [2000, 2001, 2002, 2003, 2004]
    expect(page.get_by_label("Flow, A:5")).to_have_value("never written down")


def test_it_is_a_plain_form_without_a_script(
    page: Page, site_url: str, stations: list[Station]
) -> None:
    place = stations[0].controller.property
    browser = page.context.browser
    assert browser is not None
    plain = browser.new_context(java_script_enabled=False)
    sign_in(plain, make.user(Role.WATER_MANAGER), site_url)
    sheet = plain.new_page()
    open_sheet(sheet, site_url, place)
    sheet.get_by_label("Area, A:2").fill("2400")
    sheet.get_by_label("Flow, A:2").fill("fast")
    sheet.get_by_role("button", name="Keep all of it").click()
    expect(sheet.get_by_label("Area, A:2")).to_have_value("2400")
    expect(sheet.locator("td", has=sheet.get_by_label("Flow, A:2"))).to_contain_text("no number")
    sheet.get_by_label("Flow, A:2").fill("12")
    sheet.get_by_role("button", name="Keep all of it").click()
    expect(sheet.locator(".messages")).to_contain_text("Kept: 2.")
    plain.close()


def test_a_block_keeps_its_shape_over_what_is_known(
    page: Page, site_url: str, stations: list[Station]
) -> None:
    make_water.facts(stations[1], flow_gpm=None)
    open_sheet(page, site_url, stations[0].controller.property)
    page.get_by_label("Area, A:1").focus()
    page.evaluate(PASTE, "1\t2\n3\t4\n5\t6")
    expect(page.get_by_label("Area, A:3")).to_have_value("5")
    expect(page.get_by_label("Flow, A:2")).to_have_value("4")
    expect(page.get_by_label("Area, A:2")).to_have_count(0)
