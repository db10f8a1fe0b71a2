"""What each reading did: how likely its result was, and which place or cause it moved most."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from faults.locating.engines.belief import Belief, Contradiction, Outside
from faults.locating.engines.evidence import Reading
from faults.locating.engines.pairs import State

# Shares that moved as far as this from each other moved alike: the first of them is named.
ALIKE = 1e-9


class Kind(StrEnum):
    """What a share is of."""

    LEG = "leg"
    SPLICE = "splice"
    OUTSIDE = "outside"


@dataclass(frozen=True)
class Moved:
    """The share that a reading changed most: of a leg, a splice at a point, or a cause by place."""

    kind: Kind
    index: int
    start: float
    end: float


@dataclass(frozen=True)
class Did:
    """What one reading did; `after` is None where it left no explanation.

    `chance` was that of its result before it was counted, a density per foot for a distance.
    """

    chance: float
    before: Belief
    after: Belief | None


def effects_of(state: State, readings: Sequence[Reading]) -> list[Did]:
    """Return what each reading did, up to the one that left no explanation."""
    found: list[Did] = []
    for reading in readings:
        chance, before = state.chance_of(reading), state.belief
        try:
            state = state.after(reading)
        except Contradiction:
            return [*found, Did(chance, before, None)]
        found.append(Did(chance, before, state.belief))
    return found


def moved(before: Belief, after: Belief) -> Moved:
    """Return what changed most, the first in the order of legs, splices and causes."""
    shares = list(zip(_shares(before), _shares(after), strict=True))
    most = max(abs(end[2] - start[2]) for start, end in shares)
    return next(
        Moved(kind, index, start, end)
        for (kind, index, start), (_kind, _index, end) in shares
        if abs(end - start) >= most - ALIKE
    )


def likeliest(shares: Sequence[float]) -> int:
    """Return the place of the greatest share, the first of those alike."""
    most = max(shares)
    return next(i for i, share in enumerate(shares) if share >= most - ALIKE)


def _shares(belief: Belief) -> list[tuple[Kind, int, float]]:
    parts = {
        Kind.LEG: belief.by_leg.tolist(),
        Kind.SPLICE: belief.splice.tolist(),
        Kind.OUTSIDE: [belief.outside[cause] for cause in Outside],
    }
    return [
        (kind, index, float(share))
        for kind, shares in parts.items()
        for index, share in enumerate(shares)
    ]
