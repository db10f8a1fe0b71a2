"""Ground is opened where a break lies along a leg or under ground, not at the ends of a leg."""

import pytest

from faults.cases.engines.opened import opens_ground


@pytest.mark.parametrize(
    ("feet_along", "depth_in", "is_opened"),
    [
        (60.0, 9.0, True),
        (60.0, None, True),
        (60.0, 0.0, True),
        (0.0, 0.0, False),
        (0.0, None, False),
        (0.001, None, False),
        (0.0011, None, True),
        (119.9989, None, True),
        (119.999, None, False),
        (120.0, None, False),
        (120.0005, 0.0, False),
        (120.0, 0.5, True),
        (0.0, 9.0, True),
        (None, None, False),
        (None, 0.0, False),
        (None, 0.5, True),
    ],
)
def test_along_a_leg_or_under_ground(
    feet_along: float | None, depth_in: float | None, is_opened: bool
) -> None:
    opened = opens_ground(feet_along=feet_along, length_ft=120.0, depth_in=depth_in)
    assert opened is is_opened


@pytest.mark.parametrize(("depth_in", "is_opened"), [(None, False), (0.0, False), (6.0, True)])
def test_a_break_on_no_leg_has_only_its_depth(depth_in: float | None, is_opened: bool) -> None:
    assert opens_ground(feet_along=None, length_ft=None, depth_in=depth_in) is is_opened
