"""Photos of boxes and marks: on the phone without signal, and never shown as broken."""

from collections.abc import Iterator
from io import BytesIO

import pytest
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from faults.models import Job
from sites.kernel.engines.roles import Role
from sites.models import Point, User
from sites.register.services.photos import PreparedPhoto, add_photo, hide_photo
from tests import make, make_jobs, make_searches
from tests.browser.sheet.phone import Phone, a_phone, go_to, is_kept, wait_until_kept
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.service


@pytest.fixture
def tessa(site_url: str) -> User:
    """The technician."""
    return make.user(Role.TECHNICIAN, username="tessa")


@pytest.fixture
def job(tessa: User) -> Job:
    """Her visit of today to a wire with two boxes, with a photo of its marks."""
    way = make_searches.way(150.0, 200.0, 120.0, joints="ss")
    made = make_jobs.job(
        fault=way.fault, crew=make_jobs.crew(tessa, name="North"), day=timezone.localdate()
    )
    make_jobs.job_photo(job=made, caption="Marks of the utilities")
    return made


@pytest.fixture
def phone(browser: Browser, site_url: str, tessa: User) -> Iterator[Phone]:
    """Her phone."""
    with a_phone(browser, site_url, tessa) as made:
        yield made


def green_box() -> PreparedPhoto:
    """A picture of 800 by 600."""
    content = BytesIO()
    Image.new("RGB", (800, 600), "green").save(content, "JPEG")
    return PreparedPhoto(content.getvalue(), 800, 600)


def drawn(page: Page) -> list[int]:
    """How wide each picture is that the step shows; 0 = broken."""
    found: list[int] = page.locator(".photos img").evaluate_all(
        "all => all.map(x => x.complete ? x.naturalWidth : -1)"
    )
    return found


def test_photos_are_there_without_signal_and_go_when_they_are_hidden(
    phone: Phone, job: Job, site_url: str
) -> None:
    box = Point.objects.filter(property=job.property, kind="splice box").order_by("pk")[0]
    photo = add_photo(owner=box, photo=green_box(), caption="", by=None, at=timezone.now())
    of_box, of_marks = (
        reverse("faults:sheet_photo", args=[job.ref, each.ref])
        for each in (photo, job.photos.get())
    )
    page = phone.switch_on()
    page.goto(site_url + reverse("faults:sheets"))
    for taken_along in (of_box, of_marks):
        wait_until_kept(page, taken_along)
    phone.lose_signal()
    page.goto(site_url + reverse("faults:sheet", args=[job.ref]))
    go_to(page, "there")
    expect(page.locator(".photos figcaption")).to_have_text(
        [f"Photo of {box.name}", "Marks of the utilities"]
    )
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    wait_until(lambda: drawn(page) == [360, 2], what="both pictures", seconds=10)
    expect(page.get_by_text("not on this phone yet")).to_have_count(0)

    hide_photo(photo=photo, today=timezone.localdate())
    phone.find_signal()
    page.goto(site_url + reverse("faults:sheets"))
    wait_until(lambda: not is_kept(page, of_box), what="the picture gone", seconds=20)


def test_a_photo_that_was_not_taken_along_is_said_in_words(
    phone: Phone, job: Job, site_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Through the worker as well as from the page, whichever of the two asks.
    monkeypatch.setattr("faults.sheet.views.sheets.picture_on_sheet", lambda *_: None)
    page = phone.switch_on()
    page.goto(site_url + reverse("faults:sheets"))
    wait_until_kept(page, reverse("faults:sheet", args=[job.ref]))
    phone.lose_signal()
    page.goto(site_url + reverse("faults:sheet", args=[job.ref]))
    go_to(page, "there")
    expect(page.locator(".photos")).to_contain_text("not on this phone yet")
    expect(page.locator(".photos img")).to_have_count(0)
