"""Why an option ranks where it does: the facts for one line of text, without the text."""

from dataclasses import dataclass

from faults.locating.engines.actions import (
    BypassLeg,
    CheckController,
    CheckValve,
    ClampAt,
    CutBox,
    ListenAt,
    MeasureInsulation,
    OpenBox,
    ProveWire,
    ReadDistance,
    ReadOhms,
    RenewLeg,
    VoltsAt,
    WalkGradient,
    WalkTone,
)
from faults.locating.engines.belief import Belief
from faults.locating.engines.misses import is_gradient, is_tone_on, times_on_legs
from faults.locating.engines.options import Option, Stand
from faults.locating.engines.summary import feet_of

# A test halves where the smaller side holds at least this much.
HALF = 0.35
BOX_TESTS = (OpenBox, CutBox, ListenAt, ClampAt, VoltsAt, MeasureInsulation)


@dataclass(frozen=True)
class Why:
    """Facts of one option.

    `before`, `beyond` are the shares on both sides of a test, `finds` the chance that the action
    finds or settles the fault itself. `point` is where it starts, None where it has no place;
    `is_on_the_way` says that it lies between the stand and the middle of what is believed,
    `is_here` that it needs no walk, `is_nearest` that no other box on offer is nearer.
    `walked_in_vain` says how often such a walk led over all of its way for nothing.
    """

    before: float
    beyond: float
    finds: float
    point: int | None
    halves: bool
    is_here: bool
    is_open: bool
    is_on_the_way: bool
    is_nearest: bool
    walked_in_vain: int = 0


def why(option: Option, belief: Belief, stand: Stand, offered: list[Option]) -> Why:
    """Return the facts of an option among those on offer."""
    point = place_of(option, belief)
    nearest = _nearest(belief, stand, offered)
    is_test = isinstance(option.action, BOX_TESTS)
    return Why(
        before=option.before,
        beyond=option.beyond,
        finds=option.finds,
        point=point,
        halves=min(option.before, option.beyond) >= HALF,
        is_here=point == stand.at,
        is_open=is_test and point == stand.open_box == stand.at,
        is_on_the_way=is_test and _is_on_the_way(point, belief, stand),
        is_nearest=is_test and point in nearest,
        walked_in_vain=_walked_in_vain(option, belief),
    )


def _walked_in_vain(option: Option, belief: Belief) -> int:
    """How often all of a walk's way was walked already, by such a walk, for nothing."""
    action = option.action
    if not isinstance(action, WalkTone | WalkGradient):
        return 0
    counts = is_tone_on(action.conductor) if isinstance(action, WalkTone) else is_gradient
    low, high = sorted((action.start, action.end))
    return int(times_on_legs(belief.walked, belief.line, counts)[low:high].min())


def place_of(option: Option, belief: Belief) -> int | None:
    """Return the point at which an action starts; None where it has no place of its own."""
    action = option.action
    valve = len(belief.line.boxes) + 1
    if isinstance(action, BOX_TESTS):
        return action.box
    if isinstance(action, WalkTone | WalkGradient):
        return action.start
    if isinstance(action, BypassLeg | RenewLeg):
        return action.leg
    if isinstance(action, CheckController | ReadOhms):
        return 0
    if isinstance(action, CheckValve | ProveWire):
        return valve
    if isinstance(action, ReadDistance):
        return valve if action.from_valve else 0
    return None


def _is_on_the_way(point: int | None, belief: Belief, stand: Stand) -> bool:
    feet = feet_of(belief)
    if feet is None or point is None or point == stand.at:
        return False
    here, there = float(belief.line.point_ft[stand.at]), feet.middle
    at = float(belief.line.point_ft[point])
    return min(here, there) < at < max(here, there)


def _nearest(belief: Belief, stand: Stand, offered: list[Option]) -> set[int]:
    """The boxes on offer that are nearest to where one stands."""
    ft = belief.line.point_ft
    away = {
        option.action.box: abs(float(ft[option.action.box] - ft[stand.at]))
        for option in offered
        if isinstance(option.action, BOX_TESTS)
    }
    least = min(away.values(), default=0.0)
    return {box for box, feet in away.items() if feet == least}
