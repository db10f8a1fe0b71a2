"""Worlds to search in: the standard one, its side scenarios, and those that the plan misjudges."""

from dataclasses import dataclass, field, replace

from faults.locating.engines.simulation.field import Errors
from faults.locating.engines.simulation.sites import Shape


@dataclass(frozen=True)
class Mix:
    """What else can be wrong in a mixed world, beside one break of the hot wire; shares 0..1.

    Of so many neighbours the share `untried` says nothing: nobody saw it run since. On the share
    `unknown_box` of lines lies a box that nobody knows of: our own assumption, no source.

    Causes outside the wire, the common and the bundle come as often as the plan assumes.
    """

    two_faults: float = 0.06
    shorts: float = 0.15
    uncut: float = 0.5
    joint_not_known: float = 0.2
    neighbours: int = 3
    untried: float = 0.5
    unknown_box: float = 0.2


@dataclass(frozen=True)
class World:
    """How sites are drawn, how tests err, and what the plan wrongly believes.

    `error_factor` multiplies the errors that the plan assumes; `length_error` draws each length
    that it knows by up to this share; `unknown_box` hides one box from it.
    """

    shape: Shape = field(default_factory=Shape)
    errors: Errors = field(default_factory=Errors)
    knows_hazards: bool = True
    error_factor: float = 1.0
    length_error: float = 0.0
    unknown_box: bool = False
    mix: Mix | None = None


STANDARD = World()
GHOSTS = replace(Errors(), ghost=0.03)

WORLDS: dict[str, World] = {
    "standard": STANDARD,
    "fast_tone": World(shape=replace(Shape(), tone_min_per_100_ft=2.0)),
    "slow_tone": World(shape=replace(Shape(), tone_min_per_100_ft=8.0)),
    "quick_boxes": World(shape=replace(Shape(), box_min=(3.0, 7.0))),
    "buried_boxes": World(shape=replace(Shape(), box_min=(15.0, 30.0))),
    "length_only": replace(STANDARD, knows_hazards=False),
    "errors_halved": replace(STANDARD, error_factor=0.5),
    "errors_doubled": replace(STANDARD, error_factor=2.0),
    "misspecified": World(
        errors=replace(Errors(), correlated=0.05, ghost=0.03), length_error=0.15, unknown_box=True
    ),
    "mixed": World(errors=GHOSTS, mix=Mix()),
    "shorts": World(errors=GHOSTS, mix=Mix(shorts=1.0)),
    "two_faults": World(errors=GHOSTS, mix=Mix(two_faults=1.0)),
}
