"""The order in which a round is walked."""

from itertools import pairwise, permutations
from math import dist

import numpy as np
import pytest

from faults.readings.engines.walking import FT_PER_DEGREE, feet_of, walking_order

Spots = list[tuple[float, float]]


def feet(way: list[int], spots: Spots, start: tuple[float, float]) -> float:
    """Return how long the walk is."""
    return sum(dist(a, b) for a, b in pairwise([start, *(spots[n] for n in way)]))


def test_stations_along_a_line_are_walked_outward() -> None:
    spots = [(30.0, 0.0), (10.0, 0.0), (20.0, 0.0)]
    assert walking_order(spots, (0.0, 0.0)) == [1, 2, 0]


def test_what_has_no_place_comes_last_in_the_order_given() -> None:
    assert walking_order([None, (5.0, 0.0), None, (1.0, 0.0)], (0.0, 0.0)) == [3, 1, 0, 2]
    assert walking_order([None, None]) == [0, 1]
    assert walking_order([]) == []


def test_without_a_start_it_begins_at_the_first() -> None:
    assert walking_order([(0.0, 0.0), (9.0, 0.0), (4.0, 0.0)]) == [0, 2, 1]


def test_two_spots_at_one_place_are_both_walked() -> None:
    assert sorted(walking_order([(1.0, 1.0), (1.0, 1.0), (0.0, 0.0)], (0.0, 0.0))) == [0, 1, 2]


@pytest.mark.parametrize("seed", range(12))
def test_is_close_to_the_shortest_walk(seed: int) -> None:
    draws = np.random.default_rng(seed)
    spots = [(float(x), float(y)) for x, y in draws.uniform(0, 500, (7, 2))]
    best = min(feet(list(way), spots, (0.0, 0.0)) for way in permutations(range(7)))
    found = walking_order(spots, (0.0, 0.0))
    assert sorted(found) == list(range(7))
    assert feet(found, spots, (0.0, 0.0)) <= 1.25 * best


def test_degrees_become_feet() -> None:
    found = feet_of([None, (60.0, 10.0), (60.001, 10.0), (60.0, 10.002)])
    assert found[0] is None
    assert found[1] == (0.0, 0.0)
    assert found[2] == pytest.approx((0.0, 0.001 * FT_PER_DEGREE))
    # At 60 degrees a degree of longitude is half as long.
    assert found[3] == pytest.approx((0.001 * FT_PER_DEGREE, 0.0))
    assert feet_of([None]) == [None]
