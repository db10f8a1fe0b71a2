"""The site plan in a real browser: zoomed, moved, its layers, and places chosen on a picture."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from sites.ground.services.plan_picture import place_point, put_up_plan_picture
from sites.kernel.engines.roles import Role
from sites.models import Point, Property
from sites.register.services.photos import prepare_photo
from tests import make
from tests.services.register.test_photos import picture
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


@pytest.fixture
def place(transactional_db: None) -> Property:
    """A property with a picture, and on it a controller A and a valve V that a leg joins."""
    where = make.place(code="Fern Row")
    put_up_plan_picture(place=where, photo=prepare_photo(picture(800, 600), keep_position=False))
    points = [
        make.point(property=where, name="A", kind="controller"),
        make.point(property=where, name="V", kind="valve box"),
    ]
    make.leg(property=where, from_point=points[0], to_point=points[1], cover="road")
    make.station(controller=make.controller(property=where), valve_point=points[1])
    for x, point in enumerate(points, start=1):
        place_point(point=point, x_px=200.0 * x, y_px=300.0)
    return where


@pytest.fixture
def opened(page: Page, site_url: str, place: Property) -> Callable[[str], list[str]]:
    """Open a page of the property; what the browser complains of is returned."""
    said: list[str] = []
    page.on("console", lambda each: said.append(each.text) if each.type == "error" else None)
    page.on("pageerror", lambda each: said.append(str(each)))
    sign_in(page.context, make.user(Role.TECHNICIAN), site_url)

    def open_it(address: str) -> list[str]:
        page.goto(f"{site_url}/properties/{place.ref}/{address}")
        page.locator(".plan-live").wait_for()
        return said

    return open_it


def view(page: Page) -> list[float]:
    """Return the part of the drawing that is shown: left, top, width, height."""
    box = page.locator(".plan-frame > svg").get_attribute("viewBox")
    return [float(number) for number in str(box).split()]


def value(page: Page, field: str) -> float:
    """Return a number of the form."""
    return float(page.input_value(f"#id_{field}"))


def test_keys_and_buttons_zoom_and_move_it(page: Page, opened: Callable[[str], Any]) -> None:
    assert opened("plan/?base=picture") == []
    whole = view(page)
    page.locator(".plan-frame").focus()
    page.keyboard.press("+")
    page.keyboard.press("+")
    near = view(page)
    assert near[2] < whole[2] / 2
    page.keyboard.press("ArrowRight")
    assert view(page)[0] > near[0]
    page.get_by_role("button", name="Zoom out").click()
    assert view(page)[2] > near[2]
    page.keyboard.press("Escape")
    page.get_by_role("button", name="All").click()
    assert view(page) == pytest.approx(whole)


def test_a_drag_moves_it_and_follows_no_link(page: Page, opened: Callable[[str], Any]) -> None:
    opened("plan/?base=picture")
    page.get_by_role("button", name="Zoom in").click()
    page.get_by_role("button", name="Zoom in").click()
    before, address = view(page), page.url
    box = page.locator(".plan-frame > svg").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 300, box["y"] + 200)
    page.mouse.down()
    page.mouse.move(box["x"] + 220, box["y"] + 180, steps=4)
    page.mouse.up()
    assert view(page)[0] > before[0]
    assert page.url == address


def test_the_wheel_zooms_only_a_plan_that_was_chosen(
    page: Page, opened: Callable[[str], Any]
) -> None:
    opened("plan/?base=picture")
    whole = view(page)
    page.locator(".plan-frame > svg").hover()
    page.mouse.wheel(0, -200)
    assert view(page) == whole
    page.locator(".plan-frame").focus()
    page.locator(".plan-frame > svg").hover()
    page.mouse.wheel(0, -200)
    page.wait_for_function("document.querySelector('.plan-near')")


def test_a_box_that_is_not_ticked_hides_its_layer(page: Page, opened: Callable[[str], Any]) -> None:
    opened("plan/?base=picture")
    # A level line has no height, so that whether it is "visible" would tell nothing.
    shown = "getComputedStyle(document.querySelector('.layer-covers')).display"
    assert page.evaluate(shown) == "none"
    page.get_by_label("cover", exact=True).check()
    assert page.evaluate(shown) != "none"


def test_the_plan_fetched_into_the_propertys_page_is_alive(
    page: Page, opened: Callable[[str], Any]
) -> None:
    assert opened("") == []
    page.locator(".plan-frame").focus()
    page.keyboard.press("+")
    expect(page.locator(".plan-near")).to_have_count(1)
    page.get_by_text("Your plan picture").click()
    page.locator("image.layer-picture").wait_for()
    expect(page.locator(".plan-live")).to_have_count(1)


def test_two_clicks_give_two_places_and_a_click_beside_the_picture_gives_none(
    page: Page, opened: Callable[[str], Any]
) -> None:
    assert opened("plan/scale/") == []
    box = page.locator(".plan-frame > svg").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + 3, box["y"] + 100)
    assert page.input_value("#id_first_x") == ""
    middle = box["x"] + box["width"] / 2
    page.mouse.click(middle, box["y"] + box["height"] / 2)
    page.mouse.click(middle + 50, box["y"] + box["height"] / 2)
    assert value(page, "first_x") == pytest.approx(400, abs=2)
    assert value(page, "first_y") == pytest.approx(300, abs=2)
    per_pixel = view(page)[2] / box["width"]
    assert value(page, "second_x") - value(page, "first_x") == pytest.approx(50 * per_pixel, abs=1)


def test_arrow_keys_move_the_marker(page: Page, opened: Callable[[str], Any]) -> None:
    valve = Point.objects.get(name="V")
    opened(f"plan/points/?point={valve.ref}")
    page.locator(".plan-frame").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowUp")
    assert value(page, "x") > 400
    assert value(page, "y") < 300
    page.get_by_role("button", name="Keep this place").click()
    page.get_by_text("V stands on the plan picture.").wait_for()
    valve.refresh_from_db()
    assert (valve.plan_x_px or 0) > 400
