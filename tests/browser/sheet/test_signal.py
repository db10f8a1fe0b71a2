"""A weak line, a server that stumbles, a clock that was reset: nothing goes out of view."""

import re
from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from faults.models import Job, Reading, SearchReading, SheetItem
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs, make_searches
from tests.browser.sheet.test_page import open_sheet, sheet_of
from tests.services_real.chromium import sign_in
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.service

# The sheet tries again after a quarter of a minute: here at once.
SOONER = "window.setTimeout = ((real) => (go, ms) => real(go, ms > 9000 ? 50 : ms))(setTimeout)"
LENGTHS_FT = (200, 300, 100, 182)


@pytest.fixture
def tessa(site_url: str) -> User:
    """The technician."""
    return make.user(Role.TECHNICIAN, username="tessa")


@pytest.fixture
def job(tessa: User) -> Job:
    """Her visit of today, under way, to a wire of 782 ft on a property in US units."""
    way = make_searches.way(*LENGTHS_FT, joints="ssn")
    crew = make_jobs.crew(tessa)
    return make_jobs.job(
        fault=way.fault,
        crew=crew,
        day=timezone.localdate(),
        state="started",
        started_at=timezone.now(),
    )


@pytest.fixture
def context(browser: Browser, site_url: str, tessa: User) -> Iterator[BrowserContext]:
    """A phone."""
    made = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, service_workers="block"
    )
    sign_in(made, tessa, site_url)
    yield made
    made.close()


def begin_search(page: Page, *tools: str) -> None:
    """Open the step and start the search."""
    page.locator(".which-step select").select_option("search")
    for tool in tools:
        page.get_by_label(tool).check()
    page.get_by_role("button", name="Start the search").tap()
    page.locator(".do-next .taps .tap, .do-next form").first.wait_for()


def fail_to_refresh(page: Page) -> None:
    """Let what is posted pass and what is fetched after it fail."""
    page.route("**/sheet/data/", lambda route: route.abort())


def test_what_was_sent_stays_in_view_when_the_refresh_after_it_fails(
    context: BrowserContext, job: Job, site_url: str
) -> None:
    page = open_sheet(context, site_url + sheet_of(job))
    fail_to_refresh(page)
    begin_search(page)
    first_advice = page.locator(".do-next .action").inner_text()
    page.locator(".do-next .taps .tap").first.tap()
    wait_until(lambda: SearchReading.objects.count() == 1, what="the test on the server")
    expect(page.locator("#sending")).to_contain_text("Everything is sent")
    page.wait_for_timeout(800)
    expect(page.locator("#tests > li")).to_have_count(1)
    assert page.locator(".do-next .action").inner_text() != first_advice

    page.unroute("**/sheet/data/")
    page.locator(".do-next .taps .tap").first.tap()
    wait_until(lambda: SearchReading.objects.count() == 2, what="the second test")
    expect(page.locator("#tests > li")).to_have_count(2)
    page.reload()
    page.locator(".which-step select").select_option("search")
    expect(page.locator("#tests > li")).to_have_count(2)
    assert SearchReading.objects.count() == 2


@pytest.mark.parametrize(
    ("units", "label", "typed", "feet"), [("US", "ft", "310", 310.0), ("metric", "m", "100", 328.1)]
)
def test_a_distance_is_typed_in_the_units_of_the_property(
    context: BrowserContext,
    job: Job,
    site_url: str,
    units: str,
    label: str,
    typed: str,
    feet: float,
) -> None:
    type(job.property).objects.filter(pk=job.property_id).update(units=units)
    page = open_sheet(context, site_url + sheet_of(job))
    begin_search(page)
    page.locator("summary", has_text="Another test").tap()
    page.locator("#other-other").select_option("read distance")
    field = page.get_by_label(re.compile(rf"^Distance to the fault.*\b{label}$"))
    field.first.fill(typed)
    page.get_by_role("button", name="Keep this test").first.tap()
    wait_until(lambda: SearchReading.objects.count() == 1, what="the distance")
    assert SearchReading.objects.get().said["feet"] == pytest.approx(feet, abs=0.05)
    expect(page.locator(".told")).to_contain_text(f" {label}")


@pytest.mark.parametrize(("typed", "is_asked"), [("781", False), ("782", False), ("783", True)])
def test_a_distance_beyond_the_wire_is_asked_about_once(
    context: BrowserContext, job: Job, site_url: str, typed: str, is_asked: bool
) -> None:
    page = open_sheet(context, site_url + sheet_of(job))
    begin_search(page)
    page.locator("summary", has_text="Another test").tap()
    page.locator("#other-other").select_option("read distance")
    page.get_by_label(re.compile("^Distance to the fault.*ft$")).first.fill(typed)
    keep = page.get_by_role("button", name="Keep this test").first
    keep.tap()
    if is_asked:
        expect(page.get_by_text("beyond the end of this wire")).to_be_visible()
        assert SearchReading.objects.count() == 0
        keep.tap()
    wait_until(lambda: SearchReading.objects.count() == 1, what="the distance")
    assert SearchReading.objects.get().said["feet"] == float(typed)


def read_ohms(page: Page, ohms: str) -> None:
    """Enter a reading at the controller."""
    page.locator(".which-step select").select_option("arrive")
    page.get_by_label("The meter shows").first.fill(ohms)
    page.get_by_role("button", name="Keep this reading").first.tap()


def test_one_thing_over_which_the_server_stumbles_holds_up_nothing_behind_it(
    context: BrowserContext, job: Job, site_url: str
) -> None:
    page = open_sheet(context, site_url + sheet_of(job))

    def stumble(route: Route) -> None:
        if '"value":41.5' in (route.request.post_data or ""):
            route.fulfill(status=500, body="Something broke")
        else:
            route.continue_()

    page.wait_for_load_state("networkidle")
    context.set_offline(True)
    read_ohms(page, "41.5")
    expect(page.locator("#sending")).to_contain_text("1 thing")
    read_ohms(page, "30")
    expect(page.locator("#sending")).to_contain_text("2 things")
    page.route("**/sheet/items/", stumble)
    page.evaluate(SOONER)
    context.set_offline(False)
    expect(page.locator(".not-kept")).to_contain_text("could not take this in")
    wait_until(lambda: Reading.objects.filter(value=30).exists(), what="the second")
    expect(page.locator("#sending")).to_contain_text("Everything is sent")
    assert not Reading.objects.filter(value=41.5).exists()


def test_a_phone_that_is_asked_to_come_again_comes_a_little_later_and_says_nothing_of_signal(
    context: BrowserContext, job: Job, site_url: str
) -> None:
    page = context.new_page()
    page.clock.install(time=timezone.now())
    page.goto(site_url + sheet_of(job))
    page.locator(".which-step select").wait_for()
    asked: list[int] = []

    def busy(route: Route) -> None:
        asked.append(1)
        if len(asked) == 1:
            route.fulfill(status=503, headers={"Retry-After": "3"}, body="Others are sending")
        else:
            route.continue_()

    page.route("**/sheet/items/", busy)
    with page.expect_response("**/sheet/items/") as first:
        read_ohms(page, "41.5")
        page.clock.run_for(1_000)
    assert first.value.status == 503
    expect(page.locator("#sending")).not_to_contain_text("signal")
    page.clock.run_for(1_900)  # at most 2.9 s after it: not sooner than it was asked to
    assert len(asked) == 1
    with page.expect_response("**/sheet/items/"):
        page.clock.run_for(4_200)  # more than 6 s after it: within twice that
    wait_until(lambda: Reading.objects.filter(value=41.5).exists(), what="the reading")
    expect(page.locator("#sending")).to_contain_text("Everything is sent")
    assert len(asked) == 2


def test_what_was_recorded_under_a_reset_clock_waits_until_its_day_is_given(
    context: BrowserContext, job: Job, site_url: str
) -> None:
    page = context.new_page()
    page.clock.install(time=timezone.now())
    page.goto(site_url + sheet_of(job))
    page.locator(".which-step select").wait_for()
    read_ohms(page, "31")
    wait_until(lambda: SheetItem.objects.count() == 1, what="a first word with the server")
    page.clock.set_system_time(timezone.now() - timedelta(days=2000))
    read_ohms(page, "32")
    expect(page.locator(".not-kept")).to_contain_text("The clock of this phone was wrong")
    page.clock.set_system_time(timezone.now())
    page.clock.run_for(20_000)
    assert SheetItem.objects.count() == 1
    yesterday = timezone.localdate() - timedelta(days=1)
    page.locator(".not-kept summary").tap()
    page.get_by_label("On which day was it?").fill(yesterday.isoformat())
    page.get_by_role("button", name="Send it for this day").tap()
    page.clock.run_for(2_000)
    wait_until(lambda: SheetItem.objects.count() == 2, what="the reading")
    assert Reading.objects.get(value=32).taken_on == yesterday
    expect(page.locator(".not-kept")).to_have_count(0)


def test_what_is_typed_while_the_phone_still_writes_is_of_the_next_thing(
    context: BrowserContext, job: Job, site_url: str
) -> None:
    page = open_sheet(context, site_url + sheet_of(job))
    held: list[Route] = []
    page.route("**/sheet/typed.js", lambda route: held.append(route))
    with page.expect_request("**/sheet/typed.js"):  # without it the first cannot be written
        read_ohms(page, "41.5")
    shows = page.get_by_label("The meter shows").first
    expect(shows).to_have_value("")
    shows.fill("30")
    page.wait_for_timeout(500)  # ten times as long as a thing waits before it is sent
    assert len(held) == 1
    assert not Reading.objects.exists()
    for route in held:
        route.continue_()
    wait_until(lambda: Reading.objects.filter(value=41.5).exists(), what="the first")
    page.get_by_role("button", name="Keep this reading").first.tap()
    wait_until(lambda: Reading.objects.filter(value=30).exists(), what="the second")
    assert Reading.objects.count() == 2


def test_two_quick_taps_keep_one_thing(context: BrowserContext, job: Job, site_url: str) -> None:
    page = open_sheet(context, site_url + sheet_of(job))
    page.locator(".which-step select").select_option("arrive")
    page.get_by_label("The meter shows").first.fill("41.5")
    keep = page.get_by_role("button", name="Keep this reading").first
    keep.evaluate("button => { button.click(); button.click(); }")
    wait_until(lambda: Reading.objects.exists(), what="the reading")
    expect(page.locator("#sending")).to_contain_text("Everything is sent")
    expect(page.locator("p.error:not(:empty)")).to_have_count(0)
    assert Reading.objects.count() == 1


@pytest.mark.parametrize("rests_ms", [0, 400])
def test_a_tap_is_not_lost_where_the_sheet_is_drawn_anew_under_the_finger(
    context: BrowserContext, job: Job, site_url: str, rests_ms: int
) -> None:
    page = open_sheet(context, site_url + sheet_of(job))
    page.wait_for_load_state("networkidle")
    step = page.locator("h2")
    before = step.inner_text()
    page.locator(".onward button").hover()
    page.mouse.down()
    page.evaluate("window.dispatchEvent(new Event('offline'))")
    page.wait_for_timeout(rests_ms)
    page.mouse.up()
    expect(step).not_to_have_text(before)


def test_a_finger_that_rests_does_not_keep_the_sheet_from_being_drawn(
    context: BrowserContext, job: Job, site_url: str
) -> None:
    page = open_sheet(context, site_url + sheet_of(job))
    page.wait_for_load_state("networkidle")
    page.evaluate("document.querySelector('#sheet h2').dataset.old = 'yes'")
    page.locator("#sheet h2").hover()
    page.mouse.down()
    page.evaluate("window.dispatchEvent(new Event('offline'))")
    page.wait_for_timeout(300)
    expect(page.locator("#sheet h2[data-old]")).to_have_count(1)
    expect(page.locator("#sheet h2[data-old]")).to_have_count(0, timeout=3_000)
    page.mouse.up()
