"""Expected minutes to the end of a search along a line, with tests that err.

A line has gaps 0..n (legs) and points 1..n between them (boxes). The fault lies in one gap or
at one point. A test at a point says on which side the fault lies; a walk with the tone over
neighbouring gaps finds it or not. `solve` prices every stretch (i..j) from either end by one
recursion in which every test errs as it does in the field:

- a box test points to the wrong side with probability `box_error`; the right stretch is then
  searched only after the wrong one was walked in vain;
- a walk misses with 1 - pd, and is repeated.

Long searches are disliked: the recursion keeps sums of mass x exp(dislike x minutes), which
multiply along a search as minutes add. `dislike_per_min` near 0 gives plain expected minutes.

Source: optimal search trees by dynamic programming (Cormen et al., section on optimal binary
search trees); exponential disutility in sequential decisions, common in decision analysis. The
treatment of errors and of walks is our own.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Terrain:
    """What does not change during a search.

    Shapes: `walk_min` (n + 2, n + 2) minutes from point to point, points 0..n + 1; `tone_min`
    (n + 1,) minutes to walk each gap with the tone; `box_min` (n + 2,) minutes to open and test
    at each point, infinite where nobody can test; `box_error` (n + 2,).
    """

    walk_min: Floats
    tone_min: Floats
    box_min: Floats
    box_error: Floats
    setup_min: float
    pd: float
    dislike_per_min: float

    @cached_property
    def gaps(self) -> int:
        """Number of gaps, n + 1."""
        return len(self.tone_min)

    @cached_property
    def tone_until(self) -> Floats:
        """Minutes of tone from point 0 to each point, (n + 2,)."""
        return np.concatenate([[0.0], np.cumsum(self.tone_min)])


@dataclass(frozen=True)
class Masses:
    """Unnormalised masses of a batch of beliefs: (b, n + 1) for gaps, (b, n + 2) for points.

    `left` and `right` are the gap masses weighted by exp(dislike x minutes of tone) from the
    gap's left and right end to each place in it.
    """

    gap: Floats
    point: Floats
    left: Floats
    right: Floats


@dataclass(frozen=True)
class Solved:
    """Disutility sums of each stretch: (2, b, gaps, gaps), first index 0 = from its left end."""

    terrain: Terrain
    masses: Masses
    table: Floats


def solve(terrain: Terrain, masses: Masses) -> Solved:
    """Price every stretch of every belief of the batch."""
    g = terrain.gaps
    batch = masses.gap.shape[0]
    table = np.zeros((2, batch, g, g))
    recursion = _Recursion(terrain, masses, table)
    for length in range(1, g + 1):
        recursion.fill(length)
    return Solved(terrain, masses, table)


class _Recursion:
    """One diagonal of stretches at a time, so that numpy works on whole blocks."""

    def __init__(self, terrain: Terrain, masses: Masses, table: Floats) -> None:
        self.t, self.m, self.table = terrain, masses, table
        k = terrain.dislike_per_min
        self.walk = np.exp(k * terrain.walk_min)
        self.until = terrain.tone_until
        self.box = np.exp(k * terrain.box_min)
        self.setup = np.exp(k * terrain.setup_min)
        self.k = k
        grow = np.exp(k * self.until)
        # Prefix sums of what a walk from the far left, or from the far right, would have cost:
        # any walk over neighbouring gaps is a difference of two, scaled to its own start.
        points = masses.point
        from_left = masses.left * grow[:-1] + points[:, 1:] * grow[1:]
        shrink = np.exp(-k * self.until)
        from_right = masses.right * shrink[1:] + points[:, :-1] * shrink[:-1]
        zero = np.zeros((masses.gap.shape[0], 1))
        self.sum_left = np.concatenate([zero, np.cumsum(from_left, axis=1)], axis=1)
        self.sum_right = np.concatenate([zero, np.cumsum(from_right, axis=1)], axis=1)
        self.grow, self.shrink = grow, shrink
        self.mass = np.concatenate([zero, np.cumsum(masses.gap + points[:, 1:], axis=1)], axis=1)

    def fill(self, length: int) -> None:
        """Fill the stretches of this many gaps."""
        g = self.t.gaps
        starts = np.arange(g - length + 1)
        best = self._walks(starts, length)
        if length > 1:
            best = np.minimum(best, self._boxes(starts, length))
            best = np.minimum(best, self._bets_from_ends(starts, length))
        self.table[:, :, starts, starts + length - 1] = best

    def _walks(self, starts: npt.NDArray[np.int_], length: int) -> Floats:
        """From either end over 1..length gaps, then on with what is left: (2, b, stretches)."""
        ends = starts + length  # the point at the right end
        extents = np.arange(1, length + 1)
        stop = starts[:, None] + extents  # point where a walk from the left stops
        left = self._one_way(
            (
                self.sum_left[:, stop]
                - self.sum_left[:, starts][:, :, None]
                - self._own_far_point(stop, ends)
            )
            * self.shrink[starts][:, None],
            self.until[stop] - self.until[starts][:, None],
            self._rest_right(stop, ends),
            self._vain_minutes(stop, np.broadcast_to(ends[:, None], stop.shape)),
        ).min(axis=2)
        begin = ends[:, None] - extents
        right = self._one_way(
            (
                self.sum_right[:, ends][:, :, None]
                - self.sum_right[:, begin]
                - self._own_near_point(begin, starts)
            )
            * self.grow[ends][:, None],
            self.until[ends][:, None] - self.until[begin],
            self._rest_left(begin, starts),
            self._vain_minutes(np.broadcast_to(starts[:, None], begin.shape), begin),
        ).min(axis=2)
        over = self.walk[starts, ends]
        back = self.walk[ends, starts]
        return np.stack([np.minimum(left, over * right), np.minimum(right, back * left)])

    def _vain_minutes(self, start: npt.NDArray[np.int_], end: npt.NDArray[np.int_]) -> Floats:
        """Minutes to walk a piece for nothing and come back; 0 where there is no piece."""
        minutes = (
            self.t.setup_min + self.until[end] - self.until[start] + self.t.walk_min[end, start]
        )
        return np.where(end > start, minutes, 0.0)

    def _own_far_point(self, stop: npt.NDArray[np.int_], ends: npt.NDArray[np.int_]) -> Floats:
        """The point where a stretch ends is not part of it: take its share off again."""
        at_end = stop == ends[:, None]
        return np.where(at_end, self.m.point[:, stop] * self.grow[stop], 0.0)

    def _own_near_point(self, begin: npt.NDArray[np.int_], starts: npt.NDArray[np.int_]) -> Floats:
        at_start = begin == starts[:, None]
        return np.where(at_start, self.m.point[:, begin] * self.shrink[begin], 0.0)

    def _one_way(
        self, covered: Floats, minutes: Floats, rest: Floats, rest_minutes: Floats
    ) -> Floats:
        """Walk once or twice over some gaps, then the rest; what was missed comes last.

        `covered` is the sum over places of mass x exp(dislike x minutes to it).
        """
        full = np.exp(self.k * minutes)
        missed = 1 - self.t.pd
        again = covered * self.t.pd / (1 - np.minimum(missed * full, 0.95))
        in_vain = np.exp(self.k * rest_minutes)
        has_rest = rest_minutes > 0
        last = missed * np.where(has_rest, in_vain * self.setup, 1.0) * again
        once = self.t.pd * covered + full * (rest + last)
        twice = self.t.pd * covered + missed * full * self.t.pd * covered
        twice = twice + full * full * (rest + missed * last)
        return self.setup * np.minimum(once, twice)

    def _rest_right(self, stop: npt.NDArray[np.int_], ends: npt.NDArray[np.int_]) -> Floats:
        """What lies beyond where a walk from the left stopped, from its left end."""
        last = self.t.gaps - 1
        inside = stop < ends[:, None]
        rows = np.minimum(stop, last)
        cols = np.broadcast_to(np.maximum(ends - 1, 0)[:, None], rows.shape)
        return np.where(inside, self.table[0][:, rows, cols], 0.0)

    def _rest_left(self, begin: npt.NDArray[np.int_], starts: npt.NDArray[np.int_]) -> Floats:
        inside = begin > starts[:, None]
        rows = np.broadcast_to(starts[:, None], begin.shape)
        cols = np.maximum(begin - 1, 0)
        return np.where(inside, self.table[1][:, rows, cols], 0.0)

    def _boxes(self, starts: npt.NDArray[np.int_], length: int) -> Floats:
        """Open each inner point, then search the side that the test names."""
        ends = starts + length
        inner = starts[:, None] + np.arange(1, length)
        value = self.split(starts[:, None], inner, ends[:, None])
        there = np.stack([self.walk[starts[:, None], inner], self.walk[ends[:, None], inner]])
        return (value[None] * there[:, None]).min(axis=3)

    def split(
        self,
        start: npt.NDArray[np.int_],
        at: npt.NDArray[np.int_],
        end: npt.NDArray[np.int_],
    ) -> Floats:
        """Disutility of a test at a point of a stretch, without the way there."""
        left = self.table[1][:, np.broadcast_to(start, at.shape), at - 1]
        right = self.table[0][:, at, np.broadcast_to(end - 1, at.shape)]
        wrong = self.t.box_error[at]
        in_vain_left = self._in_vain(start, at)
        in_vain_right = self._in_vain(at, end)
        sides = left * (1 - wrong + wrong * in_vain_right) + right * (
            1 - wrong + wrong * in_vain_left
        )
        return self.box[at] * (sides + self.m.point[:, at])

    def _bets_from_ends(self, starts: npt.NDArray[np.int_], length: int) -> Floats:
        ends = starts + length
        first, last = np.triu_indices(length)
        proper = last - first + 1 < length
        low = starts[:, None] + first[proper]
        high = starts[:, None] + last[proper] + 1
        from_left, from_right = self.bets(starts[:, None], low, high, ends[:, None])
        return np.stack(
            [
                np.minimum(
                    self.walk[point[:, None], low] * from_left,
                    self.walk[point[:, None], high] * from_right,
                ).min(axis=2)
                for point in (starts, ends)
            ]
        )

    def bets(
        self,
        start: npt.NDArray[np.int_],
        low: npt.NDArray[np.int_],
        high: npt.NDArray[np.int_],
        end: npt.NDArray[np.int_],
    ) -> tuple[Floats, Floats]:
        """Search points low..high of a stretch as if it were there; if in vain, the rest.

        Entered at `low` and at `high`, without the way there.
        """
        rest_at_high, rest_at_low = self._rests(start, low, high, end)
        here = self.table[:, :, low, high - 1]
        vain = np.exp(self.k * (self.t.setup_min + self.until[high] - self.until[low]))
        edge = np.where(low > start, self.m.point[:, low], 0.0) + np.where(
            high < end, self.m.point[:, high], 0.0
        )
        rest_min = self._vain_minutes(np.broadcast_to(start, low.shape), low) + self._vain_minutes(
            high, np.broadcast_to(end, high.shape)
        )
        missed = (1 - self.t.pd) * (np.exp(self.k * rest_min) * vain - 1) * here
        on = vain * (rest_at_high + edge), vain * (rest_at_low + edge)
        return here[0] + missed[0] + on[0], here[1] + missed[1] + on[1]

    def _rests(
        self,
        start: npt.NDArray[np.int_],
        low: npt.NDArray[np.int_],
        high: npt.NDArray[np.int_],
        end: npt.NDArray[np.int_],
    ) -> tuple[Floats, Floats]:
        """What lies on both sides of low..high, standing at high or at low; dearer side last."""
        has_left, has_right = low > start, high < end
        full_start = np.broadcast_to(start, low.shape)
        full_end = np.broadcast_to(end, low.shape)
        last = self.t.gaps - 1
        left = np.where(has_left, self.table[1][:, full_start, np.maximum(low - 1, 0)], 0.0)
        right = np.where(has_right, self.table[0][:, np.minimum(high, last), full_end - 1], 0.0)
        across = self.walk[high, low]
        after_left = np.where(has_left, self._in_vain_to(full_start, low, high), across)
        after_right = np.where(has_right, self._in_vain_to(high, full_end, low), across)
        at_high = np.minimum(right + after_right * left, across * (left + after_left * right))
        at_low = np.minimum(left + after_left * right, across * (right + after_right * left))
        return at_high, at_low

    def _in_vain_to(
        self,
        start: npt.NDArray[np.int_],
        end: npt.NDArray[np.int_],
        onward: npt.NDArray[np.int_],
    ) -> Floats:
        """Walk a whole piece with the tone for nothing, then go to a point."""
        minutes = self.t.setup_min + (self.until[end] - self.until[start])
        far = np.where(onward >= end, start, end)
        return np.exp(self.k * minutes) * self.walk[far, onward]

    def _in_vain(self, start: npt.NDArray[np.int_], end: npt.NDArray[np.int_]) -> Floats:
        minutes = self.t.setup_min + (self.until[end] - self.until[start])
        there_and_back = minutes + self.t.walk_min[end, start]
        return np.exp(self.k * there_and_back)


def certain_minutes(disutility: Floats, mass: Floats, dislike_per_min: float) -> Floats:
    """Return the sure number of minutes that is disliked as much as this gamble."""
    return np.log(disutility / mass) / dislike_per_min
