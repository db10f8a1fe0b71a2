"""A bring-home round over 24 stations without signal, and one station that comes home from it."""

import os
from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from faults.cases.services.told import RETURN_LIST
from faults.models import FaultStation, Job, JobKind, Reading, SheetItem
from sites.kernel.engines.roles import Role
from sites.models import Controller, Stopgap, User
from tests import make, make_jobs
from tests.browser.sheet.phone import Phone, a_phone, go_to
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.service

STATIONS, MOST_TAPS = 24, 3


@pytest.fixture
def tessa(site_url: str) -> User:
    """The technician."""
    return make.user(Role.TECHNICIAN, username="tessa", first_name="Tessa")


@pytest.fixture
def clock(site_url: str) -> Controller:
    """A clock with 24 stations on timers, 600 ft of No. 14 each."""
    place = make.place(latitude=40.0, longitude=-105.0)
    clock = make.controller(property=place, name="B")
    since = timezone.localdate() - timedelta(days=5)
    for number in range(1, STATIONS + 1):
        box = make.point(property=place, name=f"B-V{number}", kind="valve box")
        station = make.station(
            controller=clock, number=number, name=f"Bed {number}", run_length_ft=600.0,
            wire_size="14", valve_point=box,
        )  # fmt: skip
        make.stopgap(station=station, on=since, reason="valve or solenoid")
    return clock


@pytest.fixture
def job(tessa: User, clock: Controller) -> Job:
    """Her round of today."""
    crew = make_jobs.crew(tessa, name="North")
    return make_jobs.job(
        property=clock.property, kind=JobKind.BRING_HOME, crew=crew, day=timezone.localdate()
    )


@pytest.fixture
def phone(browser: Browser, site_url: str, tessa: User) -> Iterator[Phone]:
    """Her phone."""
    with a_phone(browser, site_url, tessa) as made:
        yield made


def picture(page: Page, name: str) -> None:
    """Keep a picture where somebody asked for them."""
    if folder := os.environ.get("PICTURES"):
        page.screenshot(path=f"{folder}/{name}.png")


def read_one(page: Page, number: int, ohms: str) -> int:
    """Read the station that is next on the way; return how often the thumb tapped."""
    row = page.locator("li:has(form)")
    expect(row.locator("b")).to_have_text(f"B:{number}")
    row.get_by_role("button", name="open", exact=True).tap()
    row.get_by_label("The meter shows").tap()
    row.get_by_label("The meter shows").type(ohms)
    row.get_by_role("button", name="Keep this test").tap()
    return 3


def test_24_stations_without_signal_and_one_comes_home(
    phone: Phone, job: Job, clock: Controller, site_url: str
) -> None:
    sheet = reverse("faults:sheet", args=[job.ref])
    page = phone.take_along(sheet)
    go_to(page, "homes")
    page.locator("li:has(form)").wait_for()
    picture(page, "round")
    taps = [read_one(page, n, "3.1" if n % 3 else "25") for n in range(1, STATIONS + 1)]
    assert max(taps) <= MOST_TAPS
    # What the phone says without signal; after the last there is no form left.
    expect(page.locator(".rows form")).to_have_count(0)
    first, third = page.locator(".rows > li").nth(0), page.locator(".rows > li").nth(2)
    expect(first).to_contain_text("3.1 Ω: sound: can return today")
    expect(third).to_contain_text("25 Ω: broken")
    page.evaluate("window.scrollTo(0, 0)")
    picture(page, "read")
    first.get_by_role("button", name="on to the proof").tap()
    expect(first).to_contain_text("Its sheet stands in the list of sheets")
    assert SheetItem.objects.count() == 0

    phone.find_signal()
    expect(page.locator("#sending")).to_contain_text("Everything is sent", timeout=30_000)
    assert {row.kind: row.why for row in SheetItem.objects.exclude(answer="accepted")} == {}
    assert Reading.objects.filter(kind="loop", is_open_apart=True).count() == STATIONS
    back = Job.objects.get(kind=JobKind.RETURN)

    come_home(page, site_url, back)
    row = FaultStation.objects.get()
    wait_until(lambda: _stage(row) == "returned", what="the return", seconds=20)
    assert str(row.station) == "B:1"
    assert not Stopgap.objects.open().filter(station=row.station).exists()


def _stage(row: FaultStation) -> str:
    row.refresh_from_db()
    return row.stage


def come_home(page: Page, site_url: str, back: Job) -> None:
    """Prove the station and return it, on the sheet that its test opened."""
    page.goto(site_url + reverse("faults:sheet", args=[back.ref]))
    page.get_by_role("button", name="Start", exact=True).tap()
    go_to(page, "proven")
    picture(page, "prove")
    page.get_by_label("Volts, coil running").fill("24.5")
    page.get_by_label("Ohms, output off").fill("43")
    page.get_by_label("Minutes that it ran from central").fill("3")
    page.get_by_text("The valve was seen to open and to shut").tap()
    page.get_by_role("button", name="It is proven").tap()
    go_to(page, "returned")
    ticks = page.locator(".ask-tick label")
    # Drawn once the phone has kept that it is proven.
    expect(ticks).to_have_count(len(RETURN_LIST))
    for box in ticks.all():
        box.tap()
        expect(box.locator("input")).to_be_checked()
    page.get_by_role("button", name="It is returned").tap()
    expect(ticks).to_have_count(0)
    expect(page.locator("#sending")).to_contain_text("Everything is sent", timeout=30_000)
