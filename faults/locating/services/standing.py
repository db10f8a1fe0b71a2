"""Where the technician stands, and where the tone is fed, by the tests of a search so far.

A transmitter stays where it was put: a walk fed from there takes no new set-up.
"""

from dataclasses import replace
from typing import Any

from faults.locating.engines.belief import Conductor
from faults.locating.engines.options import Stand
from faults.locating.engines.plain import stand_from
from faults.locating.engines.plain_values import UnusablePlain
from faults.locating.engines.plain_words import STAND
from faults.locating.services.beliefs import Believed
from faults.models import KindOfTest


def last_stand(state: Believed) -> Stand:
    """Return where the last test was made, its box still open, and where the tone is fed."""
    last = state.rows[-1].said if state.rows else {}
    at = last.get("to_point", last.get("point"))
    is_open = last.get("kind") in (KindOfTest.BOX, KindOfTest.INSULATION)
    try:
        stand = stand_from({"at": at, **({"open_box": at} if is_open else {})}, state.ids)
    except UnusablePlain:
        stand = Stand()
    return with_tone(stand, state)


def with_tone(stand: Stand, state: Believed) -> Stand:
    """Return the same with the tone where it was fed last, nowhere where nobody said."""
    points = state.ids.points
    for row in reversed(state.rows):
        if row.kind == KindOfTest.TONE_LEVEL:
            end = len(points) - 1 if row.said.get("from_valve") else 0
            return replace(stand, tone_from=end, tone_on=Conductor.HOT)
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
