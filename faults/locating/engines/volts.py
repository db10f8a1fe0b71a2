"""Volts at a box while the station is switched on, on both sides of its splice and without a cut.

A high resistance lets a meter's small current through: it shows only while the coil draws its own.
Source: common practice, no source.
"""

from dataclasses import dataclass

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import SPOILS_CONTROLLER_SIDE, Outside
from faults.locating.engines.evidence import Likelihood
from faults.locating.engines.line import Bools, Floats, Line
from sites.kernel.lazily import np


@dataclass(frozen=True)
class VoltsRead:
    """Volts to the common on both sides of a splice: far too low, or right.

    `controller_bad`, `valve_bad` with the coil running; `unloaded_bad` on the controller's side
    with the wire to the valve taken off. None where nobody read.
    """

    box: int
    controller_bad: bool | None = None
    valve_bad: bool | None = None
    unloaded_bad: bool | None = None

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """They are low beyond the place; a bad splice in this box parts its own two sides."""
        line.check_box(self.box)
        points = np.arange(len(line.point_ft))
        before = line.cell_leg < self.box
        behind = np.array([cause in SPOILS_CONTROLLER_SIDE for cause in Outside])
        outside = self.chance(behind, behind, assumed)
        return Likelihood(
            self.chance(before, before, assumed),
            self.chance(points < self.box, points <= self.box, assumed),
            dict(zip(Outside, outside.tolist(), strict=True)),
        )

    def chance(self, before: Bools, with_splice: Bools, assumed: Assumptions) -> Floats:
        """Return the chance of this result where something is wrong before each side."""
        sound = assumed.volts_specificity

        def one(is_low: Bools, read_bad: bool | None, sensitivity: float) -> Floats:
            if read_bad is None:
                return np.ones(is_low.shape)
            bad = np.where(is_low, sensitivity, 1 - sound)
            return bad if read_bad else 1 - bad

        loaded = assumed.volts_sensitivity
        return (
            one(before, self.controller_bad, loaded)
            * one(with_splice, self.valve_bad, loaded)
            * one(before, self.unloaded_bad, assumed.unloaded_sensitivity)
        )
