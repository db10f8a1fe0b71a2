"""Tests at a box: its splice cut open, or a tone heard at a wire that passes uncut."""

from abc import ABC, abstractmethod
from collections.abc import Iterable
from dataclasses import dataclass, replace

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import (
    SPOILS_CONTROLLER_SIDE,
    SPOILS_VALVE_SIDE,
    Listen,
    Outside,
)
from faults.locating.engines.evidence import Likelihood, Reading, everywhere
from faults.locating.engines.line import Bools, Floats, Line
from sites.kernel.lazily import np


@dataclass(frozen=True)
class TwoSided(ABC):
    """The splice of a box cut open and both sides tested; None where a side was not tested.

    `runs` says whether the station ran once the box was spliced again: then that splice was to
    blame, else it was not. None where nobody tried.
    """

    box: int
    controller_bad: bool | None
    valve_bad: bool | None
    runs: bool | None = None

    @abstractmethod
    def rates(self, assumed: Assumptions) -> tuple[float, float]:
        """Return the sensitivity and the specificity of one side."""

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """A fault before the box spoils the controller's side, one beyond it the valve's."""
        line.check_box(self.box)
        legs = self.pair(line.cell_leg < self.box, line.cell_leg >= self.box, assumed)
        points = np.arange(len(line.point_ft))
        splice = self.pair(points < self.box, points > self.box, assumed)
        here, elsewhere = self.respliced(assumed)
        splice = splice * np.where(points == self.box, here, elsewhere)
        before = np.array([cause in SPOILS_CONTROLLER_SIDE for cause in Outside])
        after = np.array([cause in SPOILS_VALVE_SIDE for cause in Outside])
        ends = self.pair(before, after, assumed) * elsewhere
        outside = dict(zip(Outside, ends.tolist(), strict=True))
        return Likelihood(legs * elsewhere, splice, outside)

    def respliced(self, assumed: Assumptions) -> tuple[float, float]:
        """Return the chance that it runs, or not, as seen: if this splice was bad, if not."""
        if self.runs is None:
            return 1.0, 1.0
        mended, else_ = assumed.check_sensitivity, 1 - assumed.check_specificity
        return (mended, else_) if self.runs else (1 - mended, 1 - else_)

    def pair(self, before: Bools, after: Bools, assumed: Assumptions) -> Floats:
        """Return the chance of this result where the sides are truly bad as given."""

        sensitivity, specificity = self.rates(assumed)

        def one(is_bad: Bools, seen_bad: bool | None) -> Floats:
            if seen_bad is None:
                return np.ones(is_bad.shape)
            bad = np.where(is_bad, sensitivity, 1 - specificity)
            return bad if seen_bad else 1 - bad

        def sides(controller: Bools, valve: Bools) -> Floats:
            return one(controller, self.controller_bad) * one(valve, self.valve_bad)

        swapped = assumed.box_swapped
        return (1 - swapped) * sides(before, after) + swapped * sides(after, before)


@dataclass(frozen=True)
class BoxTest(TwoSided):
    """Both sides tested for a way through, or for a station that runs by each."""

    def rates(self, assumed: Assumptions) -> tuple[float, float]:
        """Return those of a box test."""
        return assumed.box_sensitivity, assumed.box_specificity


@dataclass(frozen=True)
class InsulationTest(TwoSided):
    """Megohms to earth of both sides, each judged bad or not: for leaks. A dry nick reads good."""

    def rates(self, assumed: Assumptions) -> tuple[float, float]:
        """Return those of an insulation test."""
        return assumed.insulation_sensitivity, assumed.insulation_specificity


@dataclass(frozen=True)
class Clamped:
    """A clamp round the wire of a short: the fed current flows past this point, or not.

    The current turns back at the short, so that it flows past every point before it. Fed at the
    controller; on a wire without a short it flows to the coil.
    """

    point: int
    flows: bool
    earlier: tuple[Listen, ...] = ()

    @property
    def listen(self) -> Listen:
        """What was heard, as it is remembered."""
        return Listen(self.point, by_clamp=True, was_there=self.flows)

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """It flows with the sensitivity where the short lies beyond the point."""
        line.check_point(self.point)
        rates = assumed.clamp_sensitivity, assumed.clamp_specificity
        return _passing(line, self.listen, self.earlier, rates, assumed)


@dataclass(frozen=True)
class Listened:
    """Tone or clamp at an uncut wire, fed from the controller: heard means the fault is beyond."""

    box: int
    heard: bool
    earlier: tuple[Listen, ...] = ()

    @property
    def listen(self) -> Listen:
        """What was heard, as it is remembered."""
        return Listen(self.box, by_clamp=False, was_there=self.heard)

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """Heard with the sensitivity where the wire is whole up to the box."""
        line.check_box(self.box)
        rates = assumed.listen_sensitivity, assumed.listen_specificity
        return _passing(line, self.listen, self.earlier, rates, assumed)


def _passing(
    line: Line,
    heard: Listen,
    earlier: Iterable[Listen],
    rates: tuple[float, float],
    assumed: Assumptions,
) -> Likelihood:
    """What is fed to the hot wire passes a point unless that wire is broken before it.

    A broken common, and what else is wrong at either end, let it pass. Listening once more at the
    same point mostly says the same for the same reason.
    """
    sensitivity, specificity = rates
    same = [
        each.was_there
        for each in earlier
        if (each.point, each.by_clamp) == (heard.point, heard.by_clamp)
    ]

    def chance(is_beyond: bool) -> float:
        there = sensitivity if is_beyond else 1 - specificity
        alone = there if heard.was_there else 1 - there
        if not same:
            return alone
        again = assumed.same_again
        return again * (heard.was_there is same[-1]) + (1 - again) * alone

    yes, no = chance(True), chance(False)
    points = np.arange(len(line.point_ft))
    hot = np.where(line.cell_leg >= heard.point, yes, no)
    return Likelihood(
        np.stack([hot, np.full_like(hot, yes), hot]),
        np.where(points > heard.point, yes, no),
        everywhere(yes) | {Outside.CONTROLLER_SPLICE: no},
    )


def gone_on(readings: Iterable[Reading]) -> tuple[Reading, ...]:
    """Return the readings, with each box that the search left marked as respliced without a cure.

    A box is closed with a new splice and the station tried; a search that went on elsewhere says
    that it did not run. Without this the splice would stay as likely and be cut out again.
    """
    told = list(readings)
    last_box = None
    for i in range(len(told) - 1, -1, -1):
        each = told[i]
        is_left = i < len(told) - 1 and not (isinstance(each, TwoSided) and last_box == each.box)
        last_box = each.box if isinstance(each, TwoSided) else None
        if isinstance(each, TwoSided) and each.runs is None and is_left:
            told[i] = replace(each, runs=False)
    return tuple(told)
