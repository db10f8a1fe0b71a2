"""Truths drawn from what is believed, and what tests with errors then say of them."""

import numpy as np

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import (
    SPOILS_CONTROLLER_SIDE,
    SPOILS_VALVE_SIDE,
    Belief,
    Outside,
    prior,
)
from faults.locating.engines.box_tests import BoxTest
from faults.locating.engines.line import Box, Leg, Line
from faults.locating.engines.other_tests import Distance
from tests.engines.locating.likely_set import LikelySet, likely_set
from tests.engines.locating.one_fault import update

USUAL = Assumptions(common_share=0.0)


def drawn_line(rng: np.random.Generator) -> Line:
    feet = rng.uniform(50, 400, int(rng.integers(3, 8)))
    legs = tuple(Leg(f"leg {i}", float(ft), years=0.0) for i, ft in enumerate(feet))
    return Line(legs, tuple(Box(f"box {i}") for i in range(1, len(legs))))


def drawn_truth(belief: Belief, rng: np.random.Generator) -> tuple[str, int]:
    cells = belief.legs.sum(axis=0)
    causes = list(Outside)
    mass = np.concatenate([cells, belief.splice, [belief.outside[cause] for cause in causes]])
    at = int(rng.choice(len(mass), p=mass / mass.sum()))
    if at < len(cells):
        return "cell", at
    at -= len(cells)
    return ("point", at) if at < len(belief.splice) else ("cause", at - len(belief.splice))


def sides_of(line: Line, truth: tuple[str, int], box: int) -> tuple[bool, bool]:
    kind, at = truth
    if kind == "cell":
        return bool(line.cell_leg[at] < box), bool(line.cell_leg[at] >= box)
    if kind == "point":
        return at < box, at > box
    cause = list(Outside)[at]
    return cause in SPOILS_CONTROLLER_SIDE, cause in SPOILS_VALVE_SIDE


def observed(
    rng: np.random.Generator, sides: tuple[bool, bool], assumed: Assumptions
) -> tuple[bool, bool]:
    if rng.random() < assumed.box_swapped:
        sides = sides[::-1]
    bad = [assumed.box_sensitivity if side else 1 - assumed.box_specificity for side in sides]
    return bool(rng.random() < bad[0]), bool(rng.random() < bad[1])


def feet_read(
    rng: np.random.Generator, line: Line, truth: tuple[str, int], assumed: Assumptions
) -> float:
    kind, at = truth
    cause = list(Outside)[at] if kind == "cause" else None
    ends = dict.fromkeys((Outside.OUTPUT, Outside.CONTROLLER_SPLICE), 0.0)
    ends |= dict.fromkeys(SPOILS_VALVE_SIDE, line.length_ft)
    nowhere = cause is not None and cause not in ends
    if nowhere or rng.random() < assumed.distance_useless:
        return float(rng.uniform(0, line.length_ft))
    feet = 0.0 if cause is None else ends[cause]
    if kind != "cause":
        feet = float(line.cell_ft[at] if kind == "cell" else line.point_ft[at])
    sd = np.hypot(assumed.distance_sd_ft, assumed.distance_sd_share * feet)
    return float(rng.normal(feet, sd))


def is_in(chosen: LikelySet, truth: tuple[str, int]) -> bool:
    kind, at = truth
    if kind == "cause":
        return list(Outside)[at] in chosen.outside
    return bool((chosen.cells if kind == "cell" else chosen.points)[at])


def is_held(rng: np.random.Generator) -> bool:
    """Draw a line, a truth, one to three box tests and perhaps a distance; look at the set."""
    line = drawn_line(rng)
    belief = prior(line, USUAL)
    truth = drawn_truth(belief, rng)
    for _test in range(int(rng.integers(1, 4))):
        box = int(rng.integers(1, len(line.boxes) + 1))
        seen = observed(rng, sides_of(line, truth, box), USUAL)
        belief = update(belief, BoxTest(box, *seen), USUAL)
    if rng.random() < 0.5:
        belief = update(belief, Distance(feet_read(rng, line, truth, USUAL)), USUAL)
    return is_in(likely_set(belief, rng.random()), truth)
