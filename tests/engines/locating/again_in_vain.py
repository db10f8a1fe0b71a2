"""Mixed cases walked and listened to again and again in vain: does the set hold the nearest fault?

In this world half of what a first walk misses shows to no walk, and listening once more at a place
mostly says the same for the same reason.
"""

from dataclasses import replace

import numpy as np

from faults.locating.engines.belief import Conductor
from faults.locating.engines.box_tests import BoxTest, Clamped, Listened
from faults.locating.engines.evidence import Reading
from faults.locating.engines.options import Tools
from faults.locating.engines.searching import Searcher
from faults.locating.engines.segments import BEHIND
from faults.locating.engines.simulation.mixed_cases import USUAL, Case, Fault, draw_case
from faults.locating.engines.simulation.mixed_field import MixedField
from faults.locating.engines.simulation.worlds import WORLDS
from faults.locating.engines.tones import ToneWalked
from tests.engines.locating.likely_set import LikelySet, likely_set

CASE, NOISE, TESTS = 1, 2, 3
MOST_STRETCHES, MOST_TIMES = 3, 3


def holds_after_misses(seed: int) -> bool | None:
    """Draw a case, walk and listen up to three times each; None where a fault was found by it."""
    world = WORLDS["mixed"]
    if world.mix is None:
        raise TypeError("Expected a mixed world")
    # Opens only: of a short the plan leaves room for one that was misread, the world has none.
    mix = replace(world.mix, shorts=0.0)
    case = draw_case(np.random.default_rng([seed, CASE]), world.shape, mix)
    field = MixedField(case, world.errors, np.random.default_rng([seed, NOISE]))
    rng = np.random.default_rng([seed, TESTS])
    said: list[Reading] = []
    for _ in range(int(rng.integers(1, MOST_STRETCHES + 1))):
        said += _again(field, rng)
        if field.left != list(case.faults):
            return None
    searcher = Searcher(
        case.known_line, case.symptom, case.neighbours, USUAL, Tools(), readings=tuple(said)
    )
    return _holds(likely_set(searcher.belief, rng.random()), case)


def _again(field: MixedField, rng: np.random.Generator) -> list[Reading]:
    """One action, one to three times."""
    boxes = len(field.line.boxes)
    box, times = int(rng.integers(1, boxes + 1)), int(rng.integers(1, MOST_TIMES + 1))
    what = rng.random()
    if what < 0.5:
        start, end = (int(each) for each in rng.choice(boxes + 2, size=2, replace=False))
        conductor = Conductor.HOT if rng.random() < 0.7 else Conductor.COMMON
        for _ in range(times):
            if field.walk_tone(start, end, conductor):
                return []
        return [ToneWalked(start, end, conductor)] * times
    if what < 0.7:
        return [Listened(box, field.listen(box)) for _ in range(times)]
    if what < 0.8:
        return [Clamped(box, field.clamp(box)) for _ in range(times)]
    return [BoxTest(box, *field.test_box(box), runs=False)]


def _holds(chosen: LikelySet, case: Case) -> bool:
    fault = min(case.faults, key=lambda each: _place(case, each))
    if fault.cause is not None:
        return fault.cause in chosen.outside
    if fault.splice is not None:
        return bool(chosen.points[fault.splice])
    cell = int(np.argmin(np.abs(case.known_line.cell_ft - fault.feet)))
    return bool(chosen.cells[cell])


def _place(case: Case, fault: Fault) -> float:
    if fault.cause is None:
        return fault.feet
    return -1.0 if fault.cause in BEHIND else case.true_line.length_ft + 1
