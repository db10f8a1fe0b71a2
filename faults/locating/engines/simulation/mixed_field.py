"""The field of a mixed case: the clock runs until every fault is found, wherever it is.

The rule for wrong digs: a searcher who follows a tone that fades for nothing digs in vain, and
one who replaces a part outside the wire that was sound has declared the wrong cause. Both cost
minutes, both are counted, and the search goes on. Mending is equal for all and left out.
"""

from dataclasses import dataclass, field

import numpy as np

from faults.locating.engines.actions import Action
from faults.locating.engines.belief import (
    SPOILS_CONTROLLER_SIDE,
    SPOILS_VALVE_SIDE,
    Conductor,
    Outside,
)
from faults.locating.engines.feeding import cheapest_feed
from faults.locating.engines.line import Joint
from faults.locating.engines.other_tests import AT_CONTROLLER, AT_VALVE, CHECKS, Check
from faults.locating.engines.simulation.field import Errors
from faults.locating.engines.simulation.mixed_cases import USUAL, Case, Fault
from faults.locating.engines.symptoms import Symptom, for_symptom


@dataclass
class MixedField:
    """One search under way; `left` are the faults that nobody has found."""

    case: Case
    errors: Errors
    rng: np.random.Generator
    minutes: float = 0.0
    at: int = 0
    tone_from: int | None = None
    tone_on: Conductor = Conductor.HOT
    open_box: int | None = None
    wrong_digs: int = 0
    opened: list[int] = field(default_factory=list)
    cut: set[int] = field(default_factory=set)
    left: list[Fault] = field(default_factory=list)
    never: set[Fault] = field(default_factory=set)
    hidden: float = 0.0
    heard: dict[tuple[str, int], bool] = field(default_factory=dict)
    asked: list[Action] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.left = list(self.case.faults)
        self.line = self.case.true_line
        self.valve = len(self.line.boxes) + 1
        self.truth = for_symptom(USUAL, self.case.symptom, soil_is_dry=False)
        # A place that a tone does not show may never show: drawn once for each fault.
        misses = 1 - self.truth.tone_detects
        self.hidden = misses * self.truth.never_shows
        self.never = {fault for fault in self.left if self.rng.random() < self.hidden}

    @property
    def is_found(self) -> bool:
        """Every fault was found."""
        return not self.left

    @property
    def is_over(self) -> bool:
        """Found, or given up."""
        return self.is_found or self.minutes >= self.errors.longest_min

    def go(self, point: int) -> None:
        """Walk to a point without testing."""
        feet = abs(self.line.point_ft[point] - self.line.point_ft[self.at])
        self.minutes += float(feet) / self.errors.walk_ft_per_min
        if point != self.at:
            self.open_box = None
        self.at = point

    def _open(self, box: int) -> None:
        self.go(box)
        if self.open_box == box:
            self.minutes += self.errors.repeat_min
            return
        self.minutes += self.line.boxes[box - 1].open_min
        self.opened.append(box)
        self.open_box = box

    def test_box(self, box: int) -> tuple[bool, bool]:
        """Open a box, cut the splice or the wire, test both sides: (controller's, valve's) bad."""
        self._open(box)
        if self.line.boxes[box - 1].joint is Joint.UNCUT and box not in self.cut:
            self.minutes += self.truth.cut_uncut_min + self.truth.lasting_splice_min
            self.cut.add(box)
        self._find([fault for fault in self.left if fault.splice == box])
        return self.test_sides(box)

    def test_sides(self, box: int) -> tuple[bool, bool]:
        """Test both sides of a cut before one's feet."""
        sides = self._sides(box)
        if self.rng.random() < self.errors.swapped:
            sides = sides[::-1]
        chances = [self.truth.box_sensitivity if bad else 1 - self.errors.sp for bad in sides]
        return bool(self.rng.random() < chances[0]), bool(self.rng.random() < chances[1])

    def _sides(self, box: int) -> tuple[bool, bool]:
        at = float(self.line.point_ft[box])
        before = beyond = False
        for fault in self.left:
            in_wire = fault.cause is None
            before |= fault.cause in SPOILS_CONTROLLER_SIDE or (in_wire and fault.feet < at)
            beyond |= fault.cause in SPOILS_VALVE_SIDE or (in_wire and fault.feet >= at)
        return before, beyond

    def listen(self, box: int) -> bool:
        """Listen at a wire without cutting: heard where it is whole up to the box.

        The tone is fed at the controller, by who walks there where it is not yet.
        """
        if (self.tone_from, self.tone_on) != (0, Conductor.HOT):
            was_open = self.open_box
            self.go(0)
            self.minutes += self.errors.setup_min
            self.tone_from, self.tone_on = 0, Conductor.HOT
            self.go(box)
            self.open_box = was_open if was_open == box else None
        self._open(box)
        rates = self.truth.listen_sensitivity, self.truth.listen_specificity
        return self._hears(("listen", box), box, *rates)

    def clamp(self, box: int) -> bool:
        """Clamp round a wire without cutting: current of a short flows past a box before it."""
        self._open(box)
        rates = self.truth.clamp_sensitivity, self.truth.clamp_specificity
        return self._hears(("clamp", box), box, *rates)

    def _hears(
        self, what: tuple[str, int], box: int, sensitivity: float, specificity: float
    ) -> bool:
        """Listening once more at the same place mostly says the same for the same reason."""
        if what not in self.heard or self.rng.random() >= self.truth.same_again:
            self.heard[what] = self._says(
                is_yes=not self._lies_before(box),
                sensitivity=sensitivity,
                specificity=specificity,
            )
        return self.heard[what]

    def _lies_before(self, box: int) -> bool:
        at = float(self.line.point_ft[box])
        is_at_start = any(fault.cause is Outside.CONTROLLER_SPLICE for fault in self.left)
        in_wire = [fault for fault in self.left if fault.cause is None and fault.feet <= at]
        return is_at_start or any(each.conductor is not Conductor.COMMON for each in in_wire)

    def _says(self, *, is_yes: bool, sensitivity: float, specificity: float) -> bool:
        return bool(self.rng.random() < (sensitivity if is_yes else 1 - specificity))

    def walk_tone(self, start: int, end: int, conductor: Conductor = Conductor.HOT) -> Fault | None:
        """Walk the tone from point to point; the first fault that shows on the way is found.

        It is fed where that takes least, as the plan would.
        """
        self._feed(start, end, conductor)
        self.open_box = None
        if self.rng.random() < self.errors.ghost:
            self.wrong_digs += 1
            self.minutes += self.errors.dig_min
        from_ft = float(self.line.point_ft[start])
        low, high = sorted((from_ft, float(self.line.point_ft[end])))
        on_way = sorted(
            (fault for fault in self.left if self._shows(fault, conductor)),
            key=lambda fault: abs(fault.feet - from_ft),
        )
        for fault in on_way:
            shows = self.truth.tone_detects / (1 - self.hidden)
            if low <= fault.feet <= high and self.rng.random() < shows:
                self.minutes += self._tone_min(from_ft, fault.feet)
                self._find([fault])
                return fault
        self.minutes += self._tone_min(low, high)
        self.at = end
        return None

    def _feed(self, start: int, end: int, conductor: Conductor) -> None:
        point, minutes = cheapest_feed(
            here=self.at,
            start=start,
            end=end,
            valve=self.valve,
            fed=self.tone_from if self.tone_on is conductor else None,
            setup_min=self.errors.setup_min,
            walk_min=self._walk_min,
            reach_min=self._reach_min,
        )
        self.minutes += minutes
        self.at, self.tone_from, self.tone_on = start, point, conductor

    def _walk_min(self, start: int, end: int) -> float:
        feet = self.line.point_ft
        return float(abs(feet[start] - feet[end])) / self.errors.walk_ft_per_min

    def _reach_min(self, point: int) -> float:
        box = self.line.boxes[point - 1]
        opening = 0.0 if self.open_box == point else box.open_min
        if box.joint is Joint.UNCUT and point not in self.cut:
            return opening + self.truth.cut_uncut_min + self.truth.lasting_splice_min
        return opening

    def renew(self, leg: int, conductor: Conductor) -> list[Fault]:
        """Renew a conductor of a leg: what was wrong with it is gone, wherever that was."""
        self.go(leg)
        feet = self.line.legs[leg].length_ft
        self.minutes += self.truth.renew_setup_min
        self.minutes += feet / 100 * self.truth.renew_min_per_100_ft
        low, high = self.line.point_ft[leg], self.line.point_ft[leg + 1]
        gone = [
            fault
            for fault in self.left
            if self._is_cured(fault, conductor) and low <= fault.feet <= high
        ]
        self._find(gone)
        return gone

    def _is_cured(self, fault: Fault, conductor: Conductor) -> bool:
        if conductor is Conductor.COMMON:
            return fault.conductor is Conductor.COMMON
        return fault.conductor in (Conductor.HOT, Conductor.BUNDLE)

    def _shows(self, fault: Fault, conductor: Conductor) -> bool:
        if fault.cause is not None or fault in self.never:
            return False
        if fault.splice is not None:
            return conductor is Conductor.HOT
        return fault.conductor in (conductor, Conductor.BUNDLE)

    def _tone_min(self, start_ft: float, end_ft: float) -> float:
        rates = [leg.tone_factor * self.truth.tone_min_per_100_ft / 100 for leg in self.line.legs]
        feet = self.line.point_ft
        until = np.concatenate([[0.0], np.cumsum(np.diff(feet) * rates)])
        return abs(float(np.interp(end_ft, feet, until) - np.interp(start_ft, feet, until)))

    def check(self, *, at_valve: bool) -> dict[Check, bool]:
        """Look at both causes of an end: is each right? A part that reads wrong is replaced."""
        self.go(self.valve if at_valve else 0)
        self.minutes += self.truth.coil_min if at_valve else self.truth.terminals_min
        return self.look(AT_VALVE if at_valve else AT_CONTROLLER)

    def look(self, checks: tuple[Check, ...]) -> dict[Check, bool]:
        """Look at causes of an end: is each right? A part that reads wrong is replaced."""
        said = {}
        for check in checks:
            guilty = [fault for fault in self.left if fault.cause is CHECKS[check]]
            is_wrong = self._says(
                is_yes=bool(guilty),
                sensitivity=self.truth.check_sensitivity,
                specificity=self.truth.check_specificity,
            )
            said[check] = not is_wrong
            if is_wrong:
                self.minutes += self.truth.settle_outside_min
                self.wrong_digs += not guilty
                self._find(guilty)
        return said

    def prove_wire(self) -> bool:
        """Feed the tone at the valve: does this wire carry it at the controller, or another one?

        Another one is put right there.
        """
        if (self.tone_from, self.tone_on) != (self.valve, Conductor.HOT):
            self.go(self.valve)
            self.minutes += self.errors.setup_min
            self.tone_from, self.tone_on = self.valve, Conductor.HOT
        self.go(0)
        self.minutes += self.truth.prove_wire_min
        return self.look((Check.WIRE,))[Check.WIRE]

    def _find(self, found: list[Fault]) -> None:
        """Take found faults away; where others are left, the re-test says still dead."""
        self.left = [fault for fault in self.left if fault not in found]
        if found and self.left:
            self.minutes += self.errors.repeat_min

    @property
    def is_short(self) -> bool:
        """The trouble is a short."""
        return self.case.symptom is Symptom.SHORT
