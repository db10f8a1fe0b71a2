"""Routes along the legs of a wire, held against every simple way found by trying them all."""

import itertools
import math
import random
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.ground.engines.routes import (
    NotConnected,
    Place,
    RingRefused,
    Step,
    Stretch,
    route,
    schematic,
)

# Point 1 is the controller; 2 is a box at which the trunk parts to the valves 3 and 4.
TEE = [Stretch(10, 1, 2, 100), Stretch(11, 3, 2, 40), Stretch(12, 2, 4, 250)]
RING = [*TEE, Stretch(13, 3, 4, 30)]


def told(steps: Sequence[Step]) -> list[tuple[int, int, int]]:
    """Return the legs of a route with the points walked from and to."""
    return [(step.leg, step.from_point, step.to_point) for step in steps]


def test_a_route_goes_leg_by_leg_from_controller_to_valve() -> None:
    steps = route(TEE, start=1, end=4)
    assert told(steps) == [(10, 1, 2), (12, 2, 4)]
    assert [(step.from_ft, step.to_ft) for step in steps] == [(0, 100), (100, 350)]


def test_the_way_back_is_the_same_legs_the_other_way_round() -> None:
    steps = route(TEE, start=4, end=1)
    assert told(steps) == [(12, 4, 2), (10, 2, 1)]
    assert [(step.from_ft, step.to_ft) for step in steps] == [(0, 250), (250, 350)]


def test_a_leg_registered_towards_the_controller_is_walked_backward() -> None:
    assert [step.forward for step in route(TEE, start=1, end=3)] == [True, False]


def test_a_point_is_reached_from_itself_without_a_step() -> None:
    assert route(TEE, start=2, end=2) == []
    assert route([], start=2, end=2) == []


@pytest.mark.parametrize(
    ("forward", "feet_along_leg", "along_route"),
    [
        (True, 0, 100),
        (True, 15, 115),
        (True, 40, 140),
        (False, 0, 140),
        (False, 15, 125),
        (False, 40, 100),
    ],
)
def test_feet_along_a_leg_become_feet_along_the_route(
    forward: bool, feet_along_leg: float, along_route: float
) -> None:
    step = Step(11, 2, 3, from_ft=100, length_ft=40, forward=forward)
    assert step.feet_along_route(feet_along_leg) == along_route


@pytest.mark.parametrize(("feet_along_leg", "along_route"), [(-3, 100), (55, 140)])
def test_feet_past_an_end_of_the_leg_stay_at_that_end(
    feet_along_leg: float, along_route: float
) -> None:
    step = Step(11, 2, 3, from_ft=100, length_ft=40, forward=True)
    assert step.feet_along_route(feet_along_leg) == along_route


def test_a_ring_is_refused_by_name() -> None:
    with pytest.raises(RingRefused, match="close a ring"):
        route(RING, start=1, end=4)


def test_two_legs_between_the_same_points_are_a_ring() -> None:
    with pytest.raises(RingRefused):
        route([*TEE, Stretch(14, 1, 2, 100)], start=1, end=4)


def test_a_ring_that_cannot_be_reached_does_not_matter() -> None:
    apart = [Stretch(20, 7, 8, 5), Stretch(21, 8, 9, 5), Stretch(22, 9, 7, 5)]
    assert told(route(TEE + apart, start=1, end=3)) == [(10, 1, 2), (11, 2, 3)]


@pytest.mark.parametrize("end", [9, 99])
def test_a_point_that_no_leg_leads_to_is_refused_by_name(end: int) -> None:
    with pytest.raises(NotConnected, match="do not lead from the controller to the valve"):
        route([*TEE, Stretch(15, 9, 8, 60)], start=1, end=end)


def test_a_leg_of_no_length_is_a_step_of_no_length() -> None:
    steps = route([Stretch(10, 1, 2, 0), Stretch(11, 2, 3, 70)], start=1, end=3)
    assert [(step.from_ft, step.to_ft) for step in steps] == [(0, 0), (0, 70)]
    assert steps[0].feet_along_route(0) == 0


def test_a_leg_of_negative_length_is_refused_in_words() -> None:
    with pytest.raises(ValueError, match="Expected length_ft >= 0, got -1"):
        Stretch(10, 1, 2, -1)


def test_a_leg_from_a_point_to_itself_is_refused_in_words() -> None:
    with pytest.raises(ValueError, match="Expected two different points, got 4 twice"):
        Stretch(10, 4, 4, 12)


def test_a_trunk_longer_than_the_stack_is_walked_and_drawn() -> None:
    trunk = [Stretch(n, n, n + 1, 1) for n in range(5000)]
    assert route(trunk, start=0, end=5000)[-1].to_ft == 5000
    assert schematic(trunk, roots=[0])[5000] == Place(5000, 0)


# Random trees: point n hangs on an earlier one, its leg registered in either direction.
@st.composite
def trees(draw: st.DrawFn) -> list[Stretch]:
    """Draw a tree of up to a dozen points."""
    legs = []
    for point in range(1, draw(st.integers(2, 12))):
        ends = [draw(st.integers(0, point - 1)), point]
        start, end = draw(st.permutations(ends))
        legs.append(Stretch(100 + point, start, end, draw(st.integers(0, 500))))
    return legs


def every_way(legs: Sequence[Stretch], start: int, end: int) -> list[list[Stretch]]:
    """Return every way that uses no leg and no point twice, by trying each leg in turn."""
    if start == end:
        return [[]]
    ways = []
    for leg in legs:
        if start in (leg.start, leg.end):
            onward = leg.end if leg.start == start else leg.start
            rest = [other for other in legs if start not in (other.start, other.end)]
            ways += [[leg, *way] for way in every_way(rest, onward, end)]
    return ways


def points(legs: Sequence[Stretch]) -> int:
    """Return how many points a drawn tree has."""
    return len(legs) + 1


@given(trees(), st.data())
def test_a_route_is_the_only_way_and_as_long_as_its_legs_together(
    tree: list[Stretch], data: st.DataObject
) -> None:
    start, end = (data.draw(st.integers(0, points(tree) - 1)) for _ in range(2))
    (way,) = every_way(tree, start, end)
    steps = route(tree, start=start, end=end)
    assert [step.leg for step in steps] == [leg.leg for leg in way]
    assert (steps[-1].to_ft if steps else 0) == sum(leg.length_ft for leg in way)


@given(trees(), st.data())
def test_steps_hang_together_from_end_to_end(tree: list[Stretch], data: st.DataObject) -> None:
    end = data.draw(st.integers(1, points(tree) - 1))
    steps = route(tree, start=0, end=end)
    assert (steps[0].from_point, steps[-1].to_point) == (0, end)
    for left, right in itertools.pairwise(steps):
        assert (left.to_point, left.to_ft) == (right.from_point, right.from_ft)


@given(trees(), st.randoms(use_true_random=False), st.data())
def test_the_order_in_which_legs_are_listed_does_not_matter(
    tree: list[Stretch], shuffler: random.Random, data: st.DataObject
) -> None:
    end = data.draw(st.integers(0, points(tree) - 1))
    mixed = list(tree)
    shuffler.shuffle(mixed)
    assert route(mixed, start=0, end=end) == route(tree, start=0, end=end)


@given(trees(), st.data())
def test_one_more_leg_inside_a_tree_closes_a_ring(tree: list[Stretch], data: st.DataObject) -> None:
    start, end = data.draw(
        st.lists(st.integers(0, points(tree) - 1), min_size=2, max_size=2, unique=True)
    )
    closed = [*tree, Stretch(999, start, end, 1)]
    with pytest.raises(RingRefused):
        route(closed, start=0, end=end)


def test_the_schematic_sets_feet_along_the_wire_to_scale_one_row_for_each_end() -> None:
    places = schematic(TEE, roots=[1])
    assert {pk: place.x_ft for pk, place in places.items()} == {1: 0, 2: 100, 3: 140, 4: 350}
    assert sorted([places[3].y_ft, places[4].y_ft]) == [0, 1]
    assert places[1].y_ft == places[2].y_ft == 0.5


def test_a_second_tree_is_drawn_below_the_first() -> None:
    places = schematic([*TEE, Stretch(15, 8, 9, 60)], roots=[1, 8, 2])
    assert places[9] == Place(60, 3)
    assert max(places[pk].y_ft for pk in (1, 2, 3, 4)) < places[8].y_ft


def test_a_ring_is_still_drawn_with_each_point_once() -> None:
    assert set(schematic(RING, roots=[1])) == {1, 2, 3, 4}


@given(trees())
def test_in_the_schematic_each_point_stands_as_far_as_its_route_is_long(
    tree: list[Stretch],
) -> None:
    places = schematic(tree, roots=[0])
    assert set(places) == set(range(points(tree)))
    for pk, place in places.items():
        steps = route(tree, start=0, end=pk)
        assert math.isclose(place.x_ft, steps[-1].to_ft if steps else 0)


@given(trees())
def test_in_the_schematic_no_two_ends_share_a_row(tree: list[Stretch]) -> None:
    touched = [point for leg in tree for point in (leg.start, leg.end)]
    ends = [point for point in set(touched) - {0} if touched.count(point) == 1]
    places = schematic(tree, roots=[0])
    assert len({places[point].y_ft for point in ends}) == len(ends)
