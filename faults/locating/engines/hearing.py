"""Listening and a clamp at a box: priced as every test of steps to come is, by its two sides.

What is fed to the hot wire passes a box unless that wire is broken before it. Each side is priced
alone, and the wrong one as walked in vain first: the same rule as for a box test. A price by the
exact belief after each result would make these tests look dearer than those.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from faults.locating.engines.actions import ClampAt, ListenAt
from faults.locating.engines.belief import Belief, Outside
from faults.locating.engines.ground import Asked, Ground, most
from faults.locating.engines.line import JUST_BELOW, Floats
from faults.locating.engines.options import Option
from faults.locating.engines.ways import BoxWay, box_ways
from sites.kernel.lazily import np

# A test whose rarer side is less likely than this tells nothing new.
LEAST_HEARD = 0.08 * JUST_BELOW
# At so many boxes listening is priced, those that halve best.
MOST_HEARD = 12


@dataclass(frozen=True)
class Heard:
    """Listening or a clamp at a box: the belief parted by what is fed passing, or not."""

    way: BoxWay
    passes: Belief
    stops: Belief

    @property
    def stopped(self) -> float:
        """Chance that what is fed does not come to the box."""
        return self.stops.total / (self.stops.total + self.passes.total)


class Hearing(Ground):
    """The ways to test at boxes, and those that cut nothing."""

    @cached_property
    def ways(self) -> list[BoxWay]:
        """Every way at every box."""
        is_fed = self.stand.feeds_hot_at_controller
        return [
            way
            for box in range(1, len(self.line.boxes) + 1)
            for way in box_ways(self.line, box, self.assumed, self.tools, is_fed=is_fed)
        ]

    def still(self, way: BoxWay) -> float:
        """A box that is still open takes only the test, and what is done for it first."""
        if self.stand.in_box != way.action.box:
            return way.minutes
        return self.assumed.repeat_min + way.lasting_min + way.setup_min

    def _heard_at(self) -> Iterator[Asked]:
        ways = [way for way in self.ways if isinstance(way.action, ListenAt | ClampAt)]
        heard = [self._parts(way) for way in ways]
        news = [each for each in heard if min(each.stopped, 1 - each.stopped) >= LEAST_HEARD]
        if not news:
            return
        rarer = np.array([min(each.stopped, 1 - each.stopped) for each in news])
        is_kept = most(rarer, MOST_HEARD).tolist()
        kept = [each for each, keep in zip(news, is_kept, strict=True) if keep]
        parts = [part for each in kept for part in (each.passes, each.stops)]
        at = np.repeat(np.array([each.way.action.box + 1 for each in kept]), 2)
        yield self.parted(parts, at, lambda prices: self._heard_options(kept, prices))

    def _parts(self, way: BoxWay) -> Heard:
        belief, box = self.belief, way.action.box
        before = self.line.cell_leg < box
        # A broken common, and what else is wrong at either end, let it pass.
        stopped = np.stack([before, np.zeros_like(before), before])
        points = np.arange(len(belief.splice)) <= box
        ends = Outside.CONTROLLER_SPLICE

        def part(*, stops: bool) -> Belief:
            outside = {
                cause: mass if (cause is ends) is stops else 0.0
                for cause, mass in belief.outside.items()
            }
            legs = np.where(stopped == stops, belief.legs, 0.0)
            return replace(
                belief,
                legs=legs,
                splice=np.where(points == stops, belief.splice, 0.0),
                outside=outside,
            )

        return Heard(way, part(stops=False), part(stops=True))

    def _heard_options(self, heard: list[Heard], prices: Floats) -> Iterator[Option]:
        t = self.terrain
        for each, (passes, stops) in zip(heard, prices.reshape(-1, 2).tolist(), strict=True):
            way, at = each.way, each.way.action.box + 1
            wrong = self._wrong(each)
            if_stops = 1 - wrong + wrong * float(t.vain[at, t.gaps] * t.walk[t.gaps, at])
            if_passes = 1 - wrong + wrong * float(t.vain[0, at] * t.walk[0, at])
            own = self._way_min(way) + self.still(way)
            price = (passes * if_passes + stops * if_stops) * float(np.exp(self.k * own))
            yield Option(way.action, self.minutes(price), own, each.stopped, 1 - each.stopped)

    def _way_min(self, way: BoxWay) -> float:
        """Minutes to the box: by the controller, where a tone has to be fed there first."""
        at, walk_min = way.action.box + 1, self.terrain.walk_min
        if way.setup_min > 0:
            return float(walk_min[self.here, 1] + walk_min[1, at])
        return float(walk_min[self.here, at])

    def _wrong(self, heard: Heard) -> float:
        """Chance of the wrong side; once more at one place mostly says what it said before."""
        action = heard.way.action
        same = [
            each.was_there
            for each in self.belief.listened
            if (each.point, each.by_clamp) == (action.box, isinstance(action, ClampAt))
        ]
        if not same:
            return heard.way.error
        again = self.assumed.same_again
        was_wrong = heard.stopped if same[-1] else 1 - heard.stopped
        return again * was_wrong + (1 - again) * heard.way.error
