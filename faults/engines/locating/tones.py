"""The tone: walked without a find, or its level where it is fed."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from faults.engines.locating.assumptions import Assumptions
from faults.engines.locating.belief import Conductor
from faults.engines.locating.evidence import Likelihood, everywhere
from faults.engines.locating.line import Floats, Line


@dataclass(frozen=True)
class ToneWalked:
    """A tone walked from point to point, nothing found: never proof, only less likely there."""

    start: int
    end: int
    conductor: Conductor = Conductor.HOT

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """What lies on the way was missed; a tone on one conductor tells nothing of another."""
        line.check_point(self.start)
        line.check_point(self.end)
        low, high = sorted((self.start, self.end))
        missed = 1 - assumed.tone_detects
        cells = np.where((line.cell_leg >= low) & (line.cell_leg < high), missed, 1.0)
        points = np.arange(len(line.point_ft))
        ones = np.ones_like(cells)
        is_hot = self.conductor is not Conductor.COMMON
        legs = np.stack([cells, ones, cells] if is_hot else [ones, cells, cells])
        on_way = (points >= low) & (points <= high) & is_hot
        return Likelihood(legs, np.where(on_way, missed, 1.0), everywhere(1.0))


class Third(StrEnum):
    """A level of the tone between the user's own marks."""

    LOW = "low"
    MIDDLE = "middle"
    TOP = "top"


@dataclass(frozen=True)
class ToneLevel:
    """How strong the tone is where it is fed. The fallback without marks of the user's own.

    Source: shape of the thirds is common practice, no source.
    """

    third: Third
    from_valve: bool = False
    soil_is_dry: bool = False

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """A near break leaves little wire to radiate; dry soil says nothing."""
        ones = np.ones(len(line.cell_ft))
        if self.soil_is_dry:
            return Likelihood(ones, np.ones(len(line.point_ft)), everywhere(1.0))
        return Likelihood(
            self._third(line.cell_ft, line.length_ft),
            self._third(line.point_ft, line.length_ft),
            everywhere(1 / 3),
        )

    def _third(self, feet: Floats, length_ft: float) -> Floats:
        s = length_ft - feet if self.from_valve else feet
        low = 1 / (1 + np.exp((s - 100) / 30)) + 0.05
        middle = np.exp(-0.5 * ((s - 0.5 * length_ft) / (0.2 * length_ft)) ** 2) + 0.05
        top = np.where(
            s > 0.9 * length_ft,
            1.0,
            np.exp(-0.5 * ((s - 0.9 * length_ft) / (0.15 * length_ft)) ** 2),
        )
        chosen = {Third.LOW: low, Third.MIDDLE: middle, Third.TOP: top + 0.05}[self.third]
        result: Floats = chosen / (low + middle + top + 0.05)
        return result
