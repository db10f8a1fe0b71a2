"""The field: actions cost minutes and give results that err; the clock runs until it is found."""

from dataclasses import dataclass, field

import numpy as np

from faults.locating.engines.actions import Action
from faults.locating.engines.feeding import cheapest_feed
from faults.locating.engines.simulation.sites import Site


@dataclass(frozen=True)
class Errors:
    """How tests err in the standard world; each number is an assumption of our own."""

    se: float = 0.95
    sp: float = 0.95
    swapped: float = 0.02
    pd: float = 0.92
    walk_ft_per_min: float = 250.0
    repeat_min: float = 3.0
    setup_min: float = 8.0
    distance_min: float = 10.0
    distance_sd_ft: float = 5.0
    distance_sd_share: float = 0.06
    distance_useless: float = 0.05
    longest_min: float = 600.0
    # A bad splice in the tester's own lead: all tests of that visit to a box err alike.
    correlated: float = 0.0
    # A walk on which the tone fades where nothing is wrong: a hole is dug there in vain.
    ghost: float = 0.0
    dig_min: float = 30.0


@dataclass
class Field:
    """One search under way."""

    site: Site
    errors: Errors
    rng: np.random.Generator
    minutes: float = 0.0
    at: int = 0
    tone_from: int | None = None
    open_box: int | None = None
    is_found: bool = False
    opened: list[int] = field(default_factory=list)
    lead_is_bad: bool = False
    wrong_digs: int = 0
    asked: list[Action] = field(default_factory=list)

    @property
    def is_over(self) -> bool:
        """Found, or given up."""
        return self.is_found or self.minutes >= self.errors.longest_min

    def go(self, point: int) -> None:
        """Walk to a point without testing."""
        feet = abs(self.site.point_ft[point] - self.site.point_ft[self.at])
        self.minutes += feet / self.errors.walk_ft_per_min
        if point != self.at:
            self.open_box = None
        self.at = point

    def test_box(self, box: int) -> tuple[bool, bool]:
        """Open a box and test both sides: (controller side bad, valve side bad).

        A splice that was the fault is cut out by opening: the station runs again.
        """
        self.go(box)
        if self.open_box == box:
            self.minutes += self.errors.repeat_min
        else:
            self.minutes += self.site.box_min[box - 1]
            self.opened.append(box)
            self.open_box = box
            # Drawn only where such leads exist, so that other worlds keep their draws.
            self.lead_is_bad = (
                self.errors.correlated > 0 and self.rng.random() < self.errors.correlated
            )
        if self.site.fault_splice == box:
            self.is_found = True
        before = self.site.fault_ft < self.site.point_ft[box]
        truth = (before, not before) if self.site.fault_splice != box else (False, False)
        if self.rng.random() < self.errors.swapped:
            truth = (truth[1], truth[0])
        if self.lead_is_bad:
            truth = (True, truth[1])
        return self._one_side(truth[0]), self._one_side(truth[1])

    def _one_side(self, is_bad: bool) -> bool:
        chance = self.errors.se if is_bad else 1 - self.errors.sp
        return bool(self.rng.random() < chance)

    def walk_tone(self, start: int, end: int) -> bool:
        """Walk the tone from point to point; True when the fault was found.

        It is fed where that takes least, as the plan would: from an end of the wire, from where
        it is fed already, or from the box where the walk begins, which has to be opened.
        """
        self._feed(start, end)
        self.open_box = None
        feet, legs = self.site.point_ft, self.site.tone_min / self.site.leg_ft
        low, high = min(feet[start], feet[end]), max(feet[start], feet[end])
        # Drawn only where tones fade for nothing, so that other worlds keep their draws.
        if self.errors.ghost > 0 and self.rng.random() < self.errors.ghost:
            self.wrong_digs += 1
            self.minutes += self.errors.dig_min
        passes = low <= self.site.fault_ft <= high and self.rng.random() < self.errors.pd
        step = 1 if end > start else -1
        for leg in range(start, end) if step > 0 else range(start - 1, end - 1, -1):
            near, far = (leg, leg + 1) if step > 0 else (leg + 1, leg)
            if passes and feet[leg] <= self.site.fault_ft <= feet[leg + 1]:
                self.minutes += abs(self.site.fault_ft - feet[near]) * legs[leg]
                self.is_found = True
                return True
            self.minutes += abs(feet[far] - feet[near]) * legs[leg]
        self.at = end
        return False

    def _feed(self, start: int, end: int) -> None:
        point, minutes = cheapest_feed(
            here=self.at,
            start=start,
            end=end,
            valve=self.site.boxes + 1,
            fed=self.tone_from,
            setup_min=self.errors.setup_min,
            walk_min=self._walk_min,
            reach_min=self._reach_min,
        )
        self.minutes += minutes
        self.at, self.tone_from = start, point

    def _walk_min(self, start: int, end: int) -> float:
        feet = self.site.point_ft
        return float(abs(feet[start] - feet[end])) / self.errors.walk_ft_per_min

    def _reach_min(self, point: int) -> float:
        return 0.0 if self.open_box == point else float(self.site.box_min[point - 1])

    def read_distance(self) -> float:
        """Read the distance from the controller, in feet."""
        self.go(0)
        self.minutes += self.errors.distance_min
        total = float(self.site.point_ft[-1])
        if self.rng.random() < self.errors.distance_useless:
            return float(self.rng.uniform(0, total))
        sd = np.hypot(
            self.errors.distance_sd_ft, self.errors.distance_sd_share * self.site.fault_ft
        )
        return float(self.rng.normal(self.site.fault_ft, sd))
