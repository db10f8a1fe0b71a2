"""Where the technician stands, and where the tone is fed, by the tests of a search so far.

A transmitter stays where it was put: a walk fed from there takes no new set-up.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from faults.locating.engines.belief import Conductor
from faults.locating.engines.options import Stand
from faults.locating.engines.plain import stand_from
from faults.locating.engines.plain_values import UnusablePlain
from faults.locating.engines.plain_words import STAND
from faults.locating.services.beliefs import Believed
from faults.locating.services.evidence import AT_VALVE, PROOF
from faults.models import KindOfTest

# Tests in a box that stays open until one leaves it.
OPENED = frozenset(
    {
        *(KindOfTest.BOX, KindOfTest.INSULATION, KindOfTest.LISTENED),
        *(KindOfTest.CLAMP, KindOfTest.VOLTS, KindOfTest.LOOKED),
    }
)


def last_stand(state: Believed) -> Stand:
    """Return where the last test was made, its box still open, and where the tone is fed."""
    places = [_at(row.said, state) for row in state.rows]
    at = next((place for place in reversed(places) if place is not None), None)
    is_open = bool(state.rows) and state.rows[-1].kind in OPENED
    try:
        stand = stand_from({"at": at, **({"open_box": at} if is_open else {})}, state.ids)
    except UnusablePlain:
        stand = Stand()
    return with_tone(stand, state)


def _at(said: Mapping[str, Any], state: Believed) -> Any:
    """The point at which a test leaves the technician; None where it has no place."""
    points, legs = state.ids.points, state.ids.legs
    match said.get("kind"):
        case KindOfTest.OHMS:
            return points[0]
        case KindOfTest.CHECK if said.get("by_ohms"):
            return points[0]
        case KindOfTest.CHECK | KindOfTest.MENDED:
            return points[-1 if said.get("check") in AT_VALVE else 0]
        case KindOfTest.DISTANCE | KindOfTest.TONE_LEVEL:
            return points[-1 if said.get("from_valve") else 0]
        case KindOfTest.BYPASS if said.get("leg") in legs:
            return points[legs.index(said["leg"]) + 1]
    return said.get("to_point", said.get("point"))


def with_tone(stand: Stand, state: Believed) -> Stand:
    """Return the same with the tone where it was fed last, nowhere where nobody said."""
    points = state.ids.points
    for row in reversed(state.rows):
        if row.kind == KindOfTest.TONE_LEVEL:
            end = len(points) - 1 if row.said.get("from_valve") else 0
            return replace(stand, tone_from=end, tone_on=Conductor.HOT)
        if row.kind == KindOfTest.CHECK and row.said.get("check") == PROOF:
            return replace(stand, tone_from=len(points) - 1, tone_on=Conductor.HOT)
        if row.kind == KindOfTest.LISTENED:
            return replace(stand, tone_from=0, tone_on=Conductor.HOT)
        if row.kind == KindOfTest.TONE_WALKED:
            fed = row.said.get("fed_at")
            if fed not in points:
                return stand
            is_common = row.said.get("conductor") == "common"
            on = Conductor.COMMON if is_common else Conductor.HOT
            return replace(stand, tone_from=points.index(fed), tone_on=on)
    return stand


def stand_plain(stand: Stand, state: Believed) -> dict[str, Any]:
    """Return a stand as the phone's engine reads it: points by their keys."""
    return STAND.write(stand, state.ids)
