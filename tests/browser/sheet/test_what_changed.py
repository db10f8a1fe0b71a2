"""What changed on a sheet since a person last looked at it, and what only one side gave."""

from collections.abc import Iterator

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from faults.models import Job, SearchReading
from sites.kernel.engines.roles import Role
from sites.models import Contact, Station, User
from tests import make, make_jobs, make_searches
from tests.browser.sheet.phone import Phone, a_phone, go_to, wait_until_kept, wait_until_looked
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.service

MINUTE_MS = 60_000
# The phone's clock two minutes on: what it shows is old, and it asks once it is looked at.
LATER = f"Date.now = ((real) => () => real() + {2 * MINUTE_MS})(Date.now)"
LOOKED_AT = "document.dispatchEvent(new Event('visibilitychange'))"


@pytest.fixture
def tessa(site_url: str) -> User:
    """The technician."""
    return make.user(Role.TECHNICIAN, username="tessa")


@pytest.fixture
def job(tessa: User) -> Job:
    """Her visit of today, under way, to a wire with three boxes."""
    return make_jobs.job(
        fault=make_searches.way(200, 300, 100, 182, joints="ssn").fault,
        crew=make_jobs.crew(tessa),
        day=timezone.localdate(),
        state="started",
        started_at=timezone.now(),
    )


@pytest.fixture
def phone(browser: Browser, site_url: str, tessa: User) -> Iterator[Phone]:
    """Her phone."""
    with a_phone(browser, site_url, tessa) as made:
        yield made


def look(phone: Phone, job: Job) -> Page:
    """Open the sheet and wait until the phone keeps it."""
    sheet = reverse("faults:sheet", args=[job.ref])
    page = phone.switch_on()
    page.goto(phone.url + sheet)
    wait_until_kept(page, sheet)
    wait_until_looked(page)
    return page


def test_new_numbers_are_said_before_the_next_tap_and_other_changes_until_seen(
    phone: Phone, job: Job
) -> None:
    page = look(phone, job)
    expect(page.locator(".changed")).to_have_count(0)
    assert job.fault is not None
    station = job.fault.stations.get().station
    old = str(station)
    Station.objects.filter(pk=station.pk).update(number=station.number + 40)
    station.refresh_from_db()
    Contact.objects.create(property=job.property, name="Ann Gate", phone="555-02")
    page.evaluate(LATER)
    page.evaluate(LOOKED_AT)
    said = page.locator("#renumbered")
    expect(said).to_contain_text(f"{old} is {station} now")
    # Nothing below it can be tapped.
    assert page.evaluate("document.querySelector('#renumbered').matches(':modal')")
    said.get_by_role("button").tap()
    expect(page.locator("#renumbered")).to_have_count(0)
    expect(page.locator(".changed")).to_have_count(0)
    # What is not a number is said in passing, and stays until it was seen: in another visit too.
    Job.objects.filter(pk=job.pk).update(notes="The dog is loose")
    page.reload()
    page.evaluate(LATER)
    page.evaluate(LOOKED_AT)
    expect(page.locator(".changed")).to_contain_text("New: Notes: The dog is loose")
    page.reload()
    expect(page.locator(".changed")).to_contain_text("The dog is loose")
    page.locator(".changed").get_by_role("button").tap()
    expect(page.locator(".changed")).to_have_count(0)
    page.reload()
    go_to(page, "there")
    expect(page.get_by_text("Ann Gate")).to_be_visible()
    expect(page.locator(".changed")).to_have_count(0)


def test_one_side_alone_and_the_level_of_the_tone_are_recorded(phone: Phone, job: Job) -> None:
    page = look(phone, job)
    go_to(page, "search")
    page.get_by_role("button", name="Start the search").tap()
    page.locator(".do-next .taps .tap").first.wait_for()
    # The strip names its boxes.
    assert page.locator(".belief .name").count() >= 3
    page.locator("summary", has_text="Another test").tap()
    other = page.locator("#other-other")
    other.select_option("test one side")
    page.get_by_role("button", name="toward the controller good").tap()
    other.select_option("level")
    page.get_by_role("button", name="middle", exact=True).tap()
    other.select_option("level from valve")
    for label, typed in (("on this wire", "40"), ("sound wire of the same run", "0")):
        page.get_by_label(label).fill(typed)
    page.get_by_role("button", name="Keep this test").tap()
    expect(page.get_by_text("then its level says nothing")).to_be_visible()
    page.get_by_label("sound wire of the same run").fill("80")
    page.get_by_role("button", name="Keep this test").tap()
    wait_until(lambda: SearchReading.objects.count() == 3, what="the tests on the server")
    kept = [row.said for row in SearchReading.objects.order_by("pk")]
    assert (kept[0]["controller_bad"], kept[0]["valve_bad"]) == (False, None)
    assert (kept[1]["third"], kept[1]["from_valve"]) == ("middle", False)
    marks = [kept[2][name] for name in ("level", "on_sound_wire", "at_transmitter", "from_valve")]
    assert marks == [40, 80, 0, True]
    expect(page.locator("#tests > li")).to_have_count(3)
