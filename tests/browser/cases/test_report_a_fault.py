"""A dispatcher reports a fault while the caller is on the phone: few clicks, no mouse hunt."""

from collections.abc import Callable

import pytest
from django.urls import reverse
from playwright.sync_api import Page

from faults.models import Fault
from sites.kernel.engines.roles import Role
from tests import make
from tests.cast import OURS, Corner, make_corner
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


class Clicks:
    """Clicks on a page, and counts them."""

    def __init__(self, page: Page) -> None:
        self.page, self.count = page, 0

    def on(self, role: str, name: str) -> None:
        """Click what has this role and name."""
        self.count += 1
        self.page.get_by_role(role, name=name, exact=True).first.click()  # type: ignore[arg-type]


@pytest.fixture
def corner(site_url: str) -> Corner:
    """Our tiny register."""
    return make_corner(OURS)


@pytest.fixture
def start(page: Page, site_url: str, corner: Corner) -> Callable[[str], Clicks]:
    """Open a page as the dispatcher."""

    def begin(path: str) -> Clicks:
        sign_in(page.context, make.user(Role.DISPATCHER), site_url)
        page.goto(site_url + path)
        return Clicks(page)

    return begin


def _wait_for_focus(page: Page, field: str) -> None:
    """A person types once the cursor blinks; no click puts it there."""
    page.wait_for_function("name => document.activeElement.name === name", arg=field)


def test_from_a_property_it_takes_three_clicks(
    start: Callable[[str], Clicks], page: Page, corner: Corner
) -> None:
    clicks = start(reverse("reports:property", args=[corner.property.ref]))
    clicks.on("link", "Report a fault")
    _wait_for_focus(page, "stations")
    page.keyboard.type(f"{OURS} clock:2")
    page.get_by_role("group", name="Does the valve open by hand?").get_by_label("yes").check()
    clicks.count += 1
    clicks.on("button", "Report this fault")
    page.get_by_text("is reported.").wait_for()
    kept = Fault.objects.latest("pk")
    assert (kept.opens_by_hand, kept.stations.get().station) == ("yes", corner.on_central)
    assert clicks.count == 3


def test_from_the_list_the_keyboard_is_enough_after_one_click(
    start: Callable[[str], Clicks], page: Page, corner: Corner
) -> None:
    make.place()  # with one property only, the form does not ask for it
    clicks = start(reverse("faults:faults"))
    clicks.on("link", "Report a fault")
    _wait_for_focus(page, "place")
    page.keyboard.type(f"{OURS}-park")
    page.keyboard.press("Tab")
    _wait_for_focus(page, "stations")
    page.keyboard.type(f"{OURS} clock:2")
    page.keyboard.press("Enter")
    page.get_by_text("is reported.").wait_for()
    assert Fault.objects.latest("pk").property == corner.property
    assert clicks.count == 1


def test_the_way_to_a_fault_that_is_open_already_is_one_click(
    start: Callable[[str], Clicks], page: Page, corner: Corner
) -> None:
    clicks = start(reverse("faults:report_on_station", args=[corner.off_central.ref]))
    clicks.on("button", "Report this fault")
    clicks.on("link", f"{OURS}-fault")
    page.get_by_role("heading", name=f"{OURS}-fault: not known, one station").wait_for()
