"""A technician in the trench records a break with a photo, on a phone."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from faults.models import Break
from sites.kernel.engines.roles import Role
from sites.models import Feed, WireLeg
from tests import make
from tests.cast import OURS, Corner, make_corner
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A page on a phone, 390 px wide, with a finger for a mouse."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True
    )
    yield context.new_page()
    context.close()


@pytest.fixture
def corner(site_url: str) -> Corner:
    """Our tiny register, with a leg in which two wires lie."""
    made = make_corner(OURS)
    leg = make.leg(property=made.property, label="L1", length_ft=100.0)
    for number in (1, 2):
        wire = make.wire(property=made.property, name=f"red {number}")
        WireLeg.objects.create(leg=leg, wire=wire)
        Feed.objects.create(wire=wire, station=made.controller.stations.get(number=number))
    return made


@pytest.fixture
def form(phone: Page, site_url: str, corner: Corner) -> Page:
    """The form of a break, opened from the fault's page."""
    sign_in(phone.context, make.user(Role.TECHNICIAN), site_url)
    phone.goto(site_url + reverse("faults:fault", args=[corner.fault.ref]))
    phone.get_by_role("link", name="Record a break").tap()
    phone.get_by_role("heading", name="Record a break").wait_for()
    return phone


def test_a_break_with_a_photo_is_recorded_with_one_thumb(
    form: Page, corner: Corner, tmp_path: Path
) -> None:
    picture = tmp_path / "camera.jpg"
    picture.write_bytes(make.prepared_photo().content)
    form.get_by_label("Leg", exact=False).first.select_option(label="L1: " + _ends(corner))
    form.get_by_label("red 1").check()
    form.get_by_label("Along the leg, ft").fill("40")
    form.get_by_label("Cause").select_option("shovel")
    form.get_by_label("cut", exact=True).check()
    form.get_by_label("Take a photo").set_input_files(picture)
    form.get_by_role("button", name="Keep this break").tap()
    form.get_by_text("The break is recorded").wait_for()
    one = Break.objects.get()
    assert (one.feet_along, [str(wire) for wire in one.wires.all()]) == (40.0, ["red 1"])
    assert (one.damage, one.photos.count(), one.fault.stage) == ("cut", 1, "found")
    # A picture comes after the page that shows it.
    expect(form.locator("figure.photo img").first).to_have_js_property("naturalWidth", 2)


def _ends(corner: Corner) -> str:
    leg = corner.property.legs.get(label="L1")
    return f"{leg.from_point} – {leg.to_point}, 100 ft"


def test_what_was_typed_stays_when_the_leg_is_chosen_later(form: Page, corner: Corner) -> None:
    form.get_by_label("Notes").fill("beside the bench")
    form.get_by_label("Leg", exact=False).first.select_option(label="L1: " + _ends(corner))
    form.get_by_label("red 2").wait_for()
    expect(form.get_by_label("Notes")).to_have_value("beside the bench")


def test_the_camera_is_asked_for_and_nothing_runs_over_the_edge(form: Page) -> None:
    camera = form.get_by_label("Take a photo")
    expect(camera).to_be_visible()
    expect(camera).to_have_attribute("capture", "environment")
    assert form.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0


def test_what_a_thumb_must_hit_is_large_enough(form: Page) -> None:
    small = [
        each.evaluate("item => item.outerHTML.slice(0, 60)")
        for each in form.locator("main button, main select, main label:has(input)").all()
        if each.is_visible() and (each.bounding_box() or {"height": 0})["height"] < 40
    ]
    assert small == []
