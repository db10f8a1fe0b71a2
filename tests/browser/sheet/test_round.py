"""A station walk of a round over 24 stations, on a phone without signal."""

import os
from collections.abc import Iterator

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from faults.models import Fault, Job, LeftOut, WalkNote
from faults.rounds.services.of_job import progress_of_job
from faults.rounds.services.planning import plan_visits
from sites.kernel.engines.roles import Role
from sites.models import Controller, User
from tests import make, make_jobs, make_rounds
from tests.browser.sheet.phone import Phone, a_phone, go_to
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.service

STATIONS = 24


@pytest.fixture
def tessa(site_url: str) -> User:
    """The technician."""
    return make.user(Role.TECHNICIAN, username="tessa", first_name="Tessa")


@pytest.fixture
def clock(site_url: str) -> Controller:
    """A clock with 24 stations."""
    clock = make.controller(property=make.place(), name="B")
    for number in range(1, STATIONS + 1):
        make.station(controller=clock, number=number, name=f"Bed {number}")
    return clock


@pytest.fixture
def job(tessa: User, clock: Controller) -> Job:
    """Her visit of today, of a round."""
    today = timezone.localdate()
    the_round = make_rounds.round_over(clock.property, starts_on=today)
    (visit,) = plan_visits(
        the_round=the_round, until=today, by=tessa, at=timezone.now(), today=today
    )
    job = visit.job
    assert job is not None
    job.crew, job.day = make_jobs.crew(tessa, name="North"), today
    job.save()
    return job


@pytest.fixture
def phone(browser: Browser, site_url: str, tessa: User) -> Iterator[Phone]:
    """Her phone."""
    with a_phone(browser, site_url, tessa) as made:
        yield made


def picture(page: Page, name: str) -> None:
    """Keep a picture where somebody asked for them."""
    if folder := os.environ.get("PICTURES"):
        page.screenshot(path=f"{folder}/{name}.png")


def see(page: Page, name: str, words: str) -> None:
    """Say what one station did."""
    page.get_by_role("group", name=name, exact=True).get_by_role("button", name=words).tap()


def test_24_stations_are_walked_left_and_reported_without_signal(
    phone: Phone, job: Job, clock: Controller
) -> None:
    page = phone.take_along(reverse("faults:sheet", args=[job.ref]))
    go_to(page, "walk")
    count = page.locator("#what-is-left")
    expect(count).to_have_text("24 of 24 left")
    expect(page.get_by_role("button", name="Next: B:1")).to_be_visible()
    picture(page, "round-walk")
    for number in range(1, 21):
        see(page, f"B:{number}", "works" if number != 7 else "does not")
    expect(count).to_have_text("4 of 24 left")
    page.get_by_role("button", name="Report B:7 as a fault").tap()
    expect(page.get_by_role("button", name="Report B:7 as a fault")).to_have_count(0)
    page.get_by_text("Leave one out, and say why").tap()
    expect(page.get_by_label("Which one?")).to_have_value(f"station-{_key(clock, 21)}")
    page.get_by_role("button", name="Leave it out").tap()
    expect(page.locator(".left-of-round .error")).to_have_text("Why is it left?: this is needed.")
    page.get_by_role("button", name="another reason").tap()
    page.get_by_label("In a few words").fill("a wasps' nest")
    page.get_by_role("button", name="Leave it out").tap()
    expect(page.locator(".left-of-round li")).to_have_text("B:21: a wasps' nest")
    expect(page.get_by_role("button", name="Next: B:22")).to_be_visible()
    page.get_by_role("button", name="All other 4 run").wait_for()
    picture(page, "round-left")
    see(page, "B:22", "works")
    see(page, "B:23", "on timer")
    expect(count).to_have_text("2 of 24 left")
    assert not WalkNote.objects.exists()
    phone.find_signal()
    wait_until(lambda: WalkNote.objects.count() == 22, seconds=30, what="walked")
    wait_until(lambda: LeftOut.objects.count() == 1, seconds=30, what="left out")
    come, visit = progress_of_job(Job.objects.select_related("property").get(pk=job.pk))
    assert visit is not None
    assert (come.done, come.total, come.percent) == (22, 24, 91)
    assert list(come.faults) == [Fault.objects.get(stations__station__number=7)]
    expect(count).to_have_text("2 of 24 left")


def _key(clock: Controller, number: int) -> int:
    return int(clock.stations.get(number=number).pk)
