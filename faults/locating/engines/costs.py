"""Minutes to the end of a search along a line, with tests that err as they do in the field.

A line has gaps 0..g-1 and inner points 1..g-1 between them. The fault lies in one gap or at one
point. A test at a point says on which side the fault lies; a walk over neighbouring gaps finds
it or not. `solve` prices every stretch of gaps from either end by one recursion:

- a test points to the wrong side now and then; the right side is then searched only after the
  wrong one was walked in vain;
- a walk misses now and then; what it missed is looked for again only after the rest was
  searched in vain, because nobody knows that it was missed;
- any part of a stretch may be searched first as if the fault were there, the rest afterwards.

All terms use the same errors. A price that knew more in its later steps than in its first would
make cheap, useless steps look good.

Long searches are disliked: the recursion keeps sums of mass x exp(dislike x minutes), which
multiply along a search as minutes add. With a dislike near 0 it counts plain minutes.

Source: optimal search trees by dynamic programming (Cormen et al., Introduction to Algorithms)
and exponential utility (Howard and Matheson 1972, from memory). How errors are priced is ours.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields

from faults.locating.engines.line import Floats, Ints
from faults.locating.engines.terrain import Parts, Stretches, Terrain, Tested, Walked
from sites.kernel.lazily import np


@dataclass(frozen=True)
class Masses:
    """A batch of beliefs: (b, g) for gaps, (b, g + 1) for points; the outer points hold 0.

    `left` and `right` are the gaps' masses x exp(dislike x minutes of tone) from the gap's left
    and right end to each place in it.
    """

    gap: Floats
    point: Floats
    left: Floats
    right: Floats

    @property
    def total(self) -> Floats:
        """Sum of each belief, (b,)."""
        result: Floats = self.gap.sum(axis=1) + self.point.sum(axis=1)
        return result


def joined(batches: Sequence[Masses]) -> Masses:
    """Return several batches of beliefs as one."""
    return Masses(
        *(
            np.concatenate([getattr(batch, each.name) for batch in batches])
            for each in fields(Masses)
        )
    )


LEFT, RIGHT = 0, 1


class Prices:
    """The priced stretches of a batch of beliefs.

    `table` is (2, b, g * g + 1): from which end, which belief, which stretch, or nothing.
    """

    def __init__(self, terrain: Terrain, masses: Masses) -> None:
        self.t, self.m = terrain, masses
        self.k = terrain.dislike_per_min
        grow = terrain.grow
        self.table = np.zeros((2, len(masses.gap), terrain.nothing + 1))
        zero = np.zeros((len(masses.gap), 1))
        # Sums of what a walk from the far left or the far right would cost: any walk over
        # neighbouring gaps is a difference of two, scaled to its own start.
        rightward = masses.left * grow[:-1] + masses.point[:, 1:] * grow[1:]
        leftward = masses.right / grow[1:] + masses.point[:, :-1] / grow[:-1]
        self.rightward = np.concatenate([zero, np.cumsum(rightward, axis=1)], axis=1)
        self.leftward = np.concatenate([zero, np.cumsum(leftward, axis=1)], axis=1)
        for of_length in terrain.stretches:
            self._fill(of_length)

    def from_point(self, at: Ints) -> Floats:
        """Return each belief's price over the whole line from a point of its own, (b,)."""
        there, (tests, parts) = self.t.walk[at], self.t.whole
        by_low, by_high = self.bets(parts)
        ways = [
            self.split(tests) * there[:, tests.at],
            by_low * there[:, parts.low],
            by_high * there[:, parts.high],
        ]
        result: Floats = np.concatenate(ways, axis=1).min(axis=1)
        return result

    def test(self, at: int, minutes: float, error: float) -> float:
        """Price a test of the first belief at a point by a way of its own, without the way."""
        ends = np.array([0]), np.array([at]), np.array([self.t.gaps])
        one = Tested(self.t, *ends, np.array([minutes]), np.array([error]))
        return float(self.split(one)[0, 0])

    def split(self, tests: Tested) -> Floats:
        """Price tests at points of stretches, without the way there."""
        left, right = self._from(RIGHT, tests.left), self._from(LEFT, tests.right)
        sides = left * tests.if_left + right * tests.if_right
        result: Floats = tests.price * (sides + self.m.point.take(tests.at, axis=1))
        return result

    def _from(self, end: int, places: Ints) -> Floats:
        """Look up the prices of stretches, entered at that end."""
        result: Floats = self.table[end].take(places, axis=1)
        return result

    def bets(self, parts: Parts) -> tuple[Floats, Floats]:
        """Price searching parts of stretches first, entered at their low and at their high end.

        The way to the entry is not in it.
        """
        left, right = self._from(RIGHT, parts.left), self._from(LEFT, parts.right)
        left_first = right * parts.after_left
        left_first += left
        right_first = left
        right_first *= parts.after_right
        right_first += right
        at_low = np.minimum(left_first, parts.across * right_first)
        at_high = np.minimum(right_first, parts.across * left_first, out=right_first)
        point = self.m.point
        edges = point.take(parts.low, axis=1) * parts.has_left
        edges += point.take(parts.high, axis=1) * parts.has_right
        ways = []
        for end, rest in ((LEFT, at_high), (RIGHT, at_low)):
            np.multiply(np.add(rest, edges, out=rest), parts.vain, out=rest)
            here = self._from(end, parts.here)
            here *= parts.searched
            here += rest
            ways.append(here)
        return ways[0], ways[1]

    def _fill(self, of: Stretches) -> None:
        rightward, leftward = self._walked(of.rightward), self._walked(of.leftward)
        from_left = np.minimum(rightward, of.over * leftward)
        from_right = np.minimum(leftward, of.back * rightward)
        best = [from_left, from_right]
        if of.length == 1 and self.t.renew_min is not None:
            renewed = self.t.dislike(self.t.renew_min) * self.m.gap
            best = [np.minimum(each, renewed) for each in best]
        if of.length > 1:
            tests, (by_low, by_high) = self.split(of.tests), self.bets(of.parts)
            for end in (LEFT, RIGHT):
                to_low, to_high = of.to_parts[end]
                ways = [(tests * of.to_tests[end]).min(axis=2)]
                if by_low.size:
                    ways += [(by_low * to_low).min(axis=2), (by_high * to_high).min(axis=2)]
                best[end] = np.minimum.reduce([best[end], *ways])
        self.table[LEFT][:, of.place], self.table[RIGHT][:, of.place] = best

    def _walked(self, walks: Walked) -> Floats:
        """Walk once or twice over some gaps, then the rest; what was missed comes last, (b, s)."""
        sums = self.rightward if walks.is_rightward else self.leftward
        # The point where the stretch ends is not part of it.
        not_ours = self.m.point.take(walks.stop, axis=1) * walks.not_ours
        covered = sums.take(walks.far, axis=1) - sums.take(walks.near, axis=1) - not_ours
        covered *= walks.scale
        finds, misses = self.t.detects, 1 - self.t.detects
        full, again = walks.full, covered * walks.again
        rest = self._from(LEFT if walks.is_rightward else RIGHT, walks.rest)
        once = finds * covered + full * (rest + again)
        twice = finds * covered * (1 + misses * full) + full * full * (rest + misses * again)
        result: Floats = self.t.setup * np.minimum(once, twice).min(axis=2)
        return result
