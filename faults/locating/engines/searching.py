"""The one searcher: page, phone and simulation ask it what is believed and what comes next."""

from dataclasses import dataclass, replace
from functools import cached_property

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import NUMBER_OF, Belief, Neighbour, prior
from faults.locating.engines.box_tests import gone_on
from faults.locating.engines.evidence import Reading
from faults.locating.engines.line import Line
from faults.locating.engines.mends import Mended
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.other_tests import CHECKS, Check, Checked, Distance
from faults.locating.engines.pairs import State, begun
from faults.locating.engines.plan import next_actions
from faults.locating.engines.repeats import is_worn_out
from faults.locating.engines.seen import OhmsRead
from faults.locating.engines.symptoms import (
    OTHERS_TELL_NOTHING,
    Symptom,
    for_symptom,
    tools_for,
)
from faults.locating.engines.worked import as_cut, as_seen, is_cut_in


@dataclass(frozen=True)
class Searcher:
    """All that a search rests on. `assumed` and `tools` are as given, before the symptom."""

    line: Line
    symptom: Symptom
    neighbours: tuple[Neighbour, ...]
    assumed: Assumptions
    tools: Tools
    soil_is_dry: bool = False
    readings: tuple[Reading, ...] = ()

    @cached_property
    def adapted(self) -> Assumptions:
        """The assumptions by symptom and soil."""
        return for_symptom(self.assumed, self.symptom, soil_is_dry=self.soil_is_dry)

    @cached_property
    def useful(self) -> Tools:
        """The tools that tell something of such a symptom.

        A distance is measured once from each end: what was wrong with it would be wrong again. So
        are ohms at the controller, and again after a mend.
        """
        ends = {
            each.from_valve
            for each in self.readings
            if isinstance(each, Distance) and not each.is_farthest
        }
        tools = replace(
            self.tools,
            distance_at_controller=self.tools.distance_at_controller and False not in ends,
            distance_at_valve=self.tools.distance_at_valve and True not in ends,
            ohms=self.tools.ohms and not self._has_ohms,
        )
        return tools_for(tools, self.symptom)

    @property
    def _has_ohms(self) -> bool:
        """Whether ohms were read since the last mend."""
        for each in reversed(self.readings):
            if isinstance(each, OhmsRead) or (isinstance(each, Checked) and each.by_ohms):
                return True
            if isinstance(each, Mended):
                return False
        return False

    @property
    def _lacking(self) -> frozenset[Check]:
        """The parts that cannot be to blame whatever the symptom, as a master that is not there."""
        return frozenset(
            check for check, cause in CHECKS.items() if not getattr(self.assumed, NUMBER_OF[cause])
        )

    @cached_property
    def counted(self) -> tuple[Reading, ...]:
        """The readings, with each box that was left marked as respliced without a cure."""
        return gone_on(self.readings)

    @cached_property
    def before(self) -> Belief:
        """What is believed before any reading, on the line as open boxes showed it.

        Raises:
            UnusableLine: nothing on the line can fail, or a box is not on it.
        """
        others = () if self.symptom in OTHERS_TELL_NOTHING else self.neighbours
        return prior(as_seen(self.line, self.readings), self.adapted, others)

    @cached_property
    def begun(self) -> State:
        """The state before any reading."""
        return begun(self.before, self.adapted)

    @cached_property
    def state(self) -> State:
        """The state after all readings.

        Raises:
            Contradiction: no explanation is left.
        """
        state = self.begun
        for reading in self.counted:
            state = state.after(reading)
        return state

    @property
    def belief(self) -> Belief:
        """Where the fault nearest the controller lies.

        Raises:
            Contradiction: no explanation is left.
        """
        return self.state.belief

    def plan(self, stand: Stand) -> list[Option]:
        """Return every useful next action, the best first.

        Raises:
            Contradiction: no explanation is left.
        """
        line = as_cut(self.before.line, self.readings)
        belief = replace(self.belief, line=line)
        here = replace(stand, is_cut=is_cut_in(self.readings, stand.open_box))
        offered = next_actions(belief, here, self.useful, self.adapted)
        fresh = [
            option
            for option in offered
            if not is_worn_out(option.action, self.counted, self._lacking)
        ]
        return fresh or offered
