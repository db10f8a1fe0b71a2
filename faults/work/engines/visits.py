"""The visits that a station of a fault looks to: what each is for, and which one counts now."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from faults.cases.engines.stages import Stage


class Held(StrEnum):
    """What a planned visit is held for."""

    WEATHER = "weather"
    PARTS = "parts"
    ACCESS = "access"


class Purpose(StrEnum):
    """What a visit does for the station: search, mend, or prove and bring back."""

    LOOK = "look"
    DIG = "dig"
    BRING_BACK = "bring back"


class VisitState(StrEnum):
    """How far a visit has come."""

    PLANNED = "planned"
    STARTED = "started"
    DONE = "done"
    WITHDRAWN = "withdrawn"


@dataclass(frozen=True, slots=True)
class Visit:
    """One job for the station: its day, where it has one, and what it is held for.

    `number` tells visits of one day apart: the lower is the older.
    """

    purpose: Purpose = Purpose.LOOK
    state: VisitState = VisitState.PLANNED
    day: date | None = None
    ended_on: date | None = None
    held: Held | None = None
    held_since: date | None = None
    number: int = 0

    @property
    def is_open(self) -> bool:
        """Whether it is still to be done or under way."""
        return self.state in (VisitState.PLANNED, VisitState.STARTED)


PURPOSE_OF_STAGE = {
    Stage.REPORTED: Purpose.LOOK,
    Stage.SCHEDULED: Purpose.LOOK,
    Stage.AGREED: Purpose.DIG,
    Stage.MENDED: Purpose.BRING_BACK,
    Stage.PROVEN: Purpose.BRING_BACK,
}


def visit_for(stage: Stage, visits: Iterable[Visit], moved_on: date | None) -> Visit | None:
    """Return the visit that a station in this stage looks to.

    An open one first: under way, then the earliest day, then those without a day. Else the
    latest that was done since the station came to its stage, else one that was withdrawn.
    """
    fitting = [one for one in visits if one.purpose is PURPOSE_OF_STAGE.get(stage)]
    still = [one for one in fitting if one.is_open]
    if still:
        return min(still, key=_turn)
    came = moved_on or date.min
    done = [one for one in fitting if one.state is VisitState.DONE and _end(one) >= came]
    if done:
        return max(done, key=lambda one: (_end(one), one.number))
    gone = [one for one in fitting if one.state is VisitState.WITHDRAWN]
    return max(gone, key=lambda one: one.number, default=None)


def _turn(one: Visit) -> tuple[bool, date, int]:
    return (one.state is not VisitState.STARTED, one.day or date.max, one.number)


def _end(one: Visit) -> date:
    return one.ended_on or one.day or date.min
