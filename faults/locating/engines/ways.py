"""The terrain of a line, and the ways to test at a box: by its splice, by cutting, by listening.

A short can be followed by a clamp, a leak by megohms and a high resistance by volts, where the
tools are at hand.
"""

from dataclasses import dataclass

from faults.locating.engines.actions import (
    ClampAt,
    CutBox,
    ListenAt,
    MeasureInsulation,
    OpenBox,
    VoltsAt,
)
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.line import Floats, Joint, Line
from faults.locating.engines.options import Tools
from faults.locating.engines.terrain import Terrain
from sites.kernel.lazily import np

# The settling of an outer cause takes no set-up; a gap must take some time.
LEAST_SETTLE_MIN = 0.5


def terrain_of(line: Line, assumed: Assumptions, tools: Tools, *, is_fed: bool) -> Terrain:
    """Return the terrain of a line with a gap behind the controller and one beyond the valve.

    Args:
        is_fed: a tone is on the station's wire from the controller, ready to be listened for.
    """
    feet = np.concatenate([[0.0], line.point_ft, [line.length_ft]])
    tone = [
        leg.length_ft / 100 * assumed.tone_min_per_100_ft * leg.tone_factor for leg in line.legs
    ]
    settle = max(LEAST_SETTLE_MIN, assumed.settle_outside_min - assumed.tone_setup_min)
    boxes = range(1, len(line.boxes) + 1)
    tests = [_box_test(line, box, assumed, tools, is_fed=is_fed) for box in boxes]
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
        renew_min=_renew_min(line, assumed) if tools.renew else None,
    )


def _renew_min(line: Line, assumed: Assumptions) -> Floats:
    """Minutes to renew each gap's wire; what is wrong at an end is settled as ever."""
    legs = [
        assumed.renew_setup_min + leg.length_ft / 100 * assumed.renew_min_per_100_ft
        for leg in line.legs
    ]
    return np.array([assumed.settle_outside_min, *legs, assumed.settle_outside_min])


@dataclass(frozen=True)
class BoxWay:
    """How a box is tested best: the action, its minutes without the way, its error.

    `lasting_min` of the minutes are for cutting a wire that passes uncut, and for the splice that
    lasts: they are spent in a box that stands open, too. So is the `setup_min` of a tone that is
    not fed yet.
    """

    action: OpenBox | CutBox | ListenAt | ClampAt | MeasureInsulation | VoltsAt
    minutes: float
    error: float
    lasting_min: float = 0.0
    setup_min: float = 0.0


def box_ways(
    line: Line, box: int, assumed: Assumptions, tools: Tools, *, is_fed: bool
) -> list[BoxWay]:
    """Return the ways to test at a box: by its splice, by cutting, by listening, by a clamp."""
    here = line.boxes[box - 1]
    is_spliced = here.joint is Joint.SPLICED
    lasting = 0.0 if is_spliced else assumed.cut_uncut_min + assumed.lasting_splice_min
    ways: list[BoxWay] = []
    if not is_spliced:
        listen = _one_sided_error(assumed.listen_sensitivity, assumed.listen_specificity)
        setup = 0.0 if is_fed else assumed.tone_setup_min
        ways.append(BoxWay(ListenAt(box), here.open_min + setup, listen, setup_min=setup))
    if tools.clamp:
        clamp = _one_sided_error(assumed.clamp_sensitivity, assumed.clamp_specificity)
        ways.append(BoxWay(ClampAt(box), here.open_min, clamp))
    if tools.volts and is_spliced:
        alike, wrong = _volts_errors(assumed.volts_sensitivity, assumed.volts_specificity)
        opened = max(assumed.repeat_min, here.open_min - assumed.volts_saves_min)
        opened += assumed.repeat_min * alike / (1 - alike)
        ways.append(BoxWay(VoltsAt(box), opened, wrong))
    if not (is_spliced or tools.may_cut):
        return ways
    alike, wrong = pair_errors(
        assumed.box_sensitivity, assumed.box_specificity, assumed.box_swapped
    )
    opened = here.open_min + assumed.repeat_min * alike / (1 - alike)
    opening = OpenBox(box) if is_spliced else CutBox(box)
    ways.append(BoxWay(opening, opened + lasting, wrong, lasting))
    if tools.insulation:
        alike, wrong = pair_errors(
            assumed.insulation_sensitivity, assumed.insulation_specificity, assumed.box_swapped
        )
        opened = here.open_min + assumed.repeat_min * alike / (1 - alike)
        ways.append(BoxWay(MeasureInsulation(box), opened + lasting, wrong, lasting))
    return ways


def _box_test(line: Line, box: int, assumed: Assumptions, tools: Tools, *, is_fed: bool) -> BoxWay:
    """Return the way that later steps are priced by: minutes plus what an error would cost."""
    in_vain = assumed.tone_setup_min + line.length_ft / 100 * assumed.tone_min_per_100_ft
    ways = box_ways(line, box, assumed, tools, is_fed=is_fed)
    return min(ways, key=lambda way: way.minutes + way.error * in_vain)


def _one_sided_error(sensitivity: float, specificity: float) -> float:
    return (1 - sensitivity + 1 - specificity) / 2


def pair_errors(sensitivity: float, specificity: float, swapped: float) -> tuple[float, float]:
    """Return the chance that both sides read alike, and that an unlike pair is wrong."""
    right, crossed = sensitivity * specificity, (1 - sensitivity) * (1 - specificity)
    alike = sensitivity * (1 - specificity) + (1 - sensitivity) * specificity
    said_right = (1 - swapped) * right + swapped * crossed
    said_wrong = (1 - swapped) * crossed + swapped * right
    return alike, said_wrong / (said_right + said_wrong)


def _volts_errors(sensitivity: float, specificity: float) -> tuple[float, float]:
    """The same for volts, of which both sides are low beyond the place, and right before it."""
    right = (sensitivity**2 + specificity**2) / 2
    wrong = ((1 - sensitivity) ** 2 + (1 - specificity) ** 2) / 2
    return 1 - right - wrong, wrong / (right + wrong)
