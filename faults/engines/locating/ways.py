"""The terrain of a line, and the ways to test at a box: by its splice, by cutting, by listening."""

from dataclasses import dataclass

import numpy as np

from faults.engines.locating.actions import CutBox, ListenAt, OpenBox
from faults.engines.locating.assumptions import Assumptions
from faults.engines.locating.costs import Terrain
from faults.engines.locating.line import Joint, Line

# The settling of an outer cause takes no set-up; a gap must take some time.
LEAST_SETTLE_MIN = 0.5


def terrain_of(line: Line, assumed: Assumptions, *, may_cut: bool = True) -> Terrain:
    """Return the terrain of a line with a gap behind the controller and one beyond the valve."""
    feet = np.concatenate([[0.0], line.point_ft, [line.length_ft]])
    tone = [
        leg.length_ft / 100 * assumed.tone_min_per_100_ft * leg.tone_factor for leg in line.legs
    ]
    settle = max(LEAST_SETTLE_MIN, assumed.settle_outside_min - assumed.tone_setup_min)
    tests = [box_test(line, box, assumed, may_cut=may_cut) for box in range(1, len(line.boxes) + 1)]
    ends = 1 - assumed.check_specificity
    return Terrain(
        walk_min=np.abs(feet[:, None] - feet) / assumed.walk_ft_per_min,
        tone_min=np.array([settle, *tone, settle]),
        test_min=np.array(
            [0.0, assumed.terminals_min, *(test.minutes for test in tests), assumed.coil_min, 0.0]
        ),
        test_error=np.array([0.0, ends, *(test.error for test in tests), ends, 0.0]),
        setup_min=assumed.tone_setup_min,
        detects=assumed.tone_detects,
        dislike_per_min=assumed.dislike_per_min,
    )


@dataclass(frozen=True)
class BoxWay:
    """How a box is tested best: the action, its minutes without the way, its error."""

    action: OpenBox | CutBox | ListenAt
    minutes: float
    error: float


def box_ways(line: Line, box: int, assumed: Assumptions, *, may_cut: bool) -> list[BoxWay]:
    """Return the ways to test at a box: by its splice, by cutting, by listening."""
    here = line.boxes[box - 1]
    alike, wrong = _pair_errors(assumed)
    retest = assumed.repeat_min * alike / (1 - alike)
    if here.joint is Joint.SPLICED:
        return [BoxWay(OpenBox(box), here.open_min + retest, wrong)]
    listen = (1 - assumed.listen_sensitivity + 1 - assumed.listen_specificity) / 2
    ways: list[BoxWay] = [BoxWay(ListenAt(box), here.open_min, listen)]
    if may_cut:
        cut = here.open_min + retest + assumed.cut_uncut_min + assumed.lasting_splice_min
        ways.append(BoxWay(CutBox(box), cut, wrong))
    return ways


def box_test(line: Line, box: int, assumed: Assumptions, *, may_cut: bool) -> BoxWay:
    """Return the way that later steps are priced by: minutes plus what an error would cost."""
    in_vain = assumed.tone_setup_min + line.length_ft / 100 * assumed.tone_min_per_100_ft
    ways = box_ways(line, box, assumed, may_cut=may_cut)
    return min(ways, key=lambda way: way.minutes + way.error * in_vain)


def _pair_errors(assumed: Assumptions) -> tuple[float, float]:
    """Chance that both sides read alike, and that an unlike pair names the wrong side."""
    se, sp, swapped = assumed.box_sensitivity, assumed.box_specificity, assumed.box_swapped
    right, crossed = se * sp, (1 - se) * (1 - sp)
    alike = se * (1 - sp) + (1 - se) * sp
    said_right = (1 - swapped) * right + swapped * crossed
    said_wrong = (1 - swapped) * crossed + swapped * right
    return alike, said_wrong / (said_right + said_wrong)
