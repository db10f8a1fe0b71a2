"""The plan picture through the browser: put up, scaled, filled with points, seen by its client."""

import pytest

from sites.ground.services.plan_picture import put_up_plan_picture
from sites.kernel.engines.roles import Role
from sites.models import Point, Property, User
from sites.register.services.photos import PreparedPhoto
from tests import make
from tests.cast import Cast, Corner
from tests.web.pages import Sheet, open_page, send
from tests.web.register.test_photos import brought

pytestmark = pytest.mark.django_db


@pytest.fixture
def place(ours: Corner) -> Property:
    """Our client's property, with a controller A and a splice box S that a leg joins."""
    where = ours.property
    start = make.point(property=where, name="A", kind="controller")
    make.leg(property=where, from_point=start, to_point=make.point(property=where, name="S"))
    return where


@pytest.fixture
def pictured(place: Property) -> Property:
    """The same with a plan picture of 800 by 600."""
    put_up_plan_picture(place=place, photo=PreparedPhoto(b"\xff\xd8jpeg", 800, 600))
    return place


def address(place: Property, page: str) -> str:
    """Return the address of a page about the plan."""
    return f"/properties/{place.ref}/plan/{page}"


def point(name: str) -> Point:
    """Return a point by name."""
    return Point.objects.get(name=name)


def put(user: User, place: Property, name: str, x: object, y: object) -> Sheet:
    """Put a point on the picture through its form."""
    fields = {"point": point(name).ref, "x": x, "y": y}
    return send(user, address(place, "points/"), **fields)


def test_from_a_file_to_a_plan_drawn_to_scale(place: Property, cast: Cast) -> None:
    sheet = send(cast.technician, address(place, "picture/"), photo=brought())
    assert sheet.heading == "Give the plan picture its scale"
    scale = {"first_x": 0, "first_y": 0, "second_x": 40, "second_y": 0, "distance": 400}
    sheet = send(cast.technician, address(place, "scale/"), **scale)
    assert sheet.heading == "Put points on the plan picture"
    put(cast.technician, place, "A", 5, 5)
    sheet = put(cast.technician, place, "S", 35, 5)
    assert "0 points have no place yet" in sheet.words
    drawn = open_page(cast.client_user, address(place, ""))
    assert "Points stand on your plan picture, to its scale." in drawn.words
    (image,) = drawn.tree.find("image")
    assert image.attributes["href"].startswith(address(place, "picture.jpg"))


def test_metres_are_taken_where_the_property_is_metric(pictured: Property, cast: Cast) -> None:
    pictured.units = "metric"
    pictured.save()
    scale = {"first_x": 0, "first_y": 0, "second_x": 400, "second_y": 0, "distance": 100}
    send(cast.technician, address(pictured, "scale/"), **scale)
    pictured.plan_picture.refresh_from_db()
    assert pictured.plan_picture.distance_ft == pytest.approx(328.084, abs=0.001)
    sheet = open_page(cast.technician, address(pictured, "scale/"))
    assert sheet.value("distance") == "100.0"
    assert "Distance between them, m" in sheet.words


def test_a_refused_scale_keeps_what_was_typed(pictured: Property, cast: Cast) -> None:
    scale = {"first_x": 7, "first_y": 7, "second_x": 8, "second_y": 7, "distance": 12}
    sheet = send(cast.technician, address(pictured, "scale/"), **scale)
    assert sheet.status == 422
    assert "These two places are one." in sheet.errors[0]
    assert (sheet.value("first_x"), sheet.value("distance")) == ("7", "12")


def test_the_next_point_without_a_place_is_chosen(pictured: Property, cast: Cast) -> None:
    sheet = open_page(cast.technician, address(pictured, "points/"))
    assert sheet.value("point") == point("A").ref
    assert "2 points have no place yet" in sheet.words
    sheet = put(cast.technician, pictured, "A", 10, 20)
    assert sheet.messages == ["A stands on the plan picture."]
    assert sheet.value("point") == point("S").ref


def test_a_point_can_be_chosen_and_moved(pictured: Property, cast: Cast) -> None:
    put(cast.technician, pictured, "A", 10, 20)
    sheet = open_page(cast.technician, f"{address(pictured, 'points/')}?point={point('A').ref}")
    assert (sheet.value("x"), sheet.value("y")) == ("10.0", "20.0")
    put(cast.technician, pictured, "A", 11, 21)
    assert (point("A").plan_x_px, point("A").plan_y_px) == (11, 21)


def test_a_point_off_the_picture_is_refused_on_the_form(pictured: Property, cast: Cast) -> None:
    sheet = put(cast.technician, pictured, "S", 900, 20)
    assert sheet.status == 422
    assert sheet.errors == ["This place is off the picture. Choose one on it."]
    assert (sheet.value("point"), sheet.value("x")) == (point("S").ref, "900")


def test_a_point_of_another_property_cannot_be_chosen(
    pictured: Property, theirs: Corner, cast: Cast
) -> None:
    make.point(property=theirs.property, name="T")
    assert put(cast.owner, pictured, "T", 10, 20).status == 422
    assert point("T").plan_x_px is None


def test_a_point_is_taken_off(pictured: Property, cast: Cast) -> None:
    put(cast.technician, pictured, "A", 10, 20)
    sheet = send(cast.technician, f"/points/{point('A').ref}/plan/off/")
    assert sheet.messages == ["A is off the plan picture."]
    assert point("A").plan_x_px is None


def test_removed_and_brought_back(pictured: Property, cast: Cast) -> None:
    put(cast.technician, pictured, "A", 10, 20)
    sheet = send(cast.technician, address(pictured, "picture/remove/"))
    assert "can be brought back" in sheet.messages[0]
    assert open_page(cast.technician, address(pictured, "picture.jpg")).status == 404
    assert "Bring the earlier picture back" in sheet.links
    send(cast.technician, address(pictured, "picture/back/"))
    assert open_page(cast.technician, address(pictured, "picture.jpg")).status == 200


def test_a_scale_given_to_a_picture_replaced_meanwhile_is_not_kept(
    pictured: Property, cast: Cast
) -> None:
    stamp = open_page(cast.technician, address(pictured, "scale/")).value("stamp")
    put_up_plan_picture(place=pictured, photo=PreparedPhoto(b"jpeg", 500, 500))
    scale = {"first_x": 0, "first_y": 0, "second_x": 400, "second_y": 0, "distance": 100}
    sheet = send(cast.technician, address(pictured, "scale/"), stamp=stamp, **scale)
    assert sheet.status == 422
    assert "Somebody changed this while your form was open." in sheet.words
    assert sheet.value("distance") == "100"


def test_it_is_sent_as_a_picture_and_as_nothing_else(pictured: Property, cast: Cast) -> None:
    answer = open_page(cast.client_user, address(pictured, "picture.jpg")).response
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize("page", ["picture/", "scale/", "points/", "picture/remove/"])
def test_a_stranger_finds_nothing_and_a_client_may_not_change_it(
    pictured: Property, cast: Cast, page: str
) -> None:
    elsewhere = make.user(Role.TECHNICIAN, client=make.client())
    assert open_page(elsewhere, address(pictured, page)).status == 404
    assert open_page(cast.client_user, address(pictured, page)).status == 403


def test_another_clients_picture_is_not_found(pictured: Property, cast: Cast) -> None:
    assert open_page(cast.outsider, address(pictured, "picture.jpg")).status == 404


def test_a_page_that_pretends_to_be_a_picture_is_refused(place: Property, cast: Cast) -> None:
    sheet = send(cast.technician, address(place, "picture/"), photo=brought(b"<html></html>"))
    assert sheet.status == 422
    assert "not a picture" in sheet.errors[0]


def test_places_are_typed_where_scripts_do_not_run(pictured: Property, cast: Cast) -> None:
    sheet = open_page(cast.technician, address(pictured, "scale/"))
    assert (
        len([each for each in sheet.tree.find("input") if "number" in each.attributes.values()])
        == 5
    )
    assert "The picture is 800 by 600 pixels." in sheet.words
