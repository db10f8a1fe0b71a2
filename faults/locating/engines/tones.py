"""The tone: walked without a find, or its level where it is fed."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Conductor, Outside
from faults.locating.engines.evidence import Likelihood, UnusableReading, everywhere
from faults.locating.engines.line import Floats, Line

# Useless levels lie anywhere from half a span below the marks to half a span above.
FLAT_LEVEL = 0.5


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


@dataclass(frozen=True)
class MarkedLevel:
    """How strong the tone is where it is fed, on the scale of the user's own two marks.

    `at_transmitter` is what the receiver shows when the lead is clipped to nothing,
    `on_sound_wire` what it shows on a sound wire of the same run. The level between them grows
    with the feet of wire that radiate. A scale that runs the other way works as well.
    """

    level: float
    at_transmitter: float
    on_sound_wire: float
    from_valve: bool = False
    soil_is_dry: bool = False

    def __post_init__(self) -> None:
        for name in ("level", "at_transmitter", "on_sound_wire"):
            if not np.isfinite(getattr(self, name)):
                raise UnusableReading(f"Expected a number as {name}, got {getattr(self, name)}")
        if self.at_transmitter == self.on_sound_wire:
            raise UnusableReading(
                "Expected two marks that differ, got "
                f"at_transmitter = on_sound_wire = {self.on_sound_wire}"
            )

    @property
    def share(self) -> float:
        """The level as a share of a sound wire's; 0 where nothing radiates."""
        return (self.level - self.at_transmitter) / (self.on_sound_wire - self.at_transmitter)

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """Normal about the share of the wire that is fed, mixed with a share of useless levels.

        A broken common leaves the hot wire whole to the coil and on: nothing is said of it.
        """
        if self.soil_is_dry:
            cells, points = np.ones(len(line.cell_ft)), np.ones(len(line.point_ft))
            return Likelihood(cells, points, everywhere(1.0))
        useless, sd = assumed.level_useless, assumed.level_sd_share

        def chance(feet: Floats) -> Floats:
            fed = (line.length_ft - feet if self.from_valve else feet) / line.length_ft
            normal = np.exp(-0.5 * ((self.share - fed) / sd) ** 2) / (sd * np.sqrt(2 * np.pi))
            result: Floats = (1 - useless) * normal + useless * FLAT_LEVEL
            return result

        fed = chance(line.cell_ft)
        whole = float(chance(np.array([0.0 if self.from_valve else line.length_ft]))[0])
        outside = everywhere(whole) | {Outside.COMMON_TERMINAL: FLAT_LEVEL}
        return Likelihood(
            np.stack([fed, np.full_like(fed, FLAT_LEVEL), fed]), chance(line.point_ft), outside
        )
