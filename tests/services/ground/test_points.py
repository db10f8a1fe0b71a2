"""Verbs on points: add, change, move, retire, bring back."""

from datetime import timedelta

import pytest

from sites.ground.services.points import (
    UnableToBringBackPoint,
    UnableToNamePoint,
    UnableToPlacePoint,
    UnableToRetirePoint,
    add_point,
    bring_back_point,
    change_point,
    move_point,
    retire_point,
)
from sites.kernel.services.verb_days import UnableToUseDay
from tests import make
from tests.make import TODAY
from tests.services.yard import Yard, latest_why


def test_adding_keeps_what_was_seen(yard: Yard) -> None:
    point = add_point(place=yard.place, values={"name": "new box", "kind": "splice box"})
    point.refresh_from_db()
    assert (point.is_surveyed, point.history.count()) == (True, 1)


def test_a_name_is_taken_whatever_its_capitals(yard: Yard) -> None:
    with pytest.raises(UnableToNamePoint) as refusal:
        add_point(place=yard.place, values={"name": "BOX", "kind": "splice box"})
    assert refusal.value.field == "name"


def test_a_retired_point_of_that_name_is_to_be_brought_back(yard: Yard) -> None:
    make.point(property=yard.place, name="old box", retired_on=TODAY)
    with pytest.raises(UnableToNamePoint, match="bring it back"):
        add_point(place=yard.place, values={"name": "old box", "kind": "splice box"})


def test_changing_says_that_somebody_has_seen_it(yard: Yard) -> None:
    point = make.point(property=yard.place, is_surveyed=False)
    change_point(point=point, values={"lid": "green, round"}, why="opened")
    point.refresh_from_db()
    assert (point.lid, point.is_surveyed, latest_why(point)) == ("green, round", True, "opened")


def test_changing_back_is_the_undo(yard: Yard) -> None:
    before = yard.box.lid
    change_point(point=yard.box, values={"lid": "round"})
    change_point(point=yard.box, values={"lid": before})
    yard.box.refresh_from_db()
    assert (yard.box.lid, yard.box.history.count()) == (before, 3)


def test_a_name_cannot_be_changed_to_one_that_is_taken(yard: Yard) -> None:
    with pytest.raises(UnableToNamePoint):
        change_point(point=yard.box, values={"name": "clock"})


@pytest.mark.parametrize(
    ("latitude", "longitude", "field"),
    [(33.0, None, "longitude"), (None, -97.0, "latitude"), (91.0, 0.0, "latitude")],
)
def test_half_a_position_is_none(
    yard: Yard, latitude: float | None, longitude: float | None, field: str
) -> None:
    with pytest.raises(UnableToPlacePoint) as refusal:
        move_point(point=yard.box, latitude=latitude, longitude=longitude, accuracy_ft=None)
    assert refusal.value.field == field


def test_a_position_taken_away_takes_its_accuracy_along(yard: Yard) -> None:
    move_point(point=yard.box, latitude=33.0, longitude=-97.0, accuracy_ft=9.0)
    move_point(point=yard.box, latitude=None, longitude=None, accuracy_ft=9.0, why="wrong box")
    yard.box.refresh_from_db()
    assert (yard.box.latitude, yard.box.accuracy_ft) == (None, None)
    assert latest_why(yard.box) == "wrong box"


def test_a_point_at_which_legs_end_stays(yard: Yard) -> None:
    with pytest.raises(UnableToRetirePoint, match="a, b, c"):
        retire_point(point=yard.box, on=TODAY, today=TODAY)


def test_a_point_with_a_valve_in_it_stays(yard: Yard) -> None:
    lone = make.point(property=yard.place)
    make.station(controller=yard.clock, number=9, valve_point=lone)
    with pytest.raises(UnableToRetirePoint, match="Rowan:9"):
        retire_point(point=lone, on=TODAY, today=TODAY)


def test_a_point_cannot_be_retired_on_a_day_to_come(yard: Yard) -> None:
    with pytest.raises(UnableToUseDay):
        retire_point(point=make.point(), on=TODAY + timedelta(days=1), today=TODAY)


def test_retired_and_brought_back_it_is_in_use(yard: Yard) -> None:
    point = make.point(property=yard.place)
    retire_point(point=point, on=TODAY, today=TODAY, why="paved over")
    assert latest_why(point) == "paved over"
    bring_back_point(point=point)
    point.refresh_from_db()
    assert (point.retired_on, point.history.count()) == (None, 3)


def test_what_is_in_use_is_not_brought_back(yard: Yard) -> None:
    with pytest.raises(UnableToBringBackPoint):
        bring_back_point(point=yard.box)


def test_what_is_retired_is_not_retired_again(yard: Yard) -> None:
    with pytest.raises(UnableToRetirePoint, match="already"):
        retire_point(point=make.point(retired_on=TODAY), on=TODAY, today=TODAY)
