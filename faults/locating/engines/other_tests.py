"""Distances by instrument, jumpers, checks of one cause, and a leak found in the ground."""

import math
from dataclasses import dataclass
from enum import StrEnum

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import (
    BEHIND,
    IN_VALVE_BOX,
    SPARED,
    SPOILS_VALVE_SIDE,
    Conductor,
    Outside,
    Walk,
)
from faults.locating.engines.distance_error import distance_sd
from faults.locating.engines.evidence import Likelihood, UnusableReading, everywhere
from faults.locating.engines.line import Floats, Line
from faults.locating.engines.misses import (
    is_gradient,
    missed_after,
    times_at_points,
    times_on_legs,
)
from sites.kernel.lazily import np

# The steepness of a logistic curve whose standard deviation is 1.
LOGISTIC = math.pi / math.sqrt(3)


@dataclass(frozen=True)
class Distance:
    """Feet to the fault by a bridge, a capacitance or a reflection, with its standard error.

    One that says the farthest place (`is_farthest`) tells nothing of the places before it: ohms of
    the fault itself make a loop that is read from one end too long, by nobody knows how much.
    """

    feet: float
    from_valve: bool = False
    sd_ft: float | None = None
    sd_share: float | None = None
    is_farthest: bool = False

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """Normal about the place, mixed with a share of readings that are useless.

        Guessed lengths between the instrument and the place widen it. A farthest place cuts off
        what lies beyond it, as sharply as the reading is.
        """
        if not np.isfinite(self.feet):
            raise UnusableReading(f"Expected a distance in feet, got {self.feet}")
        for name in ("sd_ft", "sd_share"):
            sd = getattr(self, name)
            if sd is not None and not (np.isfinite(sd) and sd >= 0):
                raise UnusableReading(f"Expected {name} >= 0, got {sd}")
        total = line.length_ft

        def chance(feet: Floats) -> Floats:
            s = total - feet if self.from_valve else feet
            sd = distance_sd(
                feet,
                line,
                assumed,
                from_valve=self.from_valve,
                sd_ft=self.sd_ft,
                sd_share=self.sd_share,
            )
            if self.is_farthest:
                # A logistic curve of that spread: as far as it says, then less and less.
                near = (1 + np.tanh((self.feet - s) * LOGISTIC / (2 * sd))) / 2 / total
            else:
                near = np.exp(-0.5 * ((self.feet - s) / sd) ** 2) / (sd * np.sqrt(2 * np.pi))
            result: Floats = (1 - useless) * near + useless / total
            return result

        useless = assumed.distance_useless
        ends = chance(np.array([0.0, total]))
        flat = 1 / total
        return Likelihood(
            chance(line.cell_ft),
            chance(line.point_ft),
            everywhere(flat)
            | dict.fromkeys((Outside.OUTPUT, Outside.CONTROLLER_SPLICE), float(ends[0]))
            | dict.fromkeys(SPOILS_VALVE_SIDE, float(ends[1])),
        )


@dataclass(frozen=True)
class Bypassed:
    """A jumper, or a new wire, laid round one leg for a conductor: does the station run with it?

    A new wire `stays`: what was wrong with the old one is gone, whatever else keeps it dead.
    """

    leg: int
    works: bool
    conductor: Conductor = Conductor.HOT
    stays: bool = False

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """One for the hot wire does not help a broken common, nor the other way round."""
        if not 0 <= self.leg < len(line.legs):
            raise UnusableReading(f"Expected a leg 0..{len(line.legs) - 1}, got {self.leg}")
        helps = assumed.bypass_sensitivity
        in_vain = 1 - assumed.bypass_specificity
        yes = helps if self.works else 1 - helps
        no = in_vain if self.works else 1 - in_vain
        here = np.where(line.cell_leg == self.leg, yes, no)
        elsewhere = np.full_like(here, no)
        is_common = self.conductor is Conductor.COMMON
        return Likelihood(
            np.stack([elsewhere, here, elsewhere] if is_common else [here, elsewhere, here]),
            np.full(len(line.point_ft), no),
            everywhere(no),
        )


class Check(StrEnum):
    """Tests that settle one cause outside the wire."""

    OUTPUT = "volts at the controller's terminal"
    COMMON = "another station on the same common"
    COIL = "ohms of the coil at the valve"
    WATER = "the valve opened by hand"
    CONTROLLER_SPLICE = "the wire's end and splice at the controller"
    VALVE_SPLICE = "the splices in the valve box"
    MASTER = "the master valve or pump"
    WIRE = "which wire at the controller leads to the valve"


CHECKS = {
    Check.OUTPUT: Outside.OUTPUT,
    Check.COMMON: Outside.COMMON_TERMINAL,
    Check.COIL: Outside.COIL,
    Check.WATER: Outside.WATER,
    Check.CONTROLLER_SPLICE: Outside.CONTROLLER_SPLICE,
    Check.VALVE_SPLICE: Outside.VALVE_SPLICE,
    Check.MASTER: Outside.MASTER,
    Check.WIRE: Outside.WRONG_WIRE,
}
AT_CONTROLLER = tuple(check for check, cause in CHECKS.items() if cause in BEHIND)
AT_VALVE = tuple(check for check, cause in CHECKS.items() if cause in IN_VALVE_BOX)


@dataclass(frozen=True)
class Checked:
    """One cause looked at: is it right?

    `by_ohms`: told by ohms at the controller, as of two coils of which one is open.
    """

    check: Check
    is_right: bool
    by_ohms: bool = False

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """Bad with the sensitivity where it is the cause."""
        bad = assumed.check_sensitivity
        fine = assumed.check_specificity
        if_cause = 1 - bad if self.is_right else bad
        if_not = fine if self.is_right else 1 - fine
        outside = everywhere(if_not) | {CHECKS[self.check]: if_cause}
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


@dataclass(frozen=True)
class GradientWalked:
    """Two probes walked over the wire from point to point, no leak found on the way."""

    start: int
    end: int
    earlier: tuple[Walk, ...] = ()

    @property
    def walk(self) -> Walk:
        """The walk as it is remembered."""
        return Walk(min(self.start, self.end), max(self.start, self.end), None)

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """A leak on the way was missed; a leak of any conductor would have shown."""
        line.check_point(self.start)
        line.check_point(self.end)
        low, high = sorted((self.start, self.end))
        points = np.arange(len(line.point_ft))
        legs, splice = missed_by_probes(line, self.earlier, assumed)
        return Likelihood(
            np.where((line.cell_leg >= low) & (line.cell_leg < high), legs[line.cell_leg], 1.0),
            np.where((points >= low) & (points <= high), splice, 1.0),
            everywhere(1.0),
        )


def missed_by_probes(
    line: Line, walks: tuple[Walk, ...], assumed: Assumptions
) -> tuple[Floats, Floats]:
    """Return the chance that the next walk with two probes misses a leak: by leg, by point."""
    rates = assumed.gradient_detects, assumed.never_shows
    return (
        missed_after(times_on_legs(walks, line, is_gradient), *rates),
        missed_after(times_at_points(walks, line, is_gradient), *rates),
    )


@dataclass(frozen=True)
class SpareTried:
    """The station moved to a spare wire of the same bundle: does it run?"""

    works: bool

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """A spare helps where only the hot wire is bad or another; a cut bundle takes it too."""
        helps, in_vain = assumed.spare_sensitivity, 1 - assumed.spare_specificity
        spared = 1 - assumed.neighbour_dead_if_bundle
        bundle = spared * helps + (1 - spared) * in_vain

        def chance(works: float) -> float:
            return works if self.works else 1 - works

        each = np.array([chance(helps), chance(in_vain), chance(bundle)])
        return Likelihood(
            np.repeat(each[:, None], len(line.cell_ft), axis=1),
            np.full(len(line.point_ft), chance(helps)),
            everywhere(chance(in_vain)) | dict.fromkeys(SPARED, chance(helps)),
        )
