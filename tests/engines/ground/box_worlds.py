"""Invented surveys of boxes: where all truly lies is drawn, then what tape and phone show.

The world is physical where the engine takes shortcuts: a mark is seen where it is not, and a tape
runs between the true places.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot

import numpy as np

from sites.ground.engines.circles import Circle, circle
from sites.ground.engines.fixing import (
    AT_68_PERCENT,
    Fixed,
    Position,
    Tie,
    UnableToFix,
    fix,
)

TAPE_SD_FT = 0.4
# How well marks are known: surveyed, or by a phone as most are.
MARKS = {"surveyed": (0.3,), "by a phone": (6.6,), "mixed": (0.3, 3.0, 6.6)}
ACCURACIES_FT = (8.0, 16.4, 33.0)
# Marks lie within so many feet of the box, north or south and east or west.
REACHES_FT = (15.0, 60.0)


@dataclass(frozen=True)
class World:
    """A kind of survey: a box anywhere, ties to marks near it."""

    reach_ft: float
    marks: str
    ties: int
    has_position: bool = True

    def __str__(self) -> str:
        known = "a position" if self.has_position else "no position"
        return f"{self.ties} ties, {known}, marks {self.marks}, within {self.reach_ft:.0f} ft"


@dataclass(frozen=True)
class Survey:
    """Where a box is, and what is known of it."""

    x: float
    y: float
    ties: list[Tie]
    position: Position | None


@dataclass
class Tally:
    """How many circles held their box, of all that were drawn; how many surveys gave none."""

    held: int = 0
    drawn: int = 0
    refused: int = 0

    @property
    def share(self) -> float:
        """The part that held."""
        return self.held / self.drawn


def worlds() -> Iterator[World]:
    """Every kind: what the product knows, up to two ties, and more."""
    for reach_ft in REACHES_FT:
        for marks in MARKS:
            for ties in range(4):
                yield World(reach_ft, marks, ties)
            for ties in (3, 4):
                yield World(reach_ft, marks, ties, has_position=False)


def survey(world: World, draws: np.random.Generator) -> Survey:
    """Draw a survey."""
    x, y = (float(each) for each in draws.uniform(0, 120, 2))
    ties = []
    for _n in range(world.ties):
        mark_sd = float(draws.choice(MARKS[world.marks]))
        mark = np.array([x, y]) + draws.uniform(-world.reach_ft, world.reach_ft, 2)
        seen = mark + draws.normal(0, mark_sd, 2)
        tape = hypot(x - mark[0], y - mark[1]) + draws.normal(0, TAPE_SD_FT)
        sd = hypot(TAPE_SD_FT, mark_sd)
        ties.append(Tie(float(seen[0]), float(seen[1]), max(float(tape), 0.1), sd))
    sd = float(draws.choice(ACCURACIES_FT)) / AT_68_PERCENT
    off = draws.normal(0, sd, 2)
    position = Position(x + float(off[0]), y + float(off[1]), sd) if world.has_position else None
    return Survey(x, y, ties, position)


def found(one: Survey, chance: float) -> tuple[Fixed, Circle] | None:
    """What the engine makes of a survey; None where it gives no place."""
    try:
        place = fix(one.ties, one.position)
    except UnableToFix:
        return None
    if place.is_contradiction or place.mirror is not None:
        return None
    return place, circle(place, one.ties, one.position, chance)


def played(world: World, n: int, draws: np.random.Generator, chance: float = 0.9) -> Tally:
    """Draw surveys of a kind, and count the circles that hold their box."""
    tally = Tally()
    for _n in range(n):
        one = survey(world, draws)
        said = found(one, chance)
        if said is None:
            tally.refused += 1
            continue
        place, around = said
        tally.drawn += 1
        tally.held += hypot(place.x - one.x, place.y - one.y) <= around.radius_ft
    return tally
