"""The next action that ends the search soonest: every action ranked by minutes to the end.

Each first action is priced exactly (its own errors, its own results), and what follows by
`costs`. An action that could not change the belief is not offered, so that nobody re-opens a
box for ever.
"""

import math
from collections.abc import Iterator
from functools import cached_property

from faults.locating.engines.actions import Action, CheckController, CheckValve, ClampAt, ListenAt
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Belief
from faults.locating.engines.box_tests import Clamped, Listened
from faults.locating.engines.costs import Masses
from faults.locating.engines.evidence import Reading
from faults.locating.engines.gradients import Gradients
from faults.locating.engines.ground import Asked, most
from faults.locating.engines.jumpers import Jumpers
from faults.locating.engines.line import JUST_BELOW, Floats, Ints
from faults.locating.engines.measurements import Measurements
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.shortened import shortened
from faults.locating.engines.volts import Volts
from faults.locating.engines.walks import LEAST_WALK, Walks
from faults.locating.engines.ways import BoxWay, box_ways
from sites.kernel.lazily import np

# A test whose rarer side is less likely than this tells nothing new.
LEAST_SIDE = 0.08 * JUST_BELOW
# At so many boxes listening is priced, those that halve best.
MOST_HEARD = 12
# Where nothing else is offered, any walk is that may find something.
ANY_WALK = 1e-9


def next_actions(belief: Belief, stand: Stand, tools: Tools, assumed: Assumptions) -> list[Option]:
    """Return every useful action, the best first."""
    short = shortened(belief, stand)
    if short is None:
        return _Planner(belief, stand, tools, assumed).ranked()
    return short.named(_Planner(short.belief, short.stand, tools, assumed).ranked())


class _Planner(Walks, Measurements, Volts, Gradients, Jumpers):
    def ranked(self) -> list[Option]:
        asked = [*self._heard_at(), *self._ends(), *self._walks(), *self._distances()]
        asked += [*self._volts(), *self._jumpers(), *self._gradients()]
        asked += [*self._spare(), *self._renewals()]
        found = [*self._boxes(), *self.priced(asked)]
        if not found:
            found = list(self.priced(list(self._walks(least=ANY_WALK))))
        # Walks to and fro cost the same but for rounding: then the one that was found first leads,
        # here as on the phone.
        return sorted(found, key=lambda option: math.floor(option.minutes * 1e6 + 0.5))

    def _is_news(self, at: int) -> bool:
        """Whether a test may tell something; the splice of a box still open was cut out before."""
        before, beyond = self.sides
        is_open = self.stand.open_box == at - 1 == self.stand.at
        here = 0.0 if is_open else float(self.prices.m.point[0, at]) / self.total
        return float(min(before[at], beyond[at])) + here >= LEAST_SIDE

    @cached_property
    def _ways(self) -> list[BoxWay]:
        boxes = range(1, len(self.line.boxes) + 1)
        return [way for box in boxes for way in box_ways(self.line, box, self.assumed, self.tools)]

    def _boxes(self) -> Iterator[Option]:
        for way in self._ways:
            at = way.action.box + 1
            if not isinstance(way.action, ListenAt | ClampAt) and self._is_news(at):
                yield self._test(way.action, at, self._still(way), way.error)

    def _heard_at(self) -> Iterator[Asked]:
        """Listening, and a clamp: what is fed passes unless the hot wire is broken before."""
        ways = [way for way in self._ways if isinstance(way.action, ListenAt | ClampAt)]
        passed = [(way, self._before_it(way.action.box)) for way in ways]
        news = [each for each in passed if min(each[1], 1 - each[1]) >= LEAST_SIDE]
        if not news:
            return
        halves = most(np.array([min(before, 1 - before) for _, before in news]), MOST_HEARD)
        news = [each for each, is_kept in zip(news, halves.tolist(), strict=True) if is_kept]
        results = [result for way, _ in news for result in self._results(way.action)]
        at = np.repeat(np.array([way.action.box + 1 for way, _ in news]), 2)
        yield self.after(results, at, lambda prices: self._heard_options(news, prices))

    def _heard_options(self, news: list[tuple[BoxWay, float]], prices: Floats) -> Iterator[Option]:
        after = prices.reshape(len(news), 2).sum(axis=1)
        for (way, before), price in zip(news, after.tolist(), strict=True):
            there = float(self.terrain.walk_min[self.here, way.action.box + 1])
            own = there + self._still(way)
            cost = self.minutes(price * float(np.exp(self.k * own)))
            yield Option(way.action, cost, own, before, 1 - before)

    def _results(self, action: Action) -> tuple[Reading, Reading]:
        """What may be heard, what was heard there before in mind."""
        earlier = self.belief.listened
        if isinstance(action, ListenAt):
            return Listened(action.box, True, earlier), Listened(action.box, False, earlier)
        if isinstance(action, ClampAt):
            return Clamped(action.box, True, earlier), Clamped(action.box, False, earlier)
        raise TypeError(f"Expected to listen or to clamp, got {action}")

    def _before_it(self, box: int) -> float:
        """Chance that the hot wire is broken before a box, or at it."""
        hot = self.belief.legs[[0, 2]].sum(axis=0)
        before = float(hot[self.line.cell_leg < box].sum())
        return (before + float(self.belief.splice[: box + 1].sum())) / self.total

    def _still(self, way: BoxWay) -> float:
        """A box that is still open takes only the test, and the cut where a wire is cut for it."""
        if self.stand.open_box != way.action.box or self.stand.at != way.action.box:
            return way.minutes
        return self.assumed.repeat_min + way.lasting_min

    def _test(self, action: Action, at: int, minutes: float, error: float) -> Option:
        before, beyond = self.sides
        price = self.prices.test(at, minutes, error) * self.terrain.walk[self.here, at]
        own = minutes + float(self.terrain.walk_min[self.here, at])
        finds = float(self.prices.m.point[0, at]) / self.total
        return Option(action, self.minutes(price), own, float(before[at]), float(beyond[at]), finds)

    def _ends(self) -> Iterator[Asked]:
        """Look at the controller or at the valve: what is wrong there is found and settled."""
        m = self.prices.m
        ends, at = np.array([0, self.terrain.gaps - 1]), np.array([1, self.valve])
        there = m.gap[0, ends]
        if not (there / self.total >= LEAST_WALK).any():
            return
        finds = self.assumed.check_sensitivity
        left = np.where(np.arange(self.terrain.gaps) == ends[:, None], 1 - finds, 1.0)
        points = np.repeat(m.point, 2, axis=0)
        masses = Masses(m.gap * left, points, m.left * left, m.right * left)
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
