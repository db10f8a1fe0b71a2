"""The stages of a station in a fault: every legal move, its guard and who may make it.

Real life is not linear. A fault found at the terminals needs no dig; standing authority agrees
at once; a mended wire that is still dead goes back to found.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from enum import StrEnum

from sites.kernel.engines.roles import Role


class Stage(StrEnum):
    """How far a station has come, least advanced first; the last two close it otherwise."""

    REPORTED = "reported"
    SCHEDULED = "scheduled"
    FOUND = "found"
    AGREED = "agreed"
    MENDED = "mended"
    PROVEN = "proven"
    RETURNED = "returned"
    GIVEN_UP = "given up"
    WITHDRAWN = "withdrawn"


CLOSED = frozenset({Stage.RETURNED, Stage.GIVEN_UP, Stage.WITHDRAWN})
ADVANCE = {stage: rank for rank, stage in enumerate(Stage)}


class HowReturned(StrEnum):
    """How a station came back to central control."""

    MENDED = "mended"
    SPARE = "moved to a spare wire"
    NEW_WIRE = "new wire"
    LINKED = "controller linked again"
    DOUBLED = "doubled with a neighbour"
    SURFACE = "surface wire"


@dataclass(frozen=True, slots=True)
class Move:
    """One legal move, in words that `stages.md` prints."""

    start: Stage
    end: Stage
    guard: str
    roles: frozenset[Role]


_OFFICE = frozenset({Role.OWNER, Role.WATER_MANAGER, Role.DISPATCHER})
_FIELD = frozenset({Role.OWNER, Role.DISPATCHER, Role.TECHNICIAN, Role.TRACER})
_OUR_FIELD = _FIELD - {Role.TRACER}
_CLOSERS = frozenset({Role.OWNER, Role.WATER_MANAGER})

_JOB = "a locate job with a day and a crew"
_BREAK = "a break, or a cause outside the wire, is recorded"
_YES = "the client's yes, or a standing authority that covers it"
_NO_DIG = "found at the terminals or in an open box, no break along a leg or under ground"
_HOW = "how it was mended is recorded"
_PROOF = (
    "volts right with the coil running, ohms right with the output off and the wire off its "
    "terminal (two-wire path: volts or current at the decoder), run from central (at the clock "
    "where central does not reach it), valve seen to move"
)
_BACK = "timer out, 24 VAC solenoid in, splices sealed, enabled in the central schedule"
_TEMPORARY = "doubled or surface wire only with the client's acceptance and its day"
_WHY = "a reason in words"

MOVES: tuple[Move, ...] = (
    Move(Stage.REPORTED, Stage.SCHEDULED, _JOB, _OFFICE),
    Move(Stage.SCHEDULED, Stage.REPORTED, _WHY, _OFFICE),
    Move(Stage.REPORTED, Stage.FOUND, _BREAK, _FIELD),
    Move(Stage.SCHEDULED, Stage.FOUND, _BREAK, _FIELD),
    Move(Stage.FOUND, Stage.AGREED, _YES, _OFFICE),
    Move(Stage.FOUND, Stage.MENDED, f"{_NO_DIG}; {_HOW}", _OUR_FIELD),
    Move(Stage.FOUND, Stage.SCHEDULED, _WHY, _OFFICE),
    Move(Stage.AGREED, Stage.MENDED, _HOW, _OUR_FIELD),
    Move(Stage.AGREED, Stage.FOUND, _WHY, _OFFICE),
    Move(Stage.MENDED, Stage.PROVEN, _PROOF, _OUR_FIELD),
    Move(Stage.MENDED, Stage.FOUND, "still dead after the mend", _OUR_FIELD),
    Move(Stage.PROVEN, Stage.RETURNED, f"{_BACK}; {_TEMPORARY}", _OUR_FIELD | _CLOSERS),
    Move(Stage.PROVEN, Stage.FOUND, "dead again before it was returned", _OUR_FIELD),
    Move(Stage.RETURNED, Stage.REPORTED, "the same break came back within its warranty", _OFFICE),
    *(
        Move(stage, Stage.GIVEN_UP, _WHY, _CLOSERS)
        for stage in Stage
        if stage not in CLOSED and stage is not Stage.PROVEN
    ),
    *(
        Move(stage, Stage.WITHDRAWN, _WHY, _OFFICE)
        for stage in (Stage.REPORTED, Stage.SCHEDULED, Stage.FOUND)
    ),
    Move(Stage.GIVEN_UP, Stage.REPORTED, _WHY, _OFFICE),
    Move(Stage.WITHDRAWN, Stage.REPORTED, _WHY, _OFFICE),
)

_BY_ENDS = {(move.start, move.end): move for move in MOVES}


def find_move(start: Stage, end: Stage) -> Move | None:
    """Return the legal move between two stages, or None."""
    return _BY_ENDS.get((start, end))


def next_moves(start: Stage, roles: Collection[Role]) -> list[Move]:
    """Return the moves that a user with these roles may make from a stage, onward ones first."""
    mine = [move for move in MOVES if move.start is start and not move.roles.isdisjoint(roles)]
    return sorted(mine, key=lambda move: _is_aside(move) or _is_back(move))


def needs_a_reason(move: Move) -> bool:
    """Return whether a move must be explained: it goes back, or ends without a return."""
    return _is_aside(move) or _is_back(move)


def _is_aside(move: Move) -> bool:
    return move.end in (Stage.GIVEN_UP, Stage.WITHDRAWN)


def _is_back(move: Move) -> bool:
    return ADVANCE[move.end] < ADVANCE[move.start]


def least_advanced(stages: Iterable[Stage]) -> Stage:
    """Return the stage that a fault shows: the least advanced of its open stations.

    A fault whose stations are all closed shows the least advanced of those.

    Raises:
        ValueError: no stage was given.
    """
    # Those that close come last in `ADVANCE`, so any open one comes before them.
    least = min(stages, key=ADVANCE.__getitem__, default=None)
    if least is None:
        raise ValueError("Expected at least one station of the fault, got none")
    return least
