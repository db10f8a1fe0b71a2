"""How likely each reading is under each hypothesis.

Each kind of reading is a frozen dataclass with `likelihood`; `update` multiplies it in. Source:
Bayes' rule; the error rates are assumptions (see `assumptions`).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Protocol

import numpy as np

from faults.engines.locating.assumptions import Assumptions
from faults.engines.locating.belief import Belief, Conductor, Contradiction, Outside
from faults.engines.locating.line import Bools, Floats, Line


@dataclass(frozen=True)
class Likelihood:
    """Chance of a reading: (cells,) or (3, cells) for legs, (n + 2,) for splices, by cause."""

    legs: Floats
    splice: Floats
    outside: Mapping[Outside, float]


class Reading(Protocol):
    """One test and what it said."""

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """Return the chance of this result under each hypothesis."""


def update(belief: Belief, reading: Reading, assumed: Assumptions) -> Belief:
    """Return the belief after a reading.

    Raises:
        Contradiction: no explanation is left.
        UnusableLine: the reading names a box or point that is not on this line.
    """
    seen = reading.likelihood(belief.line, assumed)
    after = replace(
        belief,
        legs=belief.legs * seen.legs,
        splice=belief.splice * seen.splice,
        outside={cause: mass * seen.outside[cause] for cause, mass in belief.outside.items()},
    )
    return after.scaled()


def chance_of(belief: Belief, reading: Reading, assumed: Assumptions) -> float:
    """Return how likely this result was before it was seen."""
    seen = reading.likelihood(belief.line, assumed)
    legs = float((belief.legs * seen.legs).sum() + (belief.splice * seen.splice).sum())
    return legs + sum(mass * seen.outside[cause] for cause, mass in belief.outside.items())


def after_all(belief: Belief, readings: Iterable[Reading], assumed: Assumptions) -> Belief:
    """Return the belief after several readings.

    Raises:
        Contradiction: no explanation is left.
    """
    for reading in readings:
        belief = update(belief, reading, assumed)
    return belief


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
        return Likelihood(legs, np.where(on_way, missed, 1.0), _everywhere(1.0))


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
            return Likelihood(ones, np.ones(len(line.point_ft)), _everywhere(1.0))
        return Likelihood(
            self._third(line.cell_ft, line.length_ft),
            self._third(line.point_ft, line.length_ft),
            _everywhere(1 / 3),
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
class Distance:
    """Feet to the fault by a bridge, a capacitance or a reflection, with its standard error."""

    feet: float
    from_valve: bool = False
    sd_ft: float | None = None
    sd_share: float | None = None

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """Normal about the place, mixed with a share of readings that are useless."""
        if not np.isfinite(self.feet):
            raise ValueError(f"Expected a distance in feet, got {self.feet}")
        total = line.length_ft
        sd0 = assumed.distance_sd_ft if self.sd_ft is None else self.sd_ft
        share = assumed.distance_sd_share if self.sd_share is None else self.sd_share

        def chance(feet: Floats) -> Floats:
            s = total - feet if self.from_valve else feet
            sd = np.hypot(sd0, share * s)
            normal = np.exp(-0.5 * ((self.feet - s) / sd) ** 2) / (sd * np.sqrt(2 * np.pi))
            result: Floats = (1 - useless) * normal + useless / total
            return result

        useless = assumed.distance_useless
        ends = chance(np.array([0.0, total]))
        flat = 1 / total
        return Likelihood(
            chance(line.cell_ft),
            chance(line.point_ft),
            {
                Outside.OUTPUT: float(ends[0]),
                Outside.COMMON_TERMINAL: flat,
                Outside.COIL: float(ends[1]),
                Outside.WATER: flat,
            },
        )


@dataclass(frozen=True)
class Bypassed:
    """A jumper laid round one leg: does the station run with it?"""

    leg: int
    works: bool

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """A jumper for the hot wire does not help a broken common."""
        if not 0 <= self.leg < len(line.legs):
            raise ValueError(f"Expected a leg 0..{len(line.legs) - 1}, got {self.leg}")
        helps = assumed.bypass_sensitivity
        in_vain = 1 - assumed.bypass_specificity
        yes = helps if self.works else 1 - helps
        no = in_vain if self.works else 1 - in_vain
        here = np.where(line.cell_leg == self.leg, yes, no)
        elsewhere = np.full_like(here, no)
        return Likelihood(
            np.stack([here, elsewhere, here]),
            np.full(len(line.point_ft), no),
            _everywhere(no),
        )


class Check(StrEnum):
    """Tests that settle one cause outside the wire."""

    OUTPUT = "volts at the controller's terminal"
    COMMON = "another station on the same common"
    COIL = "ohms of the coil at the valve"
    WATER = "the valve opened by hand"


CHECKS = {
    Check.OUTPUT: Outside.OUTPUT,
    Check.COMMON: Outside.COMMON_TERMINAL,
    Check.COIL: Outside.COIL,
    Check.WATER: Outside.WATER,
}


@dataclass(frozen=True)
class Checked:
    """One cause looked at: is it right?"""

    check: Check
    is_right: bool

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """Bad with the sensitivity where it is the cause."""
        bad = assumed.check_sensitivity
        fine = assumed.check_specificity
        if_cause = 1 - bad if self.is_right else bad
        if_not = fine if self.is_right else 1 - fine
        outside = _everywhere(if_not) | {CHECKS[self.check]: if_cause}
        cells = np.full((len(Conductor), len(line.cell_ft)), if_not)
        return Likelihood(cells, np.full(len(line.point_ft), if_not), outside)


@dataclass(frozen=True)
class EarthGradient:
    """The place where a leak's current enters the ground, found by two probes, in feet."""

    feet: float

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """Sharp about the place, with the same useless share as other distances."""
        near = Distance(self.feet, sd_ft=assumed.gradient_sd_ft, sd_share=0.0)
        return near.likelihood(line, assumed)


def _everywhere(chance: float) -> dict[Outside, float]:
    return dict.fromkeys(Outside, chance)


__all__ = [
    "BoxTest",
    "Bypassed",
    "Check",
    "Checked",
    "Contradiction",
    "Distance",
    "EarthGradient",
    "Likelihood",
    "Listened",
    "Reading",
    "Third",
    "ToneLevel",
    "ToneWalked",
    "after_all",
    "chance_of",
    "update",
]
