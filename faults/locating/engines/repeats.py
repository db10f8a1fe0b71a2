"""What was asked twice running is not asked a third time: something else comes first.

An action that ended in a mend was asked as well, and a walk back is the same walk. A look at an
end that has just told of every part is over at once: who looked would look at the same again. A box
whose two sides read good twice is not opened a third time before something was mended.
"""

from collections import Counter
from collections.abc import Sequence
from itertools import groupby

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
    ProveWire,
    RenewLeg,
    VoltsAt,
    WalkGradient,
    WalkTone,
)
from faults.locating.engines.box_tests import BoxTest, Clamped, InsulationTest, Listened
from faults.locating.engines.evidence import Reading
from faults.locating.engines.mends import Mended
from faults.locating.engines.other_tests import (
    AT_CONTROLLER,
    AT_VALVE,
    Bypassed,
    Check,
    Checked,
    GradientWalked,
)
from faults.locating.engines.tones import ToneWalked
from faults.locating.engines.volts import VoltsRead

# So often may the same action be asked running.
MOST_RUNNING = 2
_PARTS: dict[type, frozenset[Check]] = {
    CheckController: frozenset(AT_CONTROLLER),
    CheckValve: frozenset(AT_VALVE),
    ProveWire: frozenset({Check.WIRE}),
}


def is_worn_out(
    action: Action, readings: Sequence[Reading], lacking: frozenset[Check] = frozenset()
) -> bool:
    """Whether the last readings are this action's, as often as it may be asked running.

    Args:
        lacking: parts that the station does not have, and so nobody looks at.
    """
    if isinstance(action, RenewLeg):
        # A new wire that did not help: no more wire is laid there.
        return any(_is_of(action, reading) for reading in readings)
    if isinstance(action, VoltsAt) and readings and _is_plain(action, readings[-1]):
        return True
    if isinstance(action, OpenBox | CutBox) and _times_sound(action.box, readings) >= MOST_RUNNING:
        return True
    run: Counter[Check | None] = Counter()
    for reading in reversed(readings):
        if _is_of(action, reading):
            # A look at an end has several parts: it is over when none of them is behind.
            run[reading.check if isinstance(reading, Checked) else None] += 1
        elif not _is_beside(action, reading):
            break
    parts = _PARTS.get(type(action))
    if parts is not None and run.keys() >= parts - lacking:
        return True
    return min(run.values(), default=0) >= MOST_RUNNING


def _times_sound(box: int, readings: Sequence[Reading]) -> int:
    """Return how often both sides of a box read good since anything was mended.

    What is wrong lies on neither side of it, or the wire there is another one.
    """
    times = 0
    for each in reversed(readings):
        if isinstance(each, Mended):
            break
        if isinstance(each, BoxTest) and each.box == box:
            times += (each.controller_bad, each.valve_bad) == (False, False)
    return times


def _is_plain(action: VoltsAt, reading: Reading) -> bool:
    """Whether volts were just read in this box: they stay as they are, unless they cannot be so."""
    if not (isinstance(reading, VoltsRead) and reading.box == action.box):
        return False
    return not (reading.controller_bad is True and reading.valve_bad is False)


def most_running(asked: Sequence[Action]) -> int:
    """Return how often at most the same was asked running, in a whole search."""
    return max((len(list(run)) for _, run in groupby(asked, _alike)), default=0)


def _alike(action: Action) -> object:
    if isinstance(action, WalkTone):
        return frozenset({action.start, action.end}), action.conductor
    if isinstance(action, WalkGradient):
        return frozenset({action.start, action.end})
    return action


def _is_beside(action: Action, reading: Reading) -> bool:
    """Whether a reading leaves the run as it is: what was mended at an end, or a turn.

    Listening and a clamp in one box may not take turns for ever.
    """
    if isinstance(reading, Mended) and reading.check is not None:
        return _is_of(action, Checked(reading.check, is_right=False))
    boxes = [
        each.point if isinstance(each, Clamped) else each.box
        for each in (action, reading)
        if isinstance(each, ListenAt | ClampAt | Listened | Clamped)
    ]
    return len(boxes) == 2 and boxes[0] == boxes[1]


def _is_of(action: Action, reading: Reading) -> bool:
    match action, reading:
        case ((OpenBox(box) | CutBox(box)), BoxTest(box=at)):
            return box == at
        case VoltsAt(box), VoltsRead(box=at):
            return box == at
        case MeasureInsulation(box), InsulationTest(box=at):
            return box == at
        case ((OpenBox(box) | CutBox(box) | MeasureInsulation(box)), Mended(box=int(at))):
            return box == at
        case WalkTone() | WalkGradient(), Mended(leg=int(leg)):
            return min(action.start, action.end) <= leg < max(action.start, action.end)
        case ListenAt(box), Listened(box=at):
            return box == at
        case ClampAt(box), Clamped(point=at):
            return box == at
        case WalkTone(start, end, conductor), ToneWalked():
            return {start, end} == {reading.start, reading.end} and conductor is reading.conductor
        case WalkGradient(start, end), GradientWalked():
            return {start, end} == {reading.start, reading.end}
        case BypassLeg(leg), Bypassed():
            return leg == reading.leg
        case RenewLeg(leg, conductor), Bypassed(works=False, stays=True):
            return (leg, conductor) == (reading.leg, reading.conductor)
        case CheckController(), Checked():
            return reading.check in AT_CONTROLLER
        case CheckValve(), Checked():
            return reading.check in AT_VALVE and not reading.by_ohms
        case ProveWire(), Checked():
            return reading.check is Check.WIRE
    return False
