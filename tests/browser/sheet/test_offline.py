"""A whole search without signal, on a phone whose battery runs out half-way."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from faults.models import Job, JobPhoto, Search, SearchReading, SheetItem
from sites.kernel.engines.roles import Role
from sites.models import Grant, User
from tests import make, make_jobs, make_searches
from tests.browser.sheet.phone import Phone, a_phone, go_to, is_kept, wait_until_kept
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.service

TESTS = 12


@pytest.fixture
def tessa(site_url: str) -> User:
    """The technician."""
    return make.user(Role.TECHNICIAN, username="tessa", first_name="Tessa")


@pytest.fixture
def job(tessa: User) -> Job:
    """Her visit of today to a wire with six boxes."""
    way = make_searches.way(150.0, 200.0, 120.0, 180.0, 90.0, 160.0, 140.0, joints="ssssss")
    crew = make_jobs.crew(tessa, name="North")
    return make_jobs.job(fault=way.fault, crew=crew, day=timezone.localdate())


@pytest.fixture
def phone(browser: Browser, site_url: str, tessa: User) -> Iterator[Phone]:
    """Her phone."""
    with a_phone(browser, site_url, tessa) as made:
        yield made


class Taps:
    """A thumb that counts how often it taps."""

    def __init__(self, page: Page) -> None:
        self.page, self.count, self.each = page, 0, list[int]()

    def tap(self, selector: str) -> None:
        """Tap the first of these."""
        self.count += 1
        self.page.locator(selector).first.tap()

    def reading(self, selector: str, expected: int) -> None:
        """Tap the result of a test, and wait until it stands in the list."""
        before = self.count
        self.tap(selector)
        expect(self.page.locator("#tests > li")).to_have_count(expected)
        self.each.append(self.count - before)


def record_tests(page: Page, thumb: Taps, start: int, end: int) -> None:
    """Record what the plan asks for, the likelier-looking results in turn."""
    for n in range(start, end):
        thumb.reading(".do-next .taps .tap", n + 1)


def test_a_search_without_signal_survives_a_dead_battery_and_is_all_there_once_in_order(
    phone: Phone, job: Job, site_url: str, tmp_path: Path
) -> None:
    sheet = reverse("faults:sheet", args=[job.ref])
    page = phone.take_along(sheet)
    go_to(page, "search")
    page.get_by_role("button", name="Start the search").tap()
    page.locator(".do-next").wait_for()
    thumb = Taps(page)
    record_tests(page, thumb, 0, 6)
    # The last one was tapped by mistake: it stays in the list, struck out.
    page.get_by_role("button", name="Undo", exact=True).last.tap()
    expect(page.locator("#tests > li.struck")).to_have_count(1)
    assert SheetItem.objects.count() == 0
    phone.kill()

    page = phone.switch_on(has_signal=False)
    page.goto(site_url + sheet)
    expect(page.locator("#sending")).to_contain_text("9 things are not sent yet")
    expect(page.locator("#tests > li")).to_have_count(6)
    thumb.page = page
    record_tests(page, thumb, 6, TESTS)
    go_to(page, "finish")
    picture = tmp_path / "camera.jpg"
    picture.write_bytes(make.prepared_photo().content)
    page.get_by_label("Take a photo").set_input_files(picture)
    page.locator("img.taken").wait_for()
    page.get_by_role("button", name="Keep this photo").tap()
    expect(page.locator("#sending")).to_contain_text("16 things are not sent yet")
    assert SheetItem.objects.count() == 0

    phone.find_signal()
    expect(page.locator("#sending")).to_contain_text("Everything is sent", timeout=30_000)
    assert max(thumb.each) <= 2
    assert {row.kind: row.why for row in SheetItem.objects.exclude(answer="accepted")} == {}
    assert SheetItem.objects.count() == 16
    readings = list(SearchReading.objects.order_by("taken_at"))
    sent = SheetItem.objects.filter(kind="search test").order_by("at")
    assert [one.key for one in readings] == [row.pk for row in sent]
    assert len(readings) == TESTS
    assert [n for n, one in enumerate(readings) if one.voided_at] == [5]
    assert Search.objects.get().job == job
    assert JobPhoto.objects.get().job == job
    job.refresh_from_db()
    assert job.state == "started"

    page.reload()
    expect(page.locator("#sending")).to_contain_text("Everything is sent")
    assert SearchReading.objects.count() == TESTS


def test_a_thing_whose_right_was_withdrawn_is_refused_and_stays_in_view(
    phone: Phone, job: Job, site_url: str, tessa: User
) -> None:
    sheet = reverse("faults:sheet", args=[job.ref])
    page = phone.take_along(sheet)
    expect(page.locator("#sending")).to_contain_text("1 thing is not sent yet")
    Grant.objects.filter(user=tessa).delete()
    phone.find_signal()
    expect(page.locator(".not-kept summary")).to_contain_text(
        "1 thing was not kept", timeout=30_000
    )
    page.locator(".not-kept summary").tap()
    expect(page.locator(".not-kept")).to_contain_text("not yours")
    assert SheetItem.objects.unsettled().get().job == job
    # And the sheet itself is gone from the phone once it has asked.
    page.goto(site_url + sheet)
    wait_until(lambda: not is_kept(page, sheet), what="the sheet gone", seconds=20)


def test_signing_out_leaves_nothing_on_the_phone(phone: Phone, job: Job, site_url: str) -> None:
    page = phone.switch_on()
    page.goto(site_url + reverse("faults:sheets"))
    wait_until_kept(page, reverse("faults:sheet", args=[job.ref]))
    page.get_by_role("button", name="Sign out").tap()
    page.get_by_role("heading", name="Sign in").wait_for()
    assert page.evaluate("caches.keys()") == []
    assert page.evaluate("indexedDB.databases().then(all => all.length)") == 0


def test_whoever_signs_out_with_something_unsent_is_asked_first(
    phone: Phone, job: Job, site_url: str
) -> None:
    page = phone.take_along(reverse("faults:sheet", args=[job.ref]))
    expect(page.locator("#sending")).to_contain_text("1 thing is not sent yet")
    page.goto(site_url + reverse("faults:sheets"))
    with page.expect_event("dialog") as asked:
        page.get_by_role("button", name="Sign out").tap()
    assert "not sent yet" in asked.value.message
    asked.value.dismiss()
    assert page.evaluate("indexedDB.databases().then(all => all.length)") == 1


def test_another_person_on_the_same_phone_finds_nothing_of_the_first(
    phone: Phone, job: Job, site_url: str
) -> None:
    page = phone.switch_on()
    page.goto(site_url + reverse("faults:sheets"))
    wait_until_kept(page, reverse("faults:sheet", args=[job.ref]))
    phone.switch_off()
    phone.user = make.user(Role.TECHNICIAN, username="tim")
    page = phone.switch_on()
    page.goto(site_url + reverse("faults:sheets"))
    names = "caches.keys().then(all => all.filter(each => each.startsWith('sheets-')))"
    wait_until(
        lambda: page.evaluate(names) == [f"sheets-u{phone.user.pk}"],
        what="the second person's own sheets alone",
        seconds=20,
    )
    assert not is_kept(page, reverse("faults:sheet", args=[job.ref]))
