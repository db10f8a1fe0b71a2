"""Walks that find nothing: a place that did not show may be one that never will.

Of the places that a first walk misses, a share (`never_shows`) stays hidden from each walk of the
kind: a second walk in vain tells less than the first.
"""

from collections.abc import Callable, Iterable

from faults.locating.engines.belief import Conductor, Walk
from faults.locating.engines.line import Floats, Ints, Line
from sites.kernel.lazily import np


def missed_after(times: Ints, detects: float, never_shows: float) -> Floats:
    """Return the chance to miss a fault once more that so many walks have missed."""
    hidden = (1 - detects) * never_shows
    once = 1 - detects / (1 - hidden) if hidden < 1 else 1.0
    before = hidden + (1 - hidden) * once ** times.astype(float)
    after = hidden + (1 - hidden) * once ** (times + 1.0)
    result: Floats = np.where(before > 0, after / np.where(before > 0, before, 1.0), 0.0)
    return result


def times_on_legs(walks: Iterable[Walk], line: Line, counts: Callable[[Walk], bool]) -> Ints:
    """Return how many of the walks that count led over each leg, (n + 1,)."""
    times = np.zeros(len(line.legs), dtype=int)
    for walk in walks:
        if counts(walk):
            times[walk.low : walk.high] += 1
    return times


def times_at_points(walks: Iterable[Walk], line: Line, counts: Callable[[Walk], bool]) -> Ints:
    """Return how many of the walks that count came to each point, (n + 2,)."""
    times = np.zeros(len(line.point_ft), dtype=int)
    for walk in walks:
        if counts(walk):
            times[walk.low : walk.high + 1] += 1
    return times


def is_tone_on(conductor: Conductor) -> Callable[[Walk], bool]:
    """Return whether a walk was one with the tone on this conductor; the bundle hears both."""
    if conductor is Conductor.BUNDLE:
        return lambda walk: walk.conductor is not None
    return lambda walk: walk.conductor is conductor


def is_gradient(walk: Walk) -> bool:
    """Whether a walk was one with two probes."""
    return walk.conductor is None
