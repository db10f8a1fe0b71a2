"""What was asked twice running is not asked a third time: something else comes first."""

from collections.abc import Sequence

from faults.locating.engines.actions import (
    Action,
    BypassLeg,
    CheckController,
    CheckValve,
    ClampAt,
    CutBox,
    ListenAt,
    MeasureInsulation,
    OpenBox,
    WalkGradient,
    WalkTone,
)
from faults.locating.engines.box_tests import BoxTest, Clamped, InsulationTest, Listened
from faults.locating.engines.evidence import Reading
from faults.locating.engines.other_tests import Bypassed, Check, Checked, GradientWalked
from faults.locating.engines.tones import ToneWalked

# So often may the same action be asked running; a look at an end has two halves.
MOST_RUNNING = 2
AT_CONTROLLER = (Check.OUTPUT, Check.COMMON)


def is_worn_out(action: Action, readings: Sequence[Reading]) -> bool:
    """Whether the last readings are this action's, as often as it may be asked running."""
    halves = 2 if isinstance(action, CheckController | CheckValve) else 1
    run = 0
    for reading in reversed(readings):
        if not _is_of(action, reading):
            break
        run += 1
    return run >= MOST_RUNNING * halves


def _is_of(action: Action, reading: Reading) -> bool:
    match action, reading:
        case ((OpenBox(box) | CutBox(box)), BoxTest(box=at)):
            return box == at
        case MeasureInsulation(box), InsulationTest(box=at):
            return box == at
        case ListenAt(box), Listened(box=at):
            return box == at
        case ClampAt(box), Clamped(point=at):
            return box == at
        case WalkTone(start, end, conductor), ToneWalked():
            return (start, end, conductor) == (reading.start, reading.end, reading.conductor)
        case WalkGradient(start, end), GradientWalked():
            return (start, end) == (reading.start, reading.end)
        case BypassLeg(leg), Bypassed():
            return leg == reading.leg
        case CheckController(), Checked():
            return reading.check in AT_CONTROLLER
        case CheckValve(), Checked():
            return reading.check not in AT_CONTROLLER
    return False
