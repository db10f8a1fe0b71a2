"""A plan picture is put up, scaled, filled with points, replaced, removed, and brought back."""

from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.ground.services.plan_picture import (
    UnableToBringBackPlanPicture,
    UnableToPlacePoint,
    UnableToScalePlan,
    bring_back_plan_picture,
    place_point,
    prepare_plan,
    put_up_plan_picture,
    remove_plan_picture,
    scale_plan_picture,
    take_point_off,
)
from sites.kernel.services.verbs import UnableToAct
from sites.models import PlanPicture, Point, Property
from sites.register.services.photos import PreparedPhoto
from tests import make
from tests.services.register.test_photos import picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def place() -> Property:
    """A property without a plan picture."""
    return make.place()


def put_up(place: Property, width: int = 800, height: int = 600) -> PlanPicture:
    """Put a picture of this size up."""
    return put_up_plan_picture(place=place, photo=PreparedPhoto(b"jpeg", width, height))


def scale(picture: PlanPicture, **given: Any) -> None:
    """Set 300 ft between two places, or what is given."""
    known = {"first": (10.0, 10.0), "second": (310.0, 10.0), "distance_ft": 300.0}
    scale_plan_picture(picture=picture, **{**known, **given})


def placed(place: Property) -> dict[str, tuple[float | None, float | None]]:
    """Return where each point stands on the picture."""
    return {point.name: (point.plan_x_px, point.plan_y_px) for point in place.points.all()}


def box(place: Property, name: str = "S", **given: Any) -> Point:
    """Make a splice box."""
    return make.point(property=place, name=name, **given)


def test_a_plan_is_written_anew_with_more_pixels_than_a_photo() -> None:
    prepared = prepare_plan(picture(4400, 2200))
    assert (prepared.width_px, prepared.height_px) == (4000, 2000)
    assert prepared.latitude is None


def test_one_is_put_up_without_a_scale(place: Property) -> None:
    put_up(place)
    shown = PlanPicture.objects.get(property=place)
    assert (shown.width_px, shown.height_px, shown.distance_ft) == (800, 600, None)


def test_two_places_and_their_distance_give_it_a_scale(place: Property) -> None:
    shown = put_up(place)
    scale(shown)
    shown.refresh_from_db()
    assert (shown.first_x_px, shown.second_x_px, shown.distance_ft) == (10.0, 310.0, 300.0)
    assert shown.history.count() == 2


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"first": (-1.0, 5.0)}, "first_x", "off the picture"),
        ({"second": (801.0, 5.0)}, "second_x", "off the picture"),
        ({"second": (14.0, 10.0)}, "second_x", "two places are one"),
        ({"distance_ft": 0.0}, "distance", "above 0"),
        ({"distance_ft": -5.0}, "distance", "above 0"),
        ({"distance_ft": 1e9}, "distance", "above 0"),
    ],
)
def test_what_gives_no_scale_is_refused(
    place: Property, wrong: dict[str, Any], field: str, words: str
) -> None:
    with pytest.raises(UnableToScalePlan, match=words) as refusal:
        scale(put_up(place), **wrong)
    assert refusal.value.field == field


def test_a_point_is_put_on_it_and_taken_off(place: Property) -> None:
    put_up(place)
    point = box(place)
    place_point(point=point, x_px=40.0, y_px=50.0)
    assert placed(place) == {"S": (40.0, 50.0)}
    take_point_off(point=point)
    assert placed(place) == {"S": (None, None)}
    assert point.history.count() == 3


def test_a_point_off_the_picture_is_refused(place: Property) -> None:
    put_up(place)
    with pytest.raises(UnableToPlacePoint, match="off the picture"):
        place_point(point=box(place), x_px=40.0, y_px=601.0)


def test_a_point_without_a_picture_is_refused(place: Property) -> None:
    with pytest.raises(UnableToPlacePoint, match="no plan picture"):
        place_point(point=box(place), x_px=40.0, y_px=50.0)


def test_a_retired_point_is_refused(place: Property) -> None:
    put_up(place)
    with pytest.raises(UnableToPlacePoint, match="retired"):
        place_point(point=box(place, retired_on=date(2025, 1, 1)), x_px=40.0, y_px=50.0)


def test_a_point_without_a_place_cannot_be_taken_off(place: Property) -> None:
    with pytest.raises(UnableToPlacePoint, match="no place"):
        take_point_off(point=box(place))


def test_a_new_picture_starts_without_scale_and_points(place: Property) -> None:
    scale(put_up(place))
    place_point(point=box(place), x_px=40.0, y_px=50.0)
    put_up(place, 1000, 1000)
    shown = PlanPicture.objects.get(property=place)
    assert (shown.width_px, shown.distance_ft) == (1000, None)
    assert placed(place) == {"S": (None, None)}


def test_the_replaced_picture_comes_back_with_its_scale_and_its_points(place: Property) -> None:
    scale(put_up(place))
    first = PlanPicture.objects.get(property=place).file.name
    place_point(point=box(place), x_px=40.0, y_px=50.0)
    put_up(place, 1000, 1000)
    bring_back_plan_picture(place=place)
    shown = PlanPicture.objects.get(property=place)
    assert (shown.file.name, shown.width_px, shown.distance_ft) == (first, 800, 300.0)
    assert placed(place) == {"S": (40.0, 50.0)}


def test_bringing_back_twice_is_where_one_began(place: Property) -> None:
    put_up(place)
    second = put_up(place, 1000, 1000)
    place_point(point=box(place), x_px=900.0, y_px=900.0)
    bring_back_plan_picture(place=place)
    bring_back_plan_picture(place=place)
    shown = PlanPicture.objects.get(property=place)
    assert (shown.file.name, shown.width_px) == (second.file.name, 1000)
    assert placed(place) == {"S": (900.0, 900.0)}


def test_a_removed_picture_comes_back_with_its_scale_and_its_points(place: Property) -> None:
    shown = put_up(place)
    scale(shown)
    place_point(point=box(place), x_px=40.0, y_px=50.0)
    remove_plan_picture(picture=shown)
    assert not PlanPicture.objects.filter(property=place).exists()
    bring_back_plan_picture(place=place)
    assert PlanPicture.objects.get(property=place).distance_ft == 300.0
    assert placed(place) == {"S": (40.0, 50.0)}


def test_the_removed_picture_comes_back_even_after_another_was_put_up(place: Property) -> None:
    shown = put_up(place)
    remove_plan_picture(picture=shown)
    put_up(place, 1000, 1000)
    bring_back_plan_picture(place=place)
    assert PlanPicture.objects.get(property=place).width_px == 800


def test_its_file_stays_when_it_is_removed(place: Property) -> None:
    shown = put_up(place)
    remove_plan_picture(picture=shown)
    assert shown.file.storage.exists(shown.file.name)


def test_it_is_removed_once_only(place: Property) -> None:
    shown = put_up(place)
    again = PlanPicture.objects.get(pk=shown.pk)
    remove_plan_picture(picture=shown)
    with pytest.raises(UnableToAct, match="no longer there"):
        remove_plan_picture(picture=again)


def test_without_an_earlier_one_there_is_nothing_to_bring_back(place: Property) -> None:
    put_up(place)
    with pytest.raises(UnableToBringBackPlanPicture, match="no plan picture here before"):
        bring_back_plan_picture(place=place)


def test_another_propertys_points_stay_where_they_are(place: Property) -> None:
    other = make.place()
    put_up(other)
    place_point(point=box(other), x_px=40.0, y_px=50.0)
    put_up(place)
    put_up(place)
    assert placed(other) == {"S": (40.0, 50.0)}


@given(x=st.floats(0, 800), y=st.floats(0, 600))
def test_every_place_on_the_picture_is_taken_as_it_is(x: float, y: float) -> None:
    where = make.place()
    put_up_plan_picture(place=where, photo=PreparedPhoto(b"jpeg", 800, 600))
    place_point(point=box(where), x_px=x, y_px=y)
    assert placed(where) == {"S": (x, y)}
