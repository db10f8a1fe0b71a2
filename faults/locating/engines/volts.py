"""Volts at a box while the station is switched on, on both sides of its splice and without a cut.

A high resistance lets a meter's small current through: it shows only while the coil draws its own.
Source: common practice, no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from faults.locating.engines.actions import VoltsAt
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import SPOILS_CONTROLLER_SIDE, Outside
from faults.locating.engines.evidence import Likelihood
from faults.locating.engines.ground import Asked, Ground, most
from faults.locating.engines.line import JUST_BELOW, Bools, Floats, Joint, Line
from faults.locating.engines.options import Option
from sites.kernel.lazily import np

# A box whose rarer side is less likely than this tells nothing new; so many are priced.
LEAST_VOLTS = 0.08 * JUST_BELOW
MOST_VOLTS = 12


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


class Volts(Ground):
    """The readings of volts of a plan: at splices, which a meter reaches without a cut."""

    def _volts(self) -> Iterator[Asked]:
        if not self.tools.volts:
            return
        before, beyond = self.sides
        here = self.prices.m.point[0] / self.total
        rarer = np.minimum(before, beyond) + here
        boxes = [
            box
            for box in range(1, len(self.line.boxes) + 1)
            if self.line.boxes[box - 1].joint is Joint.SPLICED and rarer[box + 1] >= LEAST_VOLTS
        ]
        if not boxes:
            return
        kept = most(rarer[np.array(boxes) + 1], MOST_VOLTS)
        boxes = [box for box, is_kept in zip(boxes, kept.tolist(), strict=True) if is_kept]
        both = [(False, False), (False, True), (True, False), (True, True)]
        results = [VoltsRead(box, *sides) for box in boxes for sides in both]
        at = np.repeat(np.array(boxes) + 1, len(both))
        yield self.after(results, at, lambda prices: self._volts_options(boxes, prices))

    def _volts_options(self, boxes: list[int], prices: Floats) -> Iterator[Option]:
        before, beyond = self.sides
        after = prices.reshape(len(boxes), -1).sum(axis=1)
        for box, price in zip(boxes, after.tolist(), strict=True):
            own = self._volts_min(box) + float(self.terrain.walk_min[self.here, box + 1])
            cost = self.minutes(price * float(np.exp(self.k * own)))
            sides = float(before[box + 1]), float(beyond[box + 1])
            yield Option(VoltsAt(box), cost, own, *sides)

    def _volts_min(self, box: int) -> float:
        """Minutes to open a box and read: no cut, no new splice."""
        again = self.assumed.repeat_min
        if self.stand.open_box == box == self.stand.at:
            return again
        return max(again, self.line.boxes[box - 1].open_min - self.assumed.volts_saves_min)
