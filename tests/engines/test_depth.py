"""Depth from 45-degree offsets. Computed cases; no printed table was found."""

from math import radians, tan

import pytest

from faults.readings.engines.depth import (
    UnableToTellDepth,
    depth_from_offsets,
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
