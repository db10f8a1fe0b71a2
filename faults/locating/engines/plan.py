"""The next action that ends the search soonest: every action ranked by minutes to the end.

Each first action is priced exactly (its own errors, its own results), and what follows by
`costs`. An action that could not change the belief is not offered, so that nobody re-opens a
box for ever.
"""

import math
from collections.abc import Iterator
from dataclasses import replace

from faults.locating.engines.actions import Action, CheckController, CheckValve, ClampAt, ListenAt
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Belief
from faults.locating.engines.box_tests import Clamped, Listened
from faults.locating.engines.costs import Masses, Prices
from faults.locating.engines.evidence import Reading
from faults.locating.engines.gradients import Gradients
from faults.locating.engines.ground import most
from faults.locating.engines.jumpers import Jumpers
from faults.locating.engines.line import JUST_BELOW
from faults.locating.engines.measurements import Measurements
from faults.locating.engines.options import Option, Stand, Tools
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
    return _Planner(belief, stand, tools, assumed).ranked()


class _Planner(Walks, Measurements, Gradients, Jumpers):
    def ranked(self) -> list[Option]:
        found = [*self._boxes(), *self._ends(), *self._walks(), *self._distances()]
        found += [*self._jumpers(), *self._gradients(), *self._spare(), *self._renewals()]
        if not found:
            found = list(self._walks(least=ANY_WALK))
        # Walks to and fro cost the same but for rounding: then the one that was found first leads,
        # here as on the phone.
        return sorted(found, key=lambda option: math.floor(option.minutes * 1e6 + 0.5))

    def _is_news(self, at: int) -> bool:
        """Whether a test may tell something; the splice of a box still open was cut out before."""
        before, beyond = self.sides
        is_open = self.stand.open_box == at - 1 == self.stand.at
        here = 0.0 if is_open else float(self.prices.m.point[0, at]) / self.total
        return float(min(before[at], beyond[at])) + here >= LEAST_SIDE

    def _split(self, at: int, minutes: float, error: float) -> float:
        """Price a test at a point by a way of its own."""
        t = replace(
            self.terrain,
            test_min=np.where(np.arange(self.valve + 2) == at, minutes, self.terrain.test_min),
            test_error=np.where(np.arange(self.valve + 2) == at, error, self.terrain.test_error),
        )
        prices = self.prices
        kept, prices.t = prices.t, t
        value = prices.split(np.array([0]), np.array([at]), np.array([self.terrain.gaps]))
        prices.t = kept
        return float(value[0, 0])

    def _boxes(self) -> Iterator[Option]:
        heard: list[BoxWay] = []
        for box in range(1, len(self.line.boxes) + 1):
            for way in box_ways(self.line, box, self.assumed, self.tools):
                if isinstance(way.action, ListenAt | ClampAt):
                    heard.append(way)
                elif self._is_news(box + 1):
                    yield self._test(way.action, box + 1, self._still(way), way.error)
        yield from self._heard_at(heard)

    def _heard_at(self, ways: list[BoxWay]) -> Iterator[Option]:
        """Listening, and a clamp: what is fed passes unless the hot wire is broken before."""
        passed = [(way, self._before_it(way.action.box)) for way in ways]
        news = [each for each in passed if min(each[1], 1 - each[1]) >= LEAST_SIDE]
        if not news:
            return
        halves = most(np.array([min(before, 1 - before) for _, before in news]), MOST_HEARD)
        news = [each for each, is_kept in zip(news, halves.tolist(), strict=True) if is_kept]
        results = [result for way, _ in news for result in self._results(way.action)]
        at = np.repeat(np.array([way.action.box + 1 for way, _ in news]), 2)
        after = self.after(results, at).reshape(len(news), 2).sum(axis=1)
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
        price = self._split(at, minutes, error) * self.terrain.walk[self.here, at]
        own = minutes + float(self.terrain.walk_min[self.here, at])
        finds = float(self.prices.m.point[0, at]) / self.total
        return Option(action, self.minutes(price), own, float(before[at]), float(beyond[at]), finds)

    def _ends(self) -> Iterator[Option]:
        """Look at the controller or at the valve: what is wrong there is found and settled."""
        m = self.prices.m
        ends = np.array([0, self.terrain.gaps - 1])
        at = np.array([1, self.valve])
        minutes = np.array([self.assumed.terminals_min, self.assumed.coil_min])
        there = m.gap[0, ends]
        if not (there / self.total >= LEAST_WALK).any():
            return
        finds = self.assumed.check_sensitivity
        left = np.where(np.arange(self.terrain.gaps) == ends[:, None], 1 - finds, 1.0)
        rest = Prices(
            self.terrain,
            Masses(m.gap * left, np.repeat(m.point, 2, axis=0), m.left * left, m.right * left),
        ).from_point(at)
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
