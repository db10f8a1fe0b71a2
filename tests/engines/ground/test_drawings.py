"""Our drawings are to scale, and what is written in them never lies on top of something else."""

import itertools
from math import hypot
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.ground.charts.bases import WIDTH, Base, best_base, lay, picture_ft_per_px, possible_bases
from sites.ground.charts.labels import LINE, SLANT, Labels, lay_out, spread, width_of
from sites.ground.charts.plan import OnPoint, Shown, plan
from sites.ground.charts.strip import LAST_SLANTED, LEFT, PAGE, PastBreak, Strip, strip
from sites.ground.charts.strip import WIDTH as STRIP_WIDTH
from sites.ground.engines.routes import Step
from sites.models import Leg, PlanPicture, Point, Station

A, S, V = 1, 2, 3
LENGTHS = st.lists(st.integers(0, 30_000).map(lambda n: n / 10), min_size=1, max_size=19)
NAMES = st.text("abcdefgh ", min_size=1, max_size=60)


def strip_through(lengths: list[float], names: list[str], **given: Any) -> Strip:
    """Draw a way along legs of these lengths, through points of these names."""
    steps, along = [], 0.0
    for number, length in enumerate(lengths):
        steps.append(Step(number, number, number + 1, along, length, True))
        along += length
    points = {number: Point(pk=number, name=name) for number, name in enumerate(names)}
    legs = {number: Leg(pk=number, length_ft=length) for number, length in enumerate(lengths)}
    return strip(steps, legs=legs, points=points, how={}, **{"breaks": [], "struck": {}, **given})


def assert_apart(labels: Labels) -> None:
    """Level names do not touch; slanted ones stand a line apart across their slant."""
    shown = [label for label in labels.labels if label.x is not None]
    for left, right in itertools.pairwise(shown):
        assert left.x is not None
        assert right.x is not None
        if labels.is_slanted:
            assert (right.x - left.x) * SLANT >= LINE - 1e-6
        else:
            room = width_of(left.text) / 2 + width_of(right.text) / 2
            assert right.x - left.x >= room


@given(st.data(), st.integers(2, 20))
def test_names_on_a_strip_never_overlap(data: st.DataObject, count: int) -> None:
    feet = sorted(data.draw(st.lists(st.floats(0, 1), min_size=count, max_size=count)))
    names = data.draw(st.lists(NAMES, min_size=count, max_size=count))
    named = [(LEFT + at * STRIP_WIDTH, name) for at, name in zip(feet, names, strict=True)]
    labels = lay_out(named, left=0.0, right=PAGE, last_slanted=LAST_SLANTED)
    assert_apart(labels)
    assert all(label.x is not None for label in labels.labels)


@given(st.integers(2, 20))
def test_every_name_up_to_twenty_has_room_even_where_all_boxes_stand_in_one_place(
    count: int,
) -> None:
    drawn = strip_through([0.0] * (count - 2) + [400.0], ["Box by the north gate"] * count)
    assert all(tick.label_x is not None for tick in drawn.ticks)
    assert drawn.is_slanted or count == 2


def test_two_short_names_stand_level_above_their_points() -> None:
    drawn = strip_through([100.0, 300.0], ["A", "S", "V"])
    assert not drawn.is_slanted
    assert [tick.label_x for tick in drawn.ticks] == [tick.x for tick in drawn.ticks]


@given(LENGTHS)
def test_a_strip_is_to_scale(lengths: list[float]) -> None:
    drawn = strip_through(lengths, ["B"] * (len(lengths) + 1))
    for tick in drawn.ticks:
        part = tick.feet / drawn.total_ft if drawn.total_ft else 0.0
        assert tick.x == pytest.approx(LEFT + part * STRIP_WIDTH)


@given(st.lists(st.floats(0, 1000), min_size=1, max_size=200), st.floats(5, 40))
def test_spreading_keeps_order_distance_and_bounds(xs: list[float], step: float) -> None:
    placed = [x for x in spread(sorted(xs), step=step, left=0.0, right=1000.0) if x is not None]
    assert len(placed) == min(len(xs), int(1000 / step) + 1)
    assert all(b - a >= step - 1e-6 for a, b in itertools.pairwise(placed))
    assert min(placed) >= -1e-6
    assert max(placed) <= 1000 + 1e-6


def test_spreading_moves_nothing_that_stands_apart_already() -> None:
    assert spread([0.0, 50.0, 100.0], step=20, left=0, right=1000) == [0.0, 50.0, 100.0]


def test_words_along_a_leg_are_written_only_where_they_fit() -> None:
    words = {0: ["turf, 12 in", "12 in"], 1: ["turf, 12 in", "12 in"], 2: ["turf, 12 in", "12 in"]}
    drawn = strip_through([1000.0, 60.0, 5.0], ["A", "B", "C", "D"], words=words)
    assert [leg.words for leg in drawn.legs] == ["turf, 12 in", "12 in", ""]


def test_breaks_in_one_place_keep_their_place_and_their_numbers_stand_apart() -> None:
    breaks = [PastBreak(50.0, "root", "", number) for number in (1, 2, 3)]
    marks = strip_through([100.0], ["A", "V"], breaks=breaks).breaks
    assert len({mark.x for mark in marks}) == 1
    numbers = [mark.number_x or 0.0 for mark in marks]
    assert [b - a for a, b in itertools.pairwise(numbers)] == [pytest.approx(18.0)] * 2


# Site plans


def ground(**given: Any) -> tuple[list[Leg], dict[int, Point]]:
    """Make a controller A, 400 ft to a splice box S, 300 ft to a valve V; `px` places them."""
    px = given.get("px", {})
    points = {
        pk: Point(
            pk=pk,
            name=name,
            kind=kind,
            plan_x_px=px[pk][0] if pk in px else None,
            plan_y_px=px[pk][1] if pk in px else None,
        )
        for pk, name, kind in (
            (A, "A", "controller"),
            (S, "S", "splice box"),
            (V, "V", "valve box"),
        )
    }
    legs = [
        Leg(pk=10 + end, from_point=points[start], to_point=points[end], length_ft=feet)
        for start, end, feet in ((A, S, 400.0), (S, V, 300.0))
    ]
    return legs, points


def picture(**given: Any) -> PlanPicture:
    """Make a picture of 2000 by 1000 pixels on which 500 pixels are 250 ft."""
    scaled = {
        "first_x_px": 100.0,
        "first_y_px": 100.0,
        "second_x_px": 400.0,
        "second_y_px": 500.0,
        "distance_ft": 250.0,
    }
    return PlanPicture(width_px=2000, height_px=1000, **{**scaled, **given})


def test_on_a_picture_the_two_known_places_are_their_distance_apart() -> None:
    legs, points = ground(px={A: (100.0, 100.0), S: (400.0, 500.0), V: (0.0, 0.0)})
    laid = lay(Base.PICTURE, legs, points, picture())
    (x1, y1), (x2, y2) = laid.at[A], laid.at[S]
    assert laid.per_ft is not None
    assert hypot(x2 - x1, y2 - y1) / laid.per_ft == pytest.approx(250.0)


@given(st.floats(1, 5000), st.floats(0, 2000), st.floats(0, 1000))
def test_the_scale_of_a_picture_holds_wherever_the_two_places_are(
    feet: float, x: float, y: float
) -> None:
    if hypot(x - 100, y - 100) < 1:
        return
    scaled = picture(second_x_px=x, second_y_px=y, distance_ft=feet)
    assert (picture_ft_per_px(scaled) or 0) * hypot(x - 100, y - 100) == pytest.approx(feet)


def test_the_scale_bar_on_a_picture_is_as_long_as_it_says() -> None:
    legs, _ = ground(px={A: (100.0, 100.0), S: (400.0, 500.0), V: (0.0, 0.0)})
    drawn = plan(legs, [], base=Base.PICTURE, picture=picture(), shown=Shown())
    assert drawn is not None
    # 2 px are 1 ft; the page is half as wide as the picture: 1 ft is one unit.
    assert (drawn.scale_ft, drawn.scale_width) == (100, pytest.approx(100.0))


def test_a_picture_without_a_scale_has_no_scale_bar() -> None:
    legs, _ = ground(px={A: (100.0, 100.0), S: (400.0, 500.0), V: (0.0, 0.0)})
    without = picture(distance_ft=None)
    drawn = plan(legs, [], base=Base.PICTURE, picture=without, shown=Shown())
    assert drawn is not None
    assert drawn.scale_ft == 0


def test_legs_whose_points_have_no_place_are_left_out_and_counted() -> None:
    legs, _ = ground(px={A: (100.0, 100.0), S: (400.0, 500.0)})
    drawn = plan(legs, [], base=Base.PICTURE, picture=picture(), shown=Shown())
    assert drawn is not None
    assert (len(drawn.legs), drawn.not_placed, len(drawn.points)) == (1, 1, 2)


def test_the_base_is_the_picture_only_once_all_points_are_on_it() -> None:
    _, points = ground(px={A: (1.0, 1.0), S: (9.0, 9.0)})
    some = list(points.values())
    assert possible_bases(some, picture()) == [Base.PICTURE, Base.SCHEMATIC]
    assert best_base(some, picture()) is Base.SCHEMATIC
    points[V].plan_x_px = points[V].plan_y_px = 5.0
    assert best_base(some, picture()) is Base.PICTURE
    assert best_base(some, picture(distance_ft=None)) is Base.SCHEMATIC
    assert possible_bases(some, None) == [Base.SCHEMATIC]


def test_a_schematic_is_to_scale_along_the_wire() -> None:
    legs, points = ground()
    laid = lay(Base.SCHEMATIC, legs, points, None)
    assert laid.per_ft is not None
    assert (laid.at[V][0] - laid.at[A][0]) / laid.per_ft == pytest.approx(700.0)
    assert laid.at[V][0] <= WIDTH


def test_a_point_is_marked_by_its_station_that_needs_somebody_most() -> None:
    legs, _ = ground()
    states = [OnPoint(Station(), state) for state in ("linked", "off", "outside")]
    drawn = plan(legs, [], base=Base.SCHEMATIC, picture=None, shown=Shown(stations={V: states}))
    assert drawn is not None
    assert [dot.state for dot in drawn.points] == ["", "", "off"]


def test_a_second_leg_between_two_points_is_drawn_beside_the_first() -> None:
    legs, points = ground(px={A: (100.0, 100.0), S: (400.0, 500.0), V: (0.0, 0.0)})
    second = Leg(pk=20, from_point=points[A], to_point=points[S], length_ft=410, running_number=2)
    drawn = plan([*legs, second], [], base=Base.PICTURE, picture=picture(), shown=Shown())
    assert drawn is not None
    assert len({line.path for line in drawn.legs}) == 3


def test_three_breaks_and_more_share_one_shade() -> None:
    legs, _ = ground()
    shown = Shown(breaks={10 + S: 3, 10 + V: 9})
    drawn = plan(legs, [], base=Base.SCHEMATIC, picture=None, shown=shown)
    assert drawn is not None
    assert [line.shade for line in drawn.legs] == [3, 3]
