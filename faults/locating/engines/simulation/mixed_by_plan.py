"""Search a mixed case by the plan: take its first action, tell it the result, mend the find."""

from dataclasses import replace

from faults.locating.engines.actions import (
    Action,
    CheckController,
    CheckValve,
    ClampAt,
    CutBox,
    ListenAt,
    OpenBox,
    ReadDistance,
    WalkTone,
)
from faults.locating.engines.belief import Belief, Outside, prior
from faults.locating.engines.box_tests import BoxTest, Clamped, Listened, TwoSided
from faults.locating.engines.evidence import Reading, update
from faults.locating.engines.options import Stand, Tools
from faults.locating.engines.other_tests import CHECKS, Checked, Distance
from faults.locating.engines.plan import next_actions
from faults.locating.engines.second import belief_after_repair, segments_of
from faults.locating.engines.simulation.mixed_cases import USUAL, Fault
from faults.locating.engines.simulation.mixed_field import MixedField
from faults.locating.engines.symptoms import for_symptom, tools_for
from faults.locating.engines.tones import ToneWalked

# So often sides that read alike are tested in one visit.
MOST_ALIKE = 2


def search_mixed_by_plan(field: MixedField, tools: Tools) -> None:
    """Follow the plan until every fault is found or the day is over."""
    _Search(field, tools_for(replace(tools, clamp=True), field.case.symptom)).run()


class _Search:
    def __init__(self, field: MixedField, tools: Tools) -> None:
        self.field, self.tools = field, tools
        self.assumed = for_symptom(USUAL, field.case.symptom, soil_is_dry=False)
        self.before = prior(field.case.known_line, self.assumed, field.case.neighbours)
        self.belief = self.before
        self.tests: list[TwoSided] = []
        self.mended = 0

    def run(self) -> None:
        field = self.field
        while not field.is_over:
            stand = Stand(field.at, field.open_box, field.tone_from, field.tone_on)
            best = next_actions(self.belief, stand, self.tools, self.assumed)[0]
            left = len(field.left)
            self._do(best.action)
            if not field.is_over and len(field.left) < left:
                self._go_on_with_the_other()

    def _do(self, action: Action) -> None:
        field = self.field
        if isinstance(action, OpenBox | CutBox):
            self._box(action.box)
        elif isinstance(action, ListenAt):
            self._learn(Listened(action.box, field.listen(action.box)))
        elif isinstance(action, ClampAt):
            self._learn(Clamped(action.box, field.clamp(action.box)))
        elif isinstance(action, WalkTone):
            found = field.walk_tone(action.start, action.end, action.conductor)
            if found is None:
                self._learn(ToneWalked(action.start, action.end, action.conductor))
            else:
                self.mended = self._segment(found)
        elif isinstance(action, ReadDistance):
            self._learn(Distance(field.read_distance()))
            self.tools = replace(self.tools, distance_at_controller=False)
        elif isinstance(action, CheckController | CheckValve):
            self._check(at_valve=isinstance(action, CheckValve))
        else:
            raise TypeError(f"Expected an action of a mixed world, got {action}")

    def _learn(self, reading: Reading) -> None:
        self.belief = update(self.belief, reading, self.assumed)

    def _box(self, box: int) -> None:
        """Test a box until its sides differ; sides that read alike twice are believed.

        Both bad means a fault on each side: the controller's is sought first, and what was read
        of both is kept for the other.
        """
        left = len(self.field.left)
        for _ in range(MOST_ALIKE):
            test = BoxTest(box, *self.field.test_box(box), runs=False)
            if self.field.is_over:
                return
            if len(self.field.left) < left:
                self.mended = segments_of(self.before).splice(box)
                return
            self.tests.append(test)
            is_each = test.controller_bad and test.valve_bad
            self._learn(replace(test, valve_bad=None) if is_each else test)
            if test.controller_bad != test.valve_bad:
                return

    def _check(self, *, at_valve: bool) -> None:
        for check, is_right in self.field.check(at_valve=at_valve).items():
            if is_right:
                self._learn(Checked(check, is_right=True))
            else:
                self._rule_out(CHECKS[check])
        self.mended = len(segments_of(self.before).mass) - 1 if at_valve else 0

    def _rule_out(self, cause: Outside) -> None:
        """What was replaced while the station stayed dead is not the cause."""
        outside = {**self.belief.outside, cause: 0.0}
        self.belief = replace(self.belief, outside=outside).scaled()

    def _segment(self, fault: Fault) -> int:
        segments = segments_of(self.before)
        if fault.splice is not None:
            return segments.splice(fault.splice)
        feet = self.before.line.point_ft
        leg = int((feet[1:-1] < fault.feet).sum())
        return segments.leg(leg)

    def _go_on_with_the_other(self) -> None:
        """Mended, re-tested, still dead: keep the box tests, look for the other fault."""
        other: Belief | None = belief_after_repair(
            self.before, self.tests, self.mended, self.assumed
        )
        self.belief = other or self.before
