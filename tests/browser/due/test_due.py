"""What is due, on a phone and with a thumb: done, moved with its reason, handed over."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from faults.models import FollowUp, FollowUpState
from sites.kernel.engines.roles import Role
from sites.models import Property, User
from tests import make, make_due
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service

PHONE = {"width": 390, "height": 844}
LEAST_TARGET_PX = 44


@pytest.fixture
def place(site_url: str) -> Property:
    """A property with a long name, as real ones have."""
    return make.place(code="Meadowlark retirement village, the north gardens")


@pytest.fixture
def technician(page: Page, site_url: str) -> User:
    """A technician in the field, signed in on a phone."""
    made = make.user(Role.TECHNICIAN, username="tess", first_name="Tess")
    sign_in(page.context, made, site_url)
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    return made


def due(place: Property, what: str, days: int) -> FollowUp:
    """Something that is due so many days from now."""
    return make_due.follow_up(
        property=place, what=what, due_on=timezone.localdate() + timedelta(days=days)
    )


def line(page: Page, what: str) -> Locator:
    """The line that says it."""
    return page.locator(".due-line", has_text=what)


def day_after(days: int) -> date:
    """The day so many days from now."""
    return timezone.localdate() + timedelta(days=days)


def test_done_is_one_tap(page: Page, site_url: str, place: Property, technician: User) -> None:
    row = due(place, "Change the batteries behind the chapel", -3)
    due(place, "Look at the turf by gate 2", 0)
    page.goto(site_url + reverse("faults:due"))
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    line(page, "behind the chapel").get_by_role("button", name="Done").click()
    expect(line(page, "behind the chapel")).to_have_count(0)
    expect(line(page, "by gate 2")).to_have_count(1)
    row.refresh_from_db()
    assert (row.state, row.done_by) == (FollowUpState.DONE, technician)
    page.get_by_role("button", name="Take back").click()
    expect(line(page, "behind the chapel")).to_have_count(1)


def test_what_a_thumb_must_hit_is_large_enough(
    page: Page, site_url: str, place: Property, technician: User
) -> None:
    due(place, "Soak the strip along the drive", 0)
    page.goto(site_url + reverse("faults:due"))
    line(page, "Soak the strip").locator("summary").click()
    acts = line(page, "Soak the strip").locator(".due-acts").locator("button, a, summary")
    expect(acts).to_have_count(5)
    for act in acts.all():
        box = act.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= LEAST_TARGET_PX


def test_a_move_asks_why_and_keeps_what_was_typed(
    page: Page, site_url: str, place: Property, technician: User
) -> None:
    row = due(place, "Test A:4 again", 0)
    page.goto(site_url + reverse("faults:due"))
    line(page, "Test A:4").locator("summary").click()
    line(page, "Test A:4").get_by_role("button", name="Move").click()
    page.locator("input[type=date]").fill(day_after(5).isoformat())
    page.locator("main form button").last.click()
    expect(page.locator("input[type=date]")).to_have_value(day_after(5).isoformat())
    page.locator("[name=why]").fill("the ground is frozen")
    page.locator("main form button").last.click()
    expect(line(page, "Test A:4")).to_contain_text(day_after(5).isoformat())
    row.refresh_from_db()
    assert row.due_on == day_after(5)
    latest = row.history.latest()
    assert "frozen" in (latest.history_change_reason or "")


def test_a_task_is_handed_to_somebody_who_may_do_it(
    page: Page, site_url: str, place: Property, technician: User
) -> None:
    colleague = make.user(Role.TECHNICIAN, username="tom", first_name="Tom")
    row = due(place, "Chase the key for box 3", 1)
    page.goto(site_url + reverse("faults:due"))
    line(page, "Chase the key").locator("summary").click()
    line(page, "Chase the key").get_by_role("button", name="Hand over").click()
    page.locator("main select").select_option(str(colleague.pk))
    page.locator("main form button").last.click()
    expect(line(page, "Chase the key")).to_contain_text("with Tom")
    row.refresh_from_db()
    assert row.handed_to == colleague


def test_a_tick_on_a_heap_ticks_its_lines_and_three_clicks_do_and_undo_it(
    page: Page, site_url: str, place: Property, technician: User
) -> None:
    rows = [due(place, f"Flush lateral {n}", -n) for n in range(1, 6)]
    other = due(make.place(), "Look at the pump", 0)
    page.goto(site_url + reverse("faults:due"))
    bar = page.locator("#many")
    page.locator("summary", has_text="5 lines").click()
    page.locator(".due-heap > input").check()
    expect(bar.locator("output")).to_have_text("5 ticked")
    line(page, "Flush lateral 2").locator("input").uncheck()
    expect(bar.locator("output")).to_have_text("4 ticked")
    line(page, "Flush lateral 5").locator("input").click()
    line(page, "Flush lateral 3").locator("input").click(modifiers=["Shift"])
    expect(bar.locator("output")).to_have_text("1 ticked")
    bar.get_by_role("checkbox", name="on this page").check()
    expect(bar.locator("output")).to_have_text("6 ticked")
    bar.get_by_role("button", name="Done").click()
    expect(page.locator(".acted")).to_contain_text("6 lines done.")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    keys = [row.pk for row in (*rows, other)]
    assert FollowUp.objects.filter(pk__in=keys, state=FollowUpState.DONE).count() == 6
    page.get_by_role("button", name="Take back").click()
    expect(page.locator(".acted")).to_contain_text("6 taken back.")
    assert FollowUp.objects.filter(pk__in=keys, state=FollowUpState.OPEN).count() == 6
