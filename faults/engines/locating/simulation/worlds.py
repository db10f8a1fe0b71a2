"""Worlds to search in: the standard one, its side scenarios, and those that the plan misjudges."""

from dataclasses import dataclass, field, replace

from faults.engines.locating.simulation.field import Errors
from faults.engines.locating.simulation.sites import Shape


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


STANDARD = World()

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
        errors=replace(Errors(), correlated=0.05), length_error=0.15, unknown_box=True
    ),
}
