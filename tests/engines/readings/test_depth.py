"""Depth from 45-degree offsets. Computed cases; no printed table was found."""

from math import radians, tan

import pytest

from faults.readings.engines.depth import (
    Depth,
    NoDepth,
    UnableToTellDepth,
    depth_from_offsets,
    depth_from_two_heights,
)


# Locating case S6, computed.
@pytest.mark.parametrize(
    ("left", "right", "height", "depth", "error", "shift"),
    [
        ([1.45, 1.55], [1.50, 1.60], 0.0, 1.525, 0.06659, 0.025),
        ([2.40, 2.50], [2.45, 2.35], 0.92, 1.505, 0.10614, -0.025),
    ],
)
def test_from_both_sides(
    left: list[float], right: list[float], height: float, depth: float, error: float, shift: float
) -> None:
    found = depth_from_offsets(left, right, antenna_height_ft=height)
    assert found.depth_ft == pytest.approx(depth)
    assert found.error_ft == pytest.approx(error, abs=1e-5)
    assert found.shift_ft == pytest.approx(shift)


def test_nine_times_in_ten_it_lies_inside() -> None:
    low, high = depth_from_offsets([1.45, 1.55], [1.50, 1.60]).ninety_percent_ft
    assert (low, high) == (pytest.approx(1.4155, abs=1e-4), pytest.approx(1.6345, abs=1e-4))


def test_the_antennas_height_is_taken_off_once() -> None:
    # D1 computed: 0.45 m deep, antenna at 0.28 m: offset 0.730 m.
    assert depth_from_offsets([0.730], [0.730], antenna_height_ft=0.28).depth_ft == pytest.approx(
        0.45
    )
    assert depth_from_offsets([0.450], [0.450]).depth_ft == pytest.approx(0.45)


def test_d2() -> None:
    # Computed: 0.30 m deep, antenna at 0.10 m: offset 0.400 m.
    found = depth_from_offsets([0.400], [0.400], antenna_height_ft=0.10)
    assert found.depth_ft == pytest.approx(0.300, abs=1e-3)


@pytest.mark.parametrize(("aside", "share"), [(0.5, 0.8), (1.0, 0.5)])
def test_the_field_of_a_long_wire_falls_off_to_the_side(aside: float, share: float) -> None:
    # Computed from circles about the wire: the level part is z / (z^2 + x^2).
    depth = 0.45
    x = aside * depth
    assert depth / (depth**2 + x**2) / (1 / depth) == pytest.approx(share)


@pytest.mark.parametrize(("degrees", "factor"), [(5, 1.192), (-5, 0.839), (3, 1.111), (-3, 0.900)])
def test_what_a_tilt_does_to_an_offset(degrees: float, factor: float) -> None:
    # D3 and the accuracy row, computed: tan(45 + tilt).
    assert tan(radians(45 + degrees)) == pytest.approx(factor, rel=5e-3)


@pytest.mark.parametrize(
    ("left", "right", "height", "words"),
    [
        ([0.84, 0.84], [1.67, 1.67], 0.0, "neighbouring conductor"),
        ([0.256], [0.508], 0.0, "neighbouring conductor"),
        ([0.5], [0.5], 0.6, "which point of the antenna"),
        ([], [1.0], 0.0, "to both"),
        ([-1.0], [1.0], 0.0, "above 0"),
    ],
)
def test_refuses_and_says_what_to_check(
    left: list[float], right: list[float], height: float, words: str
) -> None:
    with pytest.raises(UnableToTellDepth, match=words):
        depth_from_offsets(left, right, antenna_height_ft=height)


def test_two_heights_d4() -> None:
    # Computed: ratio 1.5, coils 0.40 m apart: 0.800 m from the lower one.
    found = depth_from_two_heights(apart_ft=0.40, ratio=1.5)
    assert found.depth_ft == pytest.approx(0.800, abs=1e-3)
    assert found.shift_ft is None
    raised = depth_from_two_heights(apart_ft=0.40, ratio=1.5, lower_height_ft=0.3)
    assert raised.depth_ft == pytest.approx(0.500, abs=1e-3)


def test_the_error_of_two_heights_follows_from_small_changes_of_each() -> None:
    # By differences: readings of 5 % each, both heights of 0.05 ft, at 1.5 ft deep.
    def depth(low: float = 2.5, high: float = 3.5, share: float = 1.0) -> float:
        ratio = 3.5 / 2.5 * share
        return depth_from_two_heights(
            apart_ft=high - low, ratio=ratio, lower_height_ft=low - 1
        ).depth_ft

    at = depth()
    by = [depth(share=1.0005), depth(share=1.0005), depth(high=3.5005), depth(low=2.5005)]
    error = sum(((each - at) * 0.05 / 0.0005) ** 2 for each in by) ** 0.5
    found: Depth = depth_from_two_heights(apart_ft=1, ratio=1.4, lower_height_ft=1)
    assert found.depth_ft == pytest.approx(1.5)
    assert found.error_ft == pytest.approx(error, rel=0.01)


@pytest.mark.parametrize(
    ("apart", "ratio", "height", "why"),
    [
        (0, 1.5, 0, NoDepth.NOT_ABOVE_0),
        (1, 1.5, -0.1, NoDepth.NOT_ABOVE_0),
        (1, 1, 0, NoDepth.NOT_FALLING),
        (1, 0.9, 0, NoDepth.NOT_FALLING),
        (1, 1.5, 2, NoDepth.TOO_HIGH),
        (1, 1.5, 2.1, NoDepth.TOO_HIGH),
    ],
)
def test_two_heights_that_tell_no_depth(
    apart: float, ratio: float, height: float, why: NoDepth
) -> None:
    with pytest.raises(UnableToTellDepth) as no:
        depth_from_two_heights(apart_ft=apart, ratio=ratio, lower_height_ft=height)
    assert no.value.why is why


def test_just_below_the_edge_there_is_a_depth() -> None:
    assert depth_from_two_heights(apart_ft=1, ratio=1.5, lower_height_ft=1.9).depth_ft > 0
    assert depth_from_two_heights(apart_ft=1, ratio=1.01).depth_ft == pytest.approx(100)
