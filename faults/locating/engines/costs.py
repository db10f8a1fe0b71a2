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

from dataclasses import dataclass
from functools import cached_property

from faults.locating.engines.line import Bools, Floats, Ints
from sites.kernel.lazily import np

# A walk so long that its repeats would be disliked without bound is priced at this ratio.
MOST_REPEATED = 0.999


@dataclass(frozen=True)
class Terrain:
    """What does not change during a search.

    Shapes: `walk_min` (g + 1, g + 1) minutes from point to point without testing; `tone_min`
    (g,) minutes to walk each gap with the tone; `test_min` (g + 1,) minutes of the test at each
    point; `test_error` (g + 1,) chance that it names the wrong side; `renew_min` (g,) minutes to
    lay each gap's wire anew, None where nobody would: a way out where no walk shows the fault.
    """

    walk_min: Floats
    tone_min: Floats
    test_min: Floats
    test_error: Floats
    setup_min: float
    detects: float
    dislike_per_min: float
    renew_min: Floats | None = None

    @cached_property
    def gaps(self) -> int:
        """Number of gaps."""
        return len(self.tone_min)

    @cached_property
    def until(self) -> Floats:
        """Minutes of tone from point 0 to each point, (g + 1,)."""
        return np.concatenate([[0.0], np.cumsum(self.tone_min)])

    @cached_property
    def walk(self) -> Floats:
        """Dislike of walking from point to point, (g + 1, g + 1)."""
        return np.exp(self.dislike_per_min * self.walk_min)

    @cached_property
    def setup(self) -> float:
        """Dislike of setting up the tone once."""
        return float(np.exp(self.dislike_per_min * self.setup_min))

    def vain_min(self, start: Ints, end: Ints) -> Floats:
        """Minutes to walk start..end with the tone for nothing, without coming back."""
        result: Floats = self.setup_min + self.until[end] - self.until[start]
        return result


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


LEFT, RIGHT = 0, 1


class Prices:
    """The priced stretches of a batch of beliefs.

    `table` is (2, b, g, g): from which end, which belief, first gap, last gap.
    """

    def __init__(self, terrain: Terrain, masses: Masses) -> None:
        self.t, self.m = terrain, masses
        self.k = terrain.dislike_per_min
        self.grow = np.exp(self.k * terrain.until)
        self.table = np.zeros((2, len(masses.gap), terrain.gaps, terrain.gaps))
        zero = np.zeros((len(masses.gap), 1))
        # Sums of what a walk from the far left or the far right would cost: any walk over
        # neighbouring gaps is a difference of two, scaled to its own start.
        rightward = masses.left * self.grow[:-1] + masses.point[:, 1:] * self.grow[1:]
        leftward = masses.right / self.grow[1:] + masses.point[:, :-1] / self.grow[:-1]
        self.rightward = np.concatenate([zero, np.cumsum(rightward, axis=1)], axis=1)
        self.leftward = np.concatenate([zero, np.cumsum(leftward, axis=1)], axis=1)
        for length in range(1, terrain.gaps + 1):
            self._fill(length)

    def from_point(self, at: Ints) -> Floats:
        """Return each belief's price over the whole line from a point of its own, (b,)."""
        t = self.t
        start, end = np.array([0]), np.array([t.gaps])
        inner = np.arange(1, t.gaps)
        tests = self.split(start, inner, end) * t.walk[at][:, inner]
        first, last = np.triu_indices(t.gaps)
        low, high = first, last + 1
        by_low, by_high = self.bets(start, low, high, end)
        ways = [by_low * t.walk[at][:, low], by_high * t.walk[at][:, high], tests]
        result: Floats = np.concatenate(ways, axis=1).min(axis=1)
        return result

    def split(self, start: Ints, at: Ints, end: Ints) -> Floats:
        """Price a test at a point of a stretch, without the way there."""
        full_start, full_end = np.broadcast_to(start, at.shape), np.broadcast_to(end, at.shape)
        left = self.table[RIGHT][:, full_start, at - 1]
        right = self.table[LEFT][:, at, full_end - 1]
        wrong = self.t.test_error[at]
        sides = left * (1 - wrong + wrong * self._vain_to(at, full_end, at)) + right * (
            1 - wrong + wrong * self._vain_to(full_start, at, at)
        )
        result: Floats = np.exp(self.k * self.t.test_min[at]) * (sides + self.m.point[:, at])
        return result

    def bets(self, start: Ints, low: Ints, high: Ints, end: Ints) -> tuple[Floats, Floats]:
        """Price searching low..high of a stretch first, entered at low and at high.

        The way to the entry is not in it.
        """
        start, end = np.broadcast_to(start, low.shape), np.broadcast_to(end, high.shape)
        at_low, at_high = self._rests(start, low, high, end)
        here = self.table[:, :, low, high - 1]
        vain = np.exp(self.k * self.t.vain_min(low, high))
        edges = np.where(low > start, self.m.point[:, low], 0.0) + np.where(
            high < end, self.m.point[:, high], 0.0
        )
        rest_min = self._and_back(start, low) + self._and_back(high, end)
        missed = (1 - self.t.detects) * (vain * np.exp(self.k * rest_min) - 1) * here
        return (
            here[LEFT] + missed[LEFT] + vain * (at_high + edges),
            here[RIGHT] + missed[RIGHT] + vain * (at_low + edges),
        )

    def _fill(self, length: int) -> None:
        starts = np.arange(self.t.gaps - length + 1)
        best = self._walks(starts, length)
        if length == 1 and self.t.renew_min is not None:
            best = np.minimum(best, self._renewed()[None, :, :])
        if length > 1:
            best = np.minimum(best, self._tests(starts, length))
            best = np.minimum(best, self._parts(starts, length))
        self.table[:, :, starts, starts + length - 1] = best

    def _renewed(self) -> Floats:
        """Each gap's wire laid anew, (b, g): no search for what lies on it."""
        renew = self.t.renew_min
        if renew is None:
            raise TypeError("Expected minutes to lay a gap's wire anew, got none")
        result: Floats = np.exp(self.k * renew) * self.m.gap
        return result

    def _walks(self, starts: Ints, length: int) -> Floats:
        """From either end over 1..length gaps, then on with what is left: (2, b, stretches)."""
        ends = starts + length
        extents = np.arange(1, length + 1)
        full_start = np.broadcast_to(starts[:, None], (len(starts), length))
        full_end = np.broadcast_to(ends[:, None], (len(starts), length))
        stop, begin = full_start + extents, full_end - extents
        rightward = self._walk(
            self.covered_rightward(full_start, stop, full_end),
            self.t.until[stop] - self.t.until[full_start],
            self._rest(LEFT, np.minimum(stop, self.t.gaps - 1), full_end - 1, stop < full_end),
            self._and_back(stop, full_end),
        ).min(axis=2)
        leftward = self._walk(
            self.covered_leftward(full_end, begin, full_start),
            self.t.until[full_end] - self.t.until[begin],
            self._rest(RIGHT, full_start, np.maximum(begin - 1, 0), begin > full_start),
            self._and_back(full_start, begin),
        ).min(axis=2)
        over, back = self.t.walk[starts, ends], self.t.walk[ends, starts]
        return np.stack(
            [np.minimum(rightward, over * leftward), np.minimum(leftward, back * rightward)]
        )

    def covered_rightward(self, start: Ints, stop: Ints, end: Ints) -> Floats:
        """Sum of mass x dislike of reaching it, walking from start to stop of a stretch.

        The point where the stretch ends is not part of it.
        """
        not_ours = np.where(stop == end, self.m.point[:, stop] * self.grow[stop], 0.0)
        result: Floats = (
            self.rightward[:, stop] - self.rightward[:, start] - not_ours
        ) / self.grow[start]
        return result

    def covered_leftward(self, start: Ints, stop: Ints, end: Ints) -> Floats:
        """The same, walking from a right end at `start` back to `stop`; `end` is the left end."""
        not_ours = np.where(stop == end, self.m.point[:, stop] / self.grow[stop], 0.0)
        result: Floats = (self.leftward[:, start] - self.leftward[:, stop] - not_ours) * self.grow[
            start
        ]
        return result

    def _walk(self, covered: Floats, minutes: Floats, rest: Floats, rest_min: Floats) -> Floats:
        """Walk once or twice over some gaps, then the rest; what was missed comes last."""
        finds, misses = self.t.detects, 1 - self.t.detects
        full = np.exp(self.k * minutes)
        again = covered * finds / (1 - np.minimum(misses * full, MOST_REPEATED))
        last = (
            misses * np.where(rest_min > 0, np.exp(self.k * rest_min) * self.t.setup, 1.0) * again
        )
        once = finds * covered + full * (rest + last)
        twice = finds * covered * (1 + misses * full) + full * full * (rest + misses * last)
        result: Floats = self.t.setup * np.minimum(once, twice)
        return result

    def _rest(self, end: int, first: Ints, last: Ints, is_some: Bools) -> Floats:
        return np.where(is_some, self.table[end][:, first, last], 0.0)

    def _and_back(self, start: Ints, end: Ints) -> Floats:
        """Minutes to walk a piece in vain and come back; 0 where there is no piece."""
        minutes = self.t.vain_min(start, end) + self.t.walk_min[end, start]
        return np.where(end > start, minutes, 0.0)

    def _tests(self, starts: Ints, length: int) -> Floats:
        start, end = starts[:, None], starts[:, None] + length
        inner = start + np.arange(1, length)
        value = self.split(start, inner, end)
        there = np.stack([self.t.walk[start, inner], self.t.walk[end, inner]])
        result: Floats = (value[None] * there[:, None]).min(axis=3)
        return result

    def _parts(self, starts: Ints, length: int) -> Floats:
        first, last = np.triu_indices(length)
        is_part = last - first + 1 < length
        low = starts[:, None] + first[is_part]
        high = starts[:, None] + last[is_part] + 1
        start, end = starts[:, None], starts[:, None] + length
        by_low, by_high = self.bets(start, low, high, end)
        ways = [
            np.minimum(self.t.walk[here, low] * by_low, self.t.walk[here, high] * by_high)
            for here in (start, end)
        ]
        return np.stack([way.min(axis=2) for way in ways])

    def _rests(self, start: Ints, low: Ints, high: Ints, end: Ints) -> tuple[Floats, Floats]:
        """Price what lies on both sides of low..high, standing at low and at high."""
        has_left, has_right = low > start, high < end
        left = self._rest(RIGHT, start, np.maximum(low - 1, 0), has_left)
        right = self._rest(LEFT, np.minimum(high, self.t.gaps - 1), end - 1, has_right)
        across = self.t.walk[high, low]
        after_left = np.where(has_left, self._vain_to(start, low, high), across)
        after_right = np.where(has_right, self._vain_to(high, end, low), across)
        at_low = np.minimum(left + after_left * right, across * (right + after_right * left))
        at_high = np.minimum(right + after_right * left, across * (left + after_left * right))
        return at_low, at_high

    def _vain_to(self, start: Ints, end: Ints, onward: Ints) -> Floats:
        """Dislike of walking a whole piece in vain, away from `onward`, then going there."""
        far = np.where(onward >= end, start, end)
        result: Floats = np.exp(self.k * self.t.vain_min(start, end)) * self.t.walk[far, onward]
        return result
