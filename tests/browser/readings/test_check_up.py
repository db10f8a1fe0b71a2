"""A technician at a controller types 24 readings on a phone, one Enter after the other."""

from datetime import date

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from faults.models import Reading
from sites.kernel.engines.roles import Role
from sites.models import Controller, Station
from tests import make
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service

PHONE = {"width": 390, "height": 844}
CREEPING, SHORT = 7, 18
MONTHLY = [date(2024, month, 1) for month in range(1, 7)]


@pytest.fixture
def stations(site_url: str) -> list[Station]:
    """Twenty-four stations that should read 50.4 ohm, one with a year of readings."""
    clock = make.controller(name="Rowan")
    sound = {"run_length_ft": 500.0, "wire_size": "18", "coil_ohms": 44.0}
    made = [make.station(controller=clock, number=n, **sound) for n in range(1, 25)]
    for day, ohms in zip(MONTHLY, (50.0, 50.2, 49.9, 50.1, 49.8, 50.1), strict=True):
        make.reading(station=made[CREEPING - 1], taken_on=day, value=ohms)
    return made


def _open_check_up(page: Page, site_url: str, clock: Controller) -> None:
    sign_in(page.context, make.user(Role.TECHNICIAN), site_url)
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    page.goto(site_url + reverse("faults:check_up", args=[clock.ref]))


def test_24_readings_are_typed_in_one_go_and_the_worst_stand_first(
    page: Page, site_url: str, stations: list[Station]
) -> None:
    _open_check_up(page, site_url, stations[0].controller)
    width = page.evaluate("document.documentElement.scrollWidth")
    assert width <= PHONE["width"]
    page.locator(f"input[name=ohms_{stations[0].pk}]").click()
    for station in stations:
        page.wait_for_function("n => document.activeElement.name === n", arg=f"ohms_{station.pk}")
        page.keyboard.type({CREEPING: "57", SHORT: "3"}.get(station.number, "50"))
        page.keyboard.press("Enter")
    page.locator(f"#judged-{stations[SHORT - 1].pk}").get_by_text("short on the way").wait_for()
    page.get_by_role("button", name="Keep what is filled in").click()
    page.get_by_text("24 values kept; the worst stand first.").wait_for()
    rows = page.locator("main tbody tr").all_inner_texts()
    assert "Rowan:18" in rows[0]
    assert "short on the way" in rows[0]
    assert "Rowan:7" in rows[1]
    assert "creeping" in rows[1]
    assert not any("creeping" in row for row in rows[2:])
    assert Reading.objects.filter(value__in=(3, 50, 57)).count() == 25


def test_on_paper_the_cells_are_empty_and_nothing_is_judged(
    page: Page, site_url: str, stations: list[Station]
) -> None:
    _open_check_up(page, site_url, stations[0].controller)
    box = page.locator(f"input[name=ohms_{stations[0].pk}]")
    box.fill("3")
    box.press("Enter")
    judged = page.locator(f"#judged-{stations[0].pk} .judged")
    judged.wait_for()
    page.evaluate("window.print = () => { window.wasPrinted = true }")
    page.get_by_role("button", name="Print an empty sheet").click()
    assert page.evaluate("window.wasPrinted")
    page.emulate_media(media="print")
    expect(judged).not_to_be_visible()
    assert box.evaluate("e => getComputedStyle(e).color") == "rgba(0, 0, 0, 0)"
    expect(box).to_be_visible()
    expect(page.get_by_role("button", name="Keep what is filled in")).not_to_be_visible()
