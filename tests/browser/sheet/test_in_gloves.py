"""What a hand in gloves and eyes in the sun need: sizes, nothing in the way, mistakes mended."""

from collections.abc import Iterator
from math import hypot

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, expect

from faults.models import Job, Reading
from faults.readings.services.bring_home import homes_of
from faults.sheet.forms.homes import home_step
from sites.kernel.engines.roles import Role
from sites.models import Contact, Controller, User
from tests import make, make_jobs, make_searches
from tests.browser.sheet.phone import go_to, wait_until_looked
from tests.services_real.chromium import sign_in
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.service

GLOVE_PX = 56
LAT, LON, FT_PER_DEGREE = 40.0, -105.0, 364_567.2
PHONE_M = 5.0


@pytest.fixture
def tessa(site_url: str) -> User:
    """The technician."""
    return make.user(Role.TECHNICIAN, username="tessa")


@pytest.fixture
def job(tessa: User) -> Job:
    """Her visit of today; the first box on the way stands 300 ft north of her."""
    way = make_searches.way(150, 200)
    north = {"latitude": LAT + 300 / FT_PER_DEGREE, "longitude": LON, "accuracy_ft": 10}
    for name, value in north.items():
        setattr(way.points[1], name, value)
    way.points[1].save()
    make.station(controller=way.station.controller)
    make.station(controller=way.station.controller)
    Contact.objects.create(property=way.fault.property, name="Kim", phone="555 01")
    return make_jobs.job(fault=way.fault, crew=make_jobs.crew(tessa), day=timezone.localdate())


@pytest.fixture
def page(browser: Browser, site_url: str, tessa: User, job: Job) -> Iterator[Page]:
    """Her sheet, on a phone that knows where it is."""
    made: BrowserContext = browser.new_context(
        viewport={"width": 390, "height": 844},
        has_touch=True,
        is_mobile=True,
        service_workers="block",
        geolocation={"latitude": LAT, "longitude": LON, "accuracy": PHONE_M},
        permissions=["geolocation"],
    )
    sign_in(made, tessa, site_url)
    page = made.new_page()
    page.goto(site_url + reverse("faults:sheet", args=[job.ref]))
    page.locator(".which-step select").wait_for()
    yield page
    made.close()


def test_results_are_large_and_what_was_kept_is_said_where_nothing_is_tapped(page: Page) -> None:
    go_to(page, "arrive")
    expect(page.locator(".tap").first).to_be_visible()
    heights = page.locator(".tap").evaluate_all("all => all.map(x => x.offsetHeight)")
    assert len(heights) > 6
    assert min(heights) >= GLOVE_PX
    bar, toast = page.locator("#sending"), page.locator("#toast")
    expect(bar).to_contain_text("Everything is sent")
    all_sent = bar.bounding_box()
    page.context.set_offline(True)
    page.get_by_role("button", name="works", exact=True).first.tap()
    expect(toast).to_be_visible()
    expect(bar.get_by_role("button", name="Send now")).to_have_count(1)
    # What lies below does not jump under a finger, and nothing of it is covered.
    unsent, told = bar.bounding_box(), toast.bounding_box()
    assert all_sent is not None
    assert unsent is not None
    assert told is not None
    assert abs(unsent["height"] - all_sent["height"]) < 1
    assert told["y"] >= unsent["y"]
    assert told["y"] + told["height"] < unsent["y"] + unsent["height"] + 1


def test_text_of_twice_the_size_and_a_phone_held_across_run_out_nowhere(
    page: Page, job: Job
) -> None:
    wait_until_looked(page)
    Controller.objects.filter(property=job.property).update(name="Old_gatehouse_pump_3")
    page.reload()
    page.locator("#renumbered button").tap()
    # What a browser's own setting does: a page must not be wider than the screen (WCAG 2.2, 1.4.4).
    steps = page.locator(".which-step option").evaluate_all("all => all.map(x => x.value)")
    wide = []
    for width, height, size in ((320, 690, "200%"), (844, 390, "100%"), (320, 690, "100%")):
        page.set_viewport_size({"width": width, "height": height})
        page.evaluate(f"document.documentElement.style.fontSize = '{size}'")
        for step in steps:
            go_to(page, step)
            page.wait_for_timeout(100)
            if page.evaluate("document.documentElement.scrollWidth") > width:
                wide.append((step, width, size))
    assert wide == []


def test_one_tap_says_that_all_others_run(page: Page) -> None:
    go_to(page, "arrive")
    page.get_by_role("button", name="works", exact=True).first.tap()
    expect(page.locator(".all-run")).to_have_count(0)
    # The other of the two is the only one left: it has a button of its own.
    page.get_by_role("button", name="works", exact=True).first.tap()
    expect(page.locator(".rows .tap[aria-pressed=true]")).to_have_count(2)


def test_all_that_are_left_run_by_one_tap(page: Page) -> None:
    go_to(page, "arrive")
    page.get_by_role("button", name="All other 2 run").tap()
    expect(page.locator(".rows .tap[aria-pressed=true]")).to_have_count(2)


def test_cautions_fold_once_read_and_stay_folded(page: Page) -> None:
    go_to(page, "arrive")
    caution = page.locator(".cautions .caution").first
    expect(caution).to_be_visible()
    page.locator(".cautions summary").tap()
    expect(caution).to_be_hidden()
    page.wait_for_timeout(400)
    page.reload()
    page.locator(".which-step select").wait_for()
    go_to(page, "arrive")
    expect(page.locator(".cautions .caution").first).to_be_hidden()


def test_a_refused_reading_is_mended_and_sent_again(page: Page, job: Job) -> None:
    go_to(page, "arrive")
    page.get_by_label("The meter shows").fill("40,5")
    page.get_by_label("Ground temperature").fill("900")
    page.get_by_role("button", name="Keep this reading").tap()
    page.locator(".not-kept summary").tap(timeout=30_000)
    page.get_by_role("button", name="Mend it and send it again").tap()
    expect(page.get_by_label("The meter shows")).to_have_value("40.5")
    page.get_by_label("Ground temperature").fill("60")
    page.get_by_role("button", name="Keep this reading").tap()
    wait_until(lambda: Reading.objects.count() == 1, what="the mended reading", seconds=20)
    row = Reading.objects.get()
    assert (row.value, row.temperature_f) == (40.5, 60.0)
    page.locator(".not-kept").wait_for(state="detached")


def test_a_box_is_found_by_arrow_feet_and_error(page: Page) -> None:
    go_to(page, "there")
    expect(page.locator("a[href='tel:55501']")).to_have_count(1)
    row = page.locator(".rows > li").first
    row.get_by_role("button", name="Find it").tap()
    expect(row.locator(".told")).to_contain_text("300 ft to the north", timeout=20_000)
    # The box: 10 ft at 68 %, 14.2 nine times in ten; the phone: 5 m, 7.1 m, 23.3 ft.
    error = round(hypot(14.216, PHONE_M / 0.3048 * 1.4216))
    expect(row.locator(".told")).to_contain_text(f"give or take {error} ft")
    expect(row.locator(".arrow")).to_have_text("↑")
    # Something comes in meanwhile, and the sheet is drawn again: the search for the box goes on.
    page.context.set_offline(True)
    page.context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    page.wait_for_timeout(500)
    expect(row.locator(".told")).to_contain_text("300 ft to the north")
    row.get_by_role("button", name="Stop").tap()
    expect(row.locator(".told")).to_be_empty()


def test_the_phone_says_of_a_loop_what_the_office_says(page: Page, tessa: User) -> None:
    station = make.station(run_length_ft=800.0, wire_size="14")
    today = timezone.localdate()
    make.stopgap(station=station, on=today, reason="valve or solenoid")
    job = make_jobs.job(property=station.controller.property, kind="bring-home round")
    row, open_ohms = home_step(job, today)["homes"][0], 10_000
    module = page.locator("script[type=module]").get_attribute("src")
    assert module is not None
    ask = "([url, b, said, open]) => import(url).then(m => m.verdictOf(b, said, open))"
    for ohms in (0.3, 2.0, 3.4, 4.0, 5.2, 11.0, 600.0, 99_999.0):
        for apart, seen in (("open", True), ("closed", False), ("", None)):
            said = {"ohms": ohms, "apart": apart, "across": None}
            asked = [module.replace("main", "home"), row["bands"], said, open_ohms]
            kept = make.reading(
                station=station, kind="loop", value=ohms, is_open_apart=seen, taken_on=today
            )
            office = homes_of([station], today=today)[0].verdict
            assert office is not None
            assert page.evaluate(ask, asked)["verdict"] == office.value
            kept.delete()
