"""What does not change while a search is priced: minutes, errors, where each price is looked up.

A stretch of neighbouring gaps is looked up by its first and last gap in one row of prices; one
place more, `nothing`, holds what costs nothing.
"""

from dataclasses import dataclass
from functools import cached_property

from faults.locating.engines.line import Floats, Ints
from sites.kernel.lazily import np

# A walk so long that its repeats would be disliked without bound is priced at this ratio.
MOST_REPEATED = 0.999


@dataclass(frozen=True)
class Terrain:
    """What does not change during a search.

    Shapes: `walk_min` (g + 1, g + 1) minutes from point to point without testing; `tone_min`
    (g,) minutes to walk each gap with the tone; `test_min` (g + 1,) minutes of the test at each
    point; `test_error` (g + 1,) chance that it names the wrong side; `renew_min` (g,) minutes to
    renew each gap's wire, None where nobody would: a way out where no walk shows the fault.
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

    @property
    def nothing(self) -> int:
        """Where what costs nothing is looked up."""
        return self.gaps * self.gaps

    @cached_property
    def until(self) -> Floats:
        """Minutes of tone from point 0 to each point, (g + 1,)."""
        return np.concatenate([[0.0], np.cumsum(self.tone_min)])

    @cached_property
    def grow(self) -> Floats:
        """Their dislike, (g + 1,)."""
        return self.dislike(self.until)

    @cached_property
    def walk(self) -> Floats:
        """Dislike of walking from point to point, (g + 1, g + 1)."""
        return self.dislike(self.walk_min)

    @cached_property
    def setup(self) -> float:
        """Dislike of setting up the tone once."""
        return float(self.dislike(np.array(self.setup_min)))

    @cached_property
    def full(self) -> Floats:
        """Dislike of walking from point to point with the tone, (g + 1, g + 1)."""
        return self.dislike(self.until - self.until[:, None])

    @cached_property
    def vain(self) -> Floats:
        """The same in vain, with the set-up, without coming back."""
        return self.dislike(self.setup_min + self.until - self.until[:, None])

    @cached_property
    def back(self) -> Floats:
        """The same with coming back; 1 where there is no piece."""
        minutes = self.setup_min + self.until - self.until[:, None] + self.walk_min.T
        points = np.arange(self.gaps + 1)
        return np.where(points > points[:, None], self.dislike(minutes), 1.0)

    def dislike(self, minutes: Floats) -> Floats:
        """Return exp(dislike x minutes)."""
        result: Floats = np.exp(self.dislike_per_min * minutes)
        return result

    @cached_property
    def stretches(self) -> list["Stretches"]:
        """The stretches of each length, 1..g."""
        return [Stretches(self, length) for length in range(1, self.gaps + 1)]

    @cached_property
    def whole(self) -> tuple["Tested", "Parts"]:
        """All tests and all parts of the whole line, the whole among them."""
        start, end = np.array([0]), np.array([self.gaps])
        low, last = np.triu_indices(self.gaps)
        inner = np.arange(1, self.gaps)
        tests = Tested(self, start, inner, end, self.test_min[inner], self.test_error[inner])
        return tests, Parts(self, start, low, last + 1, end)


class Stretches:
    """All stretches of one length: what each way to search them looks up, and by which factor.

    Shapes: (s,) by stretch; walks (s, extent) in either direction; `tests` and `parts` have a row
    for each stretch.
    """

    def __init__(self, t: Terrain, length: int) -> None:
        self.length = length
        starts = np.arange(t.gaps - length + 1)
        ends = starts + length
        self.place = starts * t.gaps + ends - 1
        self.over, self.back = t.walk[starts, ends], t.walk[ends, starts]
        start = np.broadcast_to(starts[:, None], (len(starts), length))
        end = start + length
        extents = np.arange(1, length + 1)
        self.rightward = Walked(t, start, start + extents, end)
        self.leftward = Walked(t, end, end - extents, start)
        first, last = np.triu_indices(length)
        is_part = last - first + 1 < length
        low, high = starts[:, None] + first[is_part], starts[:, None] + last[is_part] + 1
        inner = start[:, 1:] + np.arange(1, length)
        minutes, wrong = t.test_min[inner], t.test_error[inner]
        self.tests = Tested(t, start[:, 1:], inner, end[:, 1:], minutes, wrong)
        self.parts = Parts(t, starts[:, None], low, high, ends[:, None])
        entries = starts[:, None], ends[:, None]
        self.to_tests = [t.walk[here, inner] for here in entries]
        self.to_parts = [(t.walk[here, low], t.walk[here, high]) for here in entries]


class Walked:
    """Walks from an end of stretches to `stop`, then the rest up to `far`."""

    def __init__(self, t: Terrain, begin: Ints, stop: Ints, far: Ints) -> None:
        self.stop, self.is_rightward = stop, bool((stop > begin).all())
        self.near, self.far = (begin, stop) if self.is_rightward else (stop, begin)
        grow = t.grow if self.is_rightward else 1 / t.grow
        self.scale, self.not_ours = 1 / grow[begin], np.where(stop == far, grow[stop], 0.0)
        low, high = np.minimum(stop, far), np.maximum(stop, far)
        self.rest = np.where(stop == far, t.nothing, low * t.gaps + high - 1)
        self.full = t.full[self.near, self.far]
        # What was missed is looked for after the rest, and for that a tone is set up again.
        back, misses = t.back[low, high], 1 - t.detects
        last = misses * np.where(back > 1, back * t.setup, 1.0)
        self.again = last * t.detects / (1 - np.minimum(misses * self.full, MOST_REPEATED))


class Tested:
    """Tests at points of stretches: each side by its factor, and the splice of the point."""

    def __init__(
        self, t: Terrain, start: Ints, at: Ints, end: Ints, minutes: Floats, wrong: Floats
    ) -> None:
        self.at, self.price = at, t.dislike(minutes)
        self.left, self.right = start * t.gaps + at - 1, at * t.gaps + end - 1
        # The wrong side is walked in vain, away from where one goes on to.
        self.if_left = 1 - wrong + wrong * (t.vain[at, end] * t.walk[end, at])
        self.if_right = 1 - wrong + wrong * (t.vain[start, at] * t.walk[start, at])


class Parts:
    """Parts low..high of stretches that are searched first as if the fault were there."""

    def __init__(self, t: Terrain, start: Ints, low: Ints, high: Ints, end: Ints) -> None:
        self.low, self.high = low, high
        self.has_left, self.has_right = low > start, high < end
        self.here = low * t.gaps + high - 1
        self.left = np.where(self.has_left, start * t.gaps + low - 1, t.nothing)
        self.right = np.where(self.has_right, high * t.gaps + end - 1, t.nothing)
        self.across = t.walk[high, low]
        self.after_left = np.where(
            self.has_left, t.vain[start, low] * t.walk[start, high], self.across
        )
        self.after_right = np.where(
            self.has_right, t.vain[high, end] * t.walk[end, low], self.across
        )
        self.vain = t.vain[low, high]
        rest = t.back[start, low] * t.back[high, end]
        self.searched = 1 + (1 - t.detects) * (self.vain * rest - 1)
