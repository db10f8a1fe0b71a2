"""Walks with the tone: which are worth pricing, and what each leaves where it finds nothing."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from faults.locating.engines.actions import WalkTone
from faults.locating.engines.belief import Conductor, Outside
from faults.locating.engines.costs import Masses
from faults.locating.engines.feeding import cheapest_feed
from faults.locating.engines.ground import Asked, Ground, most
from faults.locating.engines.line import JUST_BELOW, Bools, Floats, Ints
from faults.locating.engines.options import Option
from faults.locating.engines.tones import missed_at_points, missed_on_legs
from sites.kernel.lazily import np

# A walk over less than this is not offered.
LEAST_WALK = 0.03 * JUST_BELOW
# A tone on the common is offered where the common is this likely to blame.
LEAST_COMMON = 0.10 * JUST_BELOW
# So many walks are priced, those that find most for their minutes; fewer on a long line, where
# each takes longer to price and many are alike.
MOST_WALKS, LEAST_WALKS = 48, 12
WALKS_TIMES_GAPS = 960


class Walks(Ground):
    """The walks of a plan."""

    def _walks(self, least: float = LEAST_WALK) -> Iterator[Asked]:
        if not self.tools.tone:
            return
        for conductor in (Conductor.HOT, Conductor.COMMON):
            yield from self._walks_on(conductor, least)

    def _walks_on(self, conductor: Conductor, least: float) -> Iterator[Asked]:
        if conductor is Conductor.COMMON and self.belief.of(Conductor.COMMON) < LEAST_COMMON:
            return
        points = np.arange(1, self.valve + 1)
        start, end = (each.ravel() for each in np.meshgrid(points, points, indexing="ij"))
        walked = start != end
        start, end = start[walked], end[walked]
        low, high = np.minimum(start, end), np.maximum(start, end)
        heard = self._heard(conductor)
        chance = self._chance(heard.shows, low, high)
        keep = chance / self.total > least
        if not keep.any():
            return
        keep &= self._is_worth_pricing(chance, low, high, keep)
        start, end, low, high = (each[keep] for each in (start, end, low, high))
        finds = chance[keep] / self.total

        def told(rest: Floats) -> Iterator[Option]:
            return self._priced_walks(conductor, start, end, heard.shows, finds, rest)

        yield Asked(self._left_after(heard, low, high), end, told)

    def _heard(self, conductor: Conductor) -> "Heard":
        """Part the masses by what the next tone on this conductor shows, misses, or cannot tell.

        What earlier walks missed may never show, so that each place has a share of its own.
        """
        belief, line = self.belief, self.line
        which = list(Conductor).index(conductor)
        missed = {
            each: missed_on_legs(line, belief.walked, each, self.assumed)[line.cell_leg]
            for each in (conductor, Conductor.BUNDLE)
        }
        own, bundle = belief.legs[which], belief.legs[2]
        misses = own * missed[conductor] + bundle * missed[Conductor.BUNDLE]
        silent = belief.legs.sum(axis=0) - own - bundle
        is_hot = conductor is Conductor.HOT
        splice = belief.splice * (1.0 if is_hot else 0.0)
        at_points = missed_at_points(line, belief.walked, self.assumed)
        nothing = dict.fromkeys(Outside, 0.0)

        def masses(cells: Floats, splice: Floats, outside: Mapping[Outside, float]) -> Masses:
            return self.masses(cells[None], replace(belief, splice=splice, outside=outside))

        return Heard(
            shows=masses(own + bundle - misses, splice * (1 - at_points), nothing),
            misses=masses(misses, splice * at_points, nothing),
            cannot=masses(silent, belief.splice - splice, belief.outside),
        )

    def _is_worth_pricing(self, chance: Floats, low: Ints, high: Ints, keep: Bools) -> Bools:
        """Keep the walks that find most for their minutes, and the longest ones."""
        minutes = self.terrain.setup_min + self.terrain.until[high] - self.terrain.until[low]
        worth = np.where(keep, chance / minutes, -1.0)
        count = max(LEAST_WALKS, min(MOST_WALKS, WALKS_TIMES_GAPS // self.terrain.gaps))
        return most(worth, count)

    def _chance(self, shows: Masses, low: Ints, high: Ints) -> Floats:
        gap = np.concatenate([[0.0], np.cumsum(shows.gap[0])])
        point = np.concatenate([[0.0], np.cumsum(shows.point[0])])
        result: Floats = gap[high] - gap[low] + point[high + 1] - point[low]
        return result

    def _priced_walks(
        self,
        conductor: Conductor,
        start: Ints,
        end: Ints,
        shows: Masses,
        finds: Floats,
        rest: Floats,
    ) -> Iterator[Option]:
        t = self.terrain
        low, high = np.minimum(start, end), np.maximum(start, end)
        full = np.exp(self.k * (t.until[high] - t.until[low]))
        found = self._found(shows, start, end)
        feeds = [
            self._feed(*way, conductor) for way in zip(start.tolist(), end.tolist(), strict=True)
        ]
        ready = np.array([minutes for _, minutes in feeds])
        price = np.exp(self.k * ready) * (found + full * rest)
        own = ready + t.until[high] - t.until[low]
        for i in range(len(start)):
            yield Option(
                WalkTone(int(start[i]) - 1, int(end[i]) - 1, conductor, feeds[i][0]),
                self.minutes(float(price[i])),
                float(own[i]),
                finds=float(finds[i]),
            )

    def _feed(self, start: int, end: int, conductor: Conductor) -> tuple[int, float]:
        """Where the tone is fed for least minutes, and the minutes until the walk begins."""
        stand, walk_min = self.stand, self.terrain.walk_min
        return cheapest_feed(
            here=stand.at,
            start=start - 1,
            end=end - 1,
            valve=self.valve - 1,
            fed=stand.tone_from if stand.tone_on is conductor else None,
            setup_min=self.assumed.tone_setup_min,
            walk_min=lambda a, b: float(walk_min[a + 1, b + 1]),
            reach_min=self.reach_min,
        )

    def _found(self, shows: Masses, start: Ints, end: Ints) -> Floats:
        """Sum of mass x dislike of reaching it by each walk; both end points are on the way."""
        grow = np.exp(self.k * self.terrain.until)
        low, high = np.minimum(start, end), np.maximum(start, end)
        zero = [0.0]
        right_gaps = np.concatenate([zero, np.cumsum(shows.left[0] * grow[:-1])])
        left_gaps = np.concatenate([zero, np.cumsum(shows.right[0] / grow[1:])])
        right_points = np.concatenate([zero, np.cumsum(shows.point[0] * grow)])
        left_points = np.concatenate([zero, np.cumsum(shows.point[0] / grow)])
        rightward = right_gaps[high] - right_gaps[low] + right_points[high + 1] - right_points[low]
        leftward = left_gaps[high] - left_gaps[low] + left_points[high + 1] - left_points[low]
        result: Floats = np.where(end > start, rightward / grow[low], leftward * grow[high])
        return result

    def _left_after(self, heard: "Heard", low: Ints, high: Ints) -> Masses:
        """What is left of the belief when each of these walks found nothing."""
        gaps, points = np.arange(self.terrain.gaps), np.arange(self.terrain.gaps + 1)
        on_gap = (gaps >= low[:, None]) & (gaps < high[:, None])
        on_point = (points >= low[:, None]) & (points <= high[:, None])

        def left(name: str, on_way: Bools) -> Floats:
            shows, misses, cannot = (getattr(each, name) for each in heard.all)
            result: Floats = shows * ~on_way + misses + cannot
            return result

        return Masses(
            gap=left("gap", on_gap),
            point=left("point", on_point),
            left=left("left", on_gap),
            right=left("right", on_gap),
        )


@dataclass(frozen=True)
class Heard:
    """The masses of a belief by what the next tone shows of them, misses, and cannot tell."""

    shows: Masses
    misses: Masses
    cannot: Masses

    @property
    def all(self) -> tuple[Masses, Masses, Masses]:
        """The three."""
        return self.shows, self.misses, self.cannot
