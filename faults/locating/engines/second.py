"""Two faults on one wire: how likely, and where the other one lies after a repair.

Segments in order: behind the controller, leg 0, splice 1, leg 1, ..., the coil. Ordered pairs of
segments, the same one twice allowed; a side of a box reads bad if either fault makes it bad.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Belief, Contradiction, Outside
from faults.locating.engines.box_tests import TwoSided
from faults.locating.engines.line import Bools, Floats


@dataclass(frozen=True)
class Segments:
    """The parts of a line as one list: masses (s,), and the first segment of each leg."""

    mass: Floats
    names: tuple[str, ...]

    def leg(self, leg: int) -> int:
        """Index of a leg."""
        return 1 + 2 * leg

    def splice(self, box: int) -> int:
        """Index of a box's splice."""
        return 2 * box


@dataclass(frozen=True)
class TwoFaults:
    """Chance that there are two, and for each segment the chance that some fault is there."""

    p_two: float
    somewhere: Floats


def segments_of(belief: Belief) -> Segments:
    """Return the segments of a belief before any box test."""
    line, outside = belief.line, belief.outside
    mass, names = [outside[Outside.OUTPUT] + outside[Outside.COMMON_TERMINAL]], ["controller"]
    for leg, share in enumerate(belief.by_leg):
        if leg:
            mass.append(float(belief.splice[leg]))
            names.append(f"splice at {line.boxes[leg - 1].name}")
        mass.append(float(share))
        names.append(line.legs[leg].name)
    mass.append(outside[Outside.COIL])
    names.append("coil")
    weights = np.array(mass)
    return Segments(weights / weights.sum(), tuple(names))


def two_faults(segments: Segments, tests: Sequence[TwoSided], assumed: Assumptions) -> TwoFaults:
    """Return the chance of two faults after box tests.

    Raises:
        Contradiction: not even two faults explain the tests.
    """
    one = segments.mass * (1 - assumed.two_faults)
    two = assumed.two_faults * np.outer(segments.mass, segments.mass)
    for test in tests:
        before, beyond = _sides(segments, test.box)
        one = one * _pair(test, before, beyond, assumed)
        two = two * _pair(
            test, before[:, None] | before[None], beyond[:, None] | beyond[None], assumed
        )
    total = one.sum() + two.sum()
    if total <= 0:
        raise Contradiction("Expected two faults to explain the tests, got none that do")
    either = two + two.T
    somewhere = (one + either.sum(axis=1) - np.diag(two)) / total
    return TwoFaults(float(two.sum() / total), somewhere)


def after_repair(
    segments: Segments, tests: Sequence[TwoSided], repaired: int, assumed: Assumptions
) -> Floats | None:
    """Return where the other fault lies when a segment was mended and the wire is still dead.

    Earlier tests are kept. None: no second fault fits, so doubt the mend or look outside.
    """
    pairs = np.outer(segments.mass, segments.mass)
    for test in tests:
        before, beyond = _sides(segments, test.box)
        pairs = pairs * _pair(
            test, before[:, None] | before[None], beyond[:, None] | beyond[None], assumed
        )
    other = pairs[repaired] + pairs[:, repaired]
    total = other.sum()
    result: Floats | None = other / total if total > 1e-12 else None
    return result


def belief_after_repair(
    before: Belief, tests: Sequence[TwoSided], repaired: int, assumed: Assumptions
) -> Belief | None:
    """Return the belief of the other fault, to go on with; None where no second fault fits.

    Within a segment the places keep their shares; a leg that was mended may be broken twice.
    Water explains nothing that a mend along the wire left dead: it keeps its own share.
    """
    segments = segments_of(before)
    other = after_repair(segments, tests, repaired, assumed)
    if other is None:
        return None
    factor = other / np.where(segments.mass > 0, segments.mass, 1.0)
    legs = factor[[segments.leg(i) for i in range(len(before.line.legs))]]
    splices = np.ones(len(before.splice))
    for box in range(1, len(before.line.boxes) + 1):
        splices[box] = factor[segments.splice(box)]
    by_cause = {
        Outside.OUTPUT: factor[0],
        Outside.COMMON_TERMINAL: factor[0],
        Outside.COIL: factor[-1],
        Outside.WATER: 1.0,
    }
    return replace(
        before,
        legs=before.legs * legs[before.line.cell_leg],
        splice=before.splice * splices,
        outside={cause: mass * float(by_cause[cause]) for cause, mass in before.outside.items()},
    ).scaled()


def _sides(segments: Segments, box: int) -> tuple[Bools, Bools]:
    at = segments.splice(box)
    index = np.arange(len(segments.mass))
    return index < at, index > at


def _pair(test: TwoSided, before: Bools, beyond: Bools, assumed: Assumptions) -> Floats:
    return test.pair(before, beyond, assumed)
