"""The board by keyboard alone, by pointer, and with two people at it at once."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from faults.models import Crew, Fault, Job
from faults.work.services import move_job
from sites.kernel.engines.roles import Role
from sites.models import User
from sites.stopgaps.services.spells import rebuild_spells
from tests import make, make_jobs
from tests.cast import OURS, Corner, make_corner
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


@pytest.fixture
def corner(site_url: str) -> Corner:
    """Our tiny register; a second station of it is off central control."""
    made = make_corner(OURS)
    make.stopgap(station=made.on_central)
    rebuild_spells([made.on_central.pk])
    return made


@pytest.fixture
def crew(corner: Corner) -> Crew:
    """Crew North, with one member."""
    return make_jobs.crew(make.user(Role.TECHNICIAN), name="North")


@pytest.fixture
def dispatcher(page: Page, site_url: str) -> User:
    """Who plans, signed in."""
    made = make.user(Role.DISPATCHER, username="dora")
    sign_in(page.context, made, site_url)
    return made


def monday() -> date:
    """The Monday of next week: a whole week lies ahead on the board."""
    today = timezone.localdate()
    return today + timedelta(days=7 - today.weekday())


def board(site_url: str, day: date) -> str:
    """The address of the week of a day."""
    return f"{site_url}{reverse('faults:board')}?day={day}"


def press(page: Page, name: str, role: str = "button") -> None:
    """Put the focus on it, and press Enter as a keyboard user does."""
    one = page.get_by_role(role, name=name, exact=True)  # type: ignore[arg-type]
    one.focus()
    page.keyboard.press("Enter")


def said(page: Page, words: str) -> None:
    """Expect the words to be announced."""
    expect(page.locator("#board-said")).to_contain_text(words)


def test_a_fault_on_the_phone_becomes_a_locked_job_without_a_mouse(
    page: Page, site_url: str, corner: Corner, crew: Crew, dispatcher: User
) -> None:
    page.goto(site_url + reverse("faults:report_on_station", args=[corner.on_central.ref]))
    page.get_by_label("In your words").or_(page.locator("[name=summary]")).first.focus()
    page.keyboard.type("dead since the fence was set")
    press(page, "Report this fault")
    page.get_by_text("is reported.").wait_for()
    fault = Fault.objects.latest("pk")
    page.goto(site_url + reverse("faults:job_add_for_fault", args=[fault.ref]))
    press(page, "Plan this job")
    page.get_by_text("Planned.").wait_for()
    job = Job.objects.get(fault=fault)
    page.goto(board(site_url, monday()))
    press(page, f"Pick up {job}")
    said(page, f"Picked up: {job}")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowRight")
    said(page, f"Now at: North, Tuesday {monday() + timedelta(days=1)}")
    page.keyboard.press("Enter")
    said(page, f"{job}: North, {monday() + timedelta(days=1)}.")
    expect(page.get_by_role("button", name=f"Pick up {job}")).to_be_focused()
    press(page, f"Lock {job}")
    page.get_by_text(f"{job} is locked to its day.").wait_for()
    job.refresh_from_db()
    fault.refresh_from_db()
    assert (job.crew, job.day, job.is_locked) == (crew, monday() + timedelta(days=1), True)
    assert fault.stage == "scheduled"


def test_escape_leaves_a_job_where_it_was(
    page: Page, site_url: str, crew: Crew, dispatcher: User
) -> None:
    job = make_jobs.job(crew=crew, day=monday())
    page.goto(board(site_url, monday()))
    press(page, f"Pick up {job}")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Escape")
    said(page, "Left where it was.")
    job.refresh_from_db()
    assert job.day == monday()


def test_a_card_is_dragged_to_another_day(
    page: Page, site_url: str, crew: Crew, dispatcher: User
) -> None:
    job = make_jobs.job(crew=crew, day=monday())
    page.goto(board(site_url, monday()))
    there = page.locator(f"td[data-day='{monday() + timedelta(days=2)}']")
    page.locator(f"#job-{job.ref}").drag_to(there)
    said(page, f"{job}: North, {monday() + timedelta(days=2)}.")
    expect(there.locator(f"#job-{job.ref}")).to_be_visible()


def test_a_card_is_dragged_to_another_week(
    page: Page, site_url: str, crew: Crew, dispatcher: User
) -> None:
    job = make_jobs.job(crew=crew, day=monday())
    page.goto(board(site_url, monday()))
    day = monday() + timedelta(days=9)
    there = page.locator(f"td[data-day='{day}']")
    page.locator(f"#job-{job.ref}").hover()
    page.mouse.down()
    onward = page.get_by_role("link", name="Next week")
    onward.hover()
    onward.hover()  # a browser that is driven says that something lies over it at the next move
    expect(there).to_be_visible()
    there.hover()
    there.hover()
    page.mouse.up()
    said(page, f"{job}: North, {day}.")
    expect(there.locator(f"#job-{job.ref}")).to_be_visible()
    job.refresh_from_db()
    assert job.day == day


def test_by_keys_to_the_week_after_and_back(
    page: Page, site_url: str, crew: Crew, dispatcher: User
) -> None:
    job = make_jobs.job(crew=crew, day=monday() + timedelta(days=1))
    page.goto(board(site_url, monday()))
    press(page, f"Pick up {job}")
    for key, day in (("PageDown", 8), ("PageDown", 15), ("PageUp", 8)):
        page.keyboard.press(key)
        said(page, f"{monday() + timedelta(days=day)}")
    page.keyboard.press("Enter")
    said(page, f"{job}: North, {monday() + timedelta(days=8)}.")
    job.refresh_from_db()
    assert job.day == monday() + timedelta(days=8)


def test_into_the_tray_asks_why(page: Page, site_url: str, crew: Crew, dispatcher: User) -> None:
    job = make_jobs.job(crew=crew, day=monday())
    page.goto(board(site_url, monday()))
    press(page, f"Pick up {job}")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    page.get_by_label("Why").fill("the crew is ill")
    page.keyboard.press("Enter")
    page.get_by_text(f"{job} lies in the tray.").wait_for()
    job.refresh_from_db()
    assert job.crew is None


def test_the_second_of_two_is_told_and_nothing_typed_is_lost(
    page: Page, browser: Browser, site_url: str, crew: Crew, dispatcher: User
) -> None:
    job = make_jobs.job(crew=crew, day=monday())
    url = site_url + reverse("faults:board_move", args=[job.ref])
    other = browser.new_context()
    sign_in(other, make.user(Role.DISPATCHER, username="dirk"), site_url)
    second = other.new_page()
    for each in (page, second):
        each.goto(url)
    second.get_by_label("Why").fill("swapped with Tuesday")
    second.locator("#id_day").fill(str(monday() + timedelta(days=2)))
    page.locator("#id_day").fill(str(monday() + timedelta(days=1)))
    page.get_by_role("button", name="Move to…").click()
    page.get_by_text(f"{job}: North,").first.wait_for()
    second.get_by_role("button", name="Move to…").click()
    told = second.get_by_role("alert").first
    expect(told).to_contain_text("Somebody changed this while your form was open.")
    expect(told).to_contain_text("dora")
    expect(second.get_by_label("Why")).to_have_value("swapped with Tuesday")
    expect(second.locator("#id_day")).to_have_value(str(monday() + timedelta(days=2)))
    second.get_by_role("button", name="Move to…").click()
    second.get_by_text(f"{job}: North, {monday() + timedelta(days=2)}.").wait_for()
    other.close()


def test_a_card_that_somebody_else_has_moved_is_not_dropped_over_it(
    page: Page, site_url: str, crew: Crew, dispatcher: User
) -> None:
    job = make_jobs.job(crew=crew, day=monday())
    page.goto(board(site_url, monday()))
    at = timezone.now()
    move_job(
        job=Job.objects.get(pk=job.pk),
        crew=crew,
        day=monday() + timedelta(days=4),
        by=dispatcher,
        at=at,
        today=at.date(),
    )
    press(page, f"Pick up {job}")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    said(page, "Not moved: Somebody changed this while your form was open.")
    refused = page.get_by_role("region", name="This was not done")
    expect(refused).to_be_focused()
    expect(refused).to_contain_text(f"{monday()} → {monday() + timedelta(days=4)}")
    there = page.locator(f"td[data-day='{monday() + timedelta(days=4)}']")
    expect(there.locator(f"#job-{job.ref}")).to_be_visible()
    refused.get_by_role("button", name="Move to…").click()
    page.get_by_text(f"{job}: North, {monday() + timedelta(days=1)}.").wait_for()
