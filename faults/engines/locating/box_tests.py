"""Tests at a box: its splice cut open, or a tone heard at a wire that passes uncut."""

from dataclasses import dataclass

import numpy as np

from faults.engines.locating.assumptions import Assumptions
from faults.engines.locating.belief import Outside
from faults.engines.locating.evidence import Likelihood
from faults.engines.locating.line import Bools, Floats, Line


def _one_side(is_bad: Bools, seen_bad: bool | None, assumed: Assumptions) -> Floats:
    if seen_bad is None:
        return np.ones(is_bad.shape)
    bad = np.where(is_bad, assumed.box_sensitivity, 1 - assumed.box_specificity)
    return bad if seen_bad else 1 - bad


@dataclass(frozen=True)
class BoxTest:
    """The splice of a box cut open and both sides tested; None where a side was not tested."""

    box: int
    controller_bad: bool | None
    valve_bad: bool | None

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """A fault before the box spoils the controller's side, one beyond it the valve's."""
        line.check_box(self.box)
        legs = self.pair(line.cell_leg < self.box, line.cell_leg >= self.box, assumed)
        points = np.arange(len(line.point_ft))
        splice = self.pair(points < self.box, points > self.box, assumed)
        sides = {
            Outside.OUTPUT: (True, False),
            Outside.COMMON_TERMINAL: (True, False),
            Outside.COIL: (False, True),
            Outside.WATER: (False, False),
        }
        outside = {
            cause: float(self.pair(np.array(before), np.array(after), assumed))
            for cause, (before, after) in sides.items()
        }
        return Likelihood(legs, splice, outside)

    def pair(self, before: Bools, after: Bools, assumed: Assumptions) -> Floats:
        """Return the chance of this result where the sides are truly bad as given."""

        def sides(controller: Bools, valve: Bools) -> Floats:
            return _one_side(controller, self.controller_bad, assumed) * _one_side(
                valve, self.valve_bad, assumed
            )

        swapped = assumed.box_swapped
        return (1 - swapped) * sides(before, after) + swapped * sides(after, before)


@dataclass(frozen=True)
class Listened:
    """Tone or clamp at an uncut wire, fed from the controller: heard means the fault is beyond."""

    box: int
    heard: bool

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """Heard with the sensitivity where the wire is whole up to the box."""
        line.check_box(self.box)

        def chance(is_beyond: bool) -> float:
            heard = assumed.listen_sensitivity if is_beyond else 1 - assumed.listen_specificity
            return heard if self.heard else 1 - heard

        yes, no = chance(True), chance(False)
        points = np.arange(len(line.point_ft))
        return Likelihood(
            np.where(line.cell_leg >= self.box, yes, no),
            np.where(points > self.box, yes, no),
            {
                Outside.OUTPUT: yes,
                Outside.COMMON_TERMINAL: yes,
                Outside.COIL: yes,
                Outside.WATER: yes,
            },
        )
