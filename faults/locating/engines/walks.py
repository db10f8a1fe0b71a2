"""Walks with the tone: which are worth pricing, and what each leaves where it finds nothing."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from faults.locating.engines.actions import WalkTone
from faults.locating.engines.belief import Conductor, Outside
from faults.locating.engines.costs import Masses, Prices
from faults.locating.engines.ground import Ground, most
from faults.locating.engines.line import JUST_BELOW, Bools, Floats, Ints
from faults.locating.engines.options import Option

# A walk over less than this is not offered.
LEAST_WALK = 0.03 * JUST_BELOW
# A tone on the common is offered where the common is this likely to blame.
LEAST_COMMON = 0.10 * JUST_BELOW
# So many walks are priced, those that find most for their minutes.
MOST_WALKS = 48


class Walks(Ground):
    """The walks of a plan."""

    def _walks(self, least: float = LEAST_WALK) -> Iterator[Option]:
        if not self.tools.tone:
            return
        for conductor in (Conductor.HOT, Conductor.COMMON):
            yield from self._walks_on(conductor, least)

    def _walks_on(self, conductor: Conductor, least: float) -> Iterator[Option]:
        carries = self.belief.legs[[list(Conductor).index(conductor), 2]].sum(axis=0)
        silent = self.belief.legs.sum(axis=0) - carries
        points = np.arange(1, self.valve + 1)
        start, end = (each.ravel() for each in np.meshgrid(points, points, indexing="ij"))
        walked = start != end
        start, end = start[walked], end[walked]
        low, high = np.minimum(start, end), np.maximum(start, end)
        fed = self.masses(carries[None], replace(self.belief, outside=dict.fromkeys(Outside, 0.0)))
        chance = self._chance(fed, low, high)
        keep = chance / self.total > least
        if conductor is Conductor.COMMON and self.belief.of(Conductor.COMMON) < LEAST_COMMON:
            return
        if not keep.any():
            return
        keep &= self._is_worth_pricing(chance, low, high, keep)
        yield from self._priced_walks(conductor, start[keep], end[keep], fed, silent, chance[keep])

    def _is_worth_pricing(self, chance: Floats, low: Ints, high: Ints, keep: Bools) -> Bools:
        """Keep the walks that find most for their minutes, and the longest ones."""
        minutes = self.terrain.setup_min + self.terrain.until[high] - self.terrain.until[low]
        worth = np.where(keep, chance / minutes, -1.0)
        return most(worth, MOST_WALKS)

    def _chance(self, fed: Masses, low: Ints, high: Ints) -> Floats:
        gap = np.concatenate([[0.0], np.cumsum(fed.gap[0])])
        point = np.concatenate([[0.0], np.cumsum(fed.point[0])])
        result: Floats = gap[high] - gap[low] + point[high + 1] - point[low]
        return result

    def _priced_walks(
        self,
        conductor: Conductor,
        start: Ints,
        end: Ints,
        fed: Masses,
        silent: Floats,
        chance: Floats,
    ) -> Iterator[Option]:
        t, finds = self.terrain, self.assumed.tone_detects
        low, high = np.minimum(start, end), np.maximum(start, end)
        rest = Prices(t, self._left_after(fed, silent, low, high)).from_point(end)
        full = np.exp(self.k * (t.until[high] - t.until[low]))
        found = self._found(fed, start, end)
        is_fed = (
            start == (self.stand.tone_from if self.stand.tone_from is not None else -9) + 1
        ) & (self.stand.tone_on is conductor)
        setup_min = np.where(is_fed, 0.0, t.setup_min)
        price = (
            t.walk[self.here, start] * np.exp(self.k * setup_min) * (finds * found + full * rest)
        )
        own = t.walk_min[self.here, start] + setup_min + t.until[high] - t.until[low]
        for i in range(len(start)):
            yield Option(
                WalkTone(int(start[i]) - 1, int(end[i]) - 1, conductor),
                self.minutes(float(price[i])),
                float(own[i]),
                finds=float(chance[i] / self.total) * finds,
            )

    def _found(self, fed: Masses, start: Ints, end: Ints) -> Floats:
        """Sum of mass x dislike of reaching it by each walk; both end points are on the way."""
        grow = np.exp(self.k * self.terrain.until)
        low, high = np.minimum(start, end), np.maximum(start, end)
        zero = [0.0]
        right_gaps = np.concatenate([zero, np.cumsum(fed.left[0] * grow[:-1])])
        left_gaps = np.concatenate([zero, np.cumsum(fed.right[0] / grow[1:])])
        right_points = np.concatenate([zero, np.cumsum(fed.point[0] * grow)])
        left_points = np.concatenate([zero, np.cumsum(fed.point[0] / grow)])
        rightward = right_gaps[high] - right_gaps[low] + right_points[high + 1] - right_points[low]
        leftward = left_gaps[high] - left_gaps[low] + left_points[high + 1] - left_points[low]
        result: Floats = np.where(end > start, rightward / grow[low], leftward * grow[high])
        return result

    def _left_after(self, fed: Masses, silent: Floats, low: Ints, high: Ints) -> Masses:
        """What is left of the belief when each of these walks found nothing."""
        misses = 1 - self.assumed.tone_detects
        other = self.masses(silent[None], replace(self.belief, splice=self.belief.splice * 0))
        gaps, points = np.arange(self.terrain.gaps), np.arange(self.terrain.gaps + 1)
        on_gap = (gaps >= low[:, None]) & (gaps < high[:, None])
        on_point = (points >= low[:, None]) & (points <= high[:, None])
        gap, point = np.where(on_gap, misses, 1.0), np.where(on_point, misses, 1.0)
        return Masses(
            gap=fed.gap * gap + other.gap,
            point=fed.point * point + other.point,
            left=fed.left * gap + other.left,
            right=fed.right * gap + other.right,
        )
