"""The next action that ends the search soonest: every action ranked by minutes to the end.

Each first action is priced exactly (its own errors, its own results), and what follows by
`costs`. An action that could not change the belief is not offered, so that nobody re-opens a
box for ever.
"""

import math
from collections.abc import Iterator

from faults.locating.engines.actions import (
    Action,
    CheckController,
    CheckValve,
    ClampAt,
    CutBox,
    ListenAt,
    MeasureInsulation,
    OpenBox,
    OpenGround,
    ProveWire,
    ReadOhms,
    VoltsAt,
)
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Belief
from faults.locating.engines.costs import Masses
from faults.locating.engines.gradients import Gradients
from faults.locating.engines.ground import Asked
from faults.locating.engines.hearing import Hearing
from faults.locating.engines.jumpers import Jumpers
from faults.locating.engines.line import JUST_BELOW, Floats, Ints
from faults.locating.engines.measurements import Measurements
from faults.locating.engines.openings import Openings
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.proving import Proving
from faults.locating.engines.shortened import shortened
from faults.locating.engines.walks import LEAST_WALK, Walks
from sites.kernel.lazily import np

# A test whose rarer side is less likely than this tells nothing new.
LEAST_SIDE = 0.08 * JUST_BELOW
# Minutes to the end that differ by less are alike: shown ones are rounded more coarsely.
ALIKE = 1.07
CUTS = (OpenBox, CutBox, MeasureInsulation, OpenGround)
HARMLESS = (CheckController, CheckValve, ProveWire, ReadOhms)
# Where nothing else is offered, any walk is that may find something.
ANY_WALK = 1e-9


def next_actions(belief: Belief, stand: Stand, tools: Tools, assumed: Assumptions) -> list[Option]:
    """Return every useful action, the best first."""
    short = shortened(belief, stand)
    if short is None:
        return _Planner(belief, stand, tools, assumed).ranked()
    return short.named(_Planner(short.belief, short.stand, tools, assumed).ranked())


def _harmless_first(ranked: list[Option]) -> list[Option]:
    """Return the same, a look or a meter at an end before a cut that takes as long to all it knows.

    Nobody can promise such a difference in minutes; a splice made anew stays.
    """
    if not ranked or not isinstance(ranked[0].action, CUTS):
        return ranked
    most_min = ranked[0].minutes * ALIKE
    for option in ranked:
        if option.minutes <= most_min and isinstance(option.action, HARMLESS):
            return [option, *(each for each in ranked if each is not option)]
    return ranked


class _Planner(Hearing, Walks, Measurements, Gradients, Jumpers, Openings, Proving):
    def ranked(self) -> list[Option]:
        asked = [
            *self._heard_at(),
            *self._ends(),
            *self._proofs(),
            *self._walks(),
            *self._distances(),
            *self._ohms(),
        ]
        asked += [*self._jumpers(), *self._gradients(), *self._spare(), *self._renewals()]
        found = [*self._boxes(), *self._openings(), *self.priced(asked)]
        if not found:
            found = list(self.priced(list(self._walks(least=ANY_WALK))))
        # Walks to and fro cost the same but for rounding: then the one that was found first leads,
        # here as on the phone.
        found.sort(key=lambda option: math.floor(option.minutes * 1e6 + 0.5))
        return _harmless_first(found)

    def _is_news(self, at: int) -> bool:
        """Whether a test may tell something; a splice that was cut out before does not."""
        before, beyond = self.sides
        is_cut = self.stand.in_box == at - 1 and self.stand.is_cut
        here = 0.0 if is_cut else float(self.prices.m.point[0, at]) / self.total
        return float(min(before[at], beyond[at])) + here >= LEAST_SIDE

    def _boxes(self) -> Iterator[Option]:
        for way in self.ways:
            at = way.action.box + 1
            if not isinstance(way.action, ListenAt | ClampAt) and self._is_news(at):
                yield self._test(way.action, at, self.still(way), way.error)

    def _test(self, action: Action, at: int, minutes: float, error: float) -> Option:
        before, beyond = self.sides
        price = self.prices.test(at, minutes, error)
        own = minutes + float(self.terrain.walk_min[self.here, at])
        finds = float(self.prices.m.point[0, at]) / self.total
        if isinstance(action, VoltsAt):
            # They name a bad splice; it is still to be cut out.
            again = np.exp(self.k * minutes) * np.expm1(self.k * self.assumed.repeat_min)
            price += float(self.prices.m.point[0, at]) * float(again)
        price *= float(self.terrain.walk[self.here, at])
        return Option(action, self.minutes(price), own, float(before[at]), float(beyond[at]), finds)

    def _ends(self) -> Iterator[Asked]:
        """Look at the controller or at the valve: what is wrong there is found and settled."""
        m = self.prices.m
        ends, at = np.array([0, self.terrain.gaps - 1]), np.array([1, self.valve])
        # Whether it is this wire is no part of a look at the valve.
        there = m.gap[0, ends] - np.array([0.0, self.wrong_wire])
        if not (there / self.total >= LEAST_WALK).any():
            return
        finds = self.assumed.check_sensitivity
        less = finds * there[:, None] * (np.arange(self.terrain.gaps) == ends[:, None])
        reached = less * self.settle
        points = np.repeat(m.point, 2, axis=0)
        masses = Masses(m.gap - less, points, m.left - reached, m.right - reached)
        yield Asked(masses, at, lambda rest: self._looks(at, there, rest))

    def _looks(self, at: Ints, there: Floats, rest: Floats) -> Iterator[Option]:
        finds = self.assumed.check_sensitivity
        minutes = np.array([self.assumed.terminals_min, self.assumed.coil_min])
        settle = np.exp(self.k * self.assumed.settle_outside_min)
        own = minutes + self.terrain.walk_min[self.here, at]
        price = np.exp(self.k * own) * (finds * there * settle + rest)
        looks: tuple[Action, Action] = (CheckController(), CheckValve())
        for i, action in enumerate(looks):
            share = float(there[i]) / self.total
            if share >= LEAST_WALK:
                yield Option(
                    action, self.minutes(float(price[i])), float(own[i]), finds=share * finds
                )
