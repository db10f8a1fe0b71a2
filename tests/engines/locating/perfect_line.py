"""The fewest expected minutes that tests without error would take: a bound, and a check.

Source: optimal binary search trees (Cormen, Leiserson, Rivest, Stein, Introduction to
Algorithms, the section on optimal binary search trees), with walking between the tests and a
walk with the tone added. Exact for perfect tests on a line.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

LEFT, RIGHT = 0, 1


@dataclass(frozen=True)
class PerfectLine:
    """Masses and minutes of a line with gaps 0..n and points 0..n + 1.

    `gap` (n + 1), `point` (n + 2, the outer two 0), `box_min` (n + 2), `walk_min` (n + 2 rows),
    `pinpoint_min`: for each gap the minutes to end there from its left and its right end.
    """

    gap: Sequence[float]
    point: Sequence[float]
    box_min: Sequence[float]
    walk_min: Sequence[Sequence[float]]
    pinpoint_min: Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Best:
    """Expected minutes, and the box to open first; None where no box is opened."""

    minutes: float
    first_box: int | None


def box_only(line: PerfectLine, *, start: int = 0) -> Best:
    """Return the best way by opening boxes, then pinpointing within one gap."""
    gaps = len(line.gap)

    @cache
    def mass(i: int, j: int) -> float:
        return sum(line.gap[i : j + 1]) + sum(line.point[i + 1 : j + 1])

    @cache
    def best(i: int, j: int, end: int) -> float:
        if i == j:
            return line.gap[i] * line.pinpoint_min[i][end]
        here = i if end == LEFT else j + 1
        return min(after(i, j, here, box) for box in range(i + 1, j + 1))

    def after(i: int, j: int, here: int, box: int) -> float:
        cost = line.walk_min[here][box] + line.box_min[box]
        return mass(i, j) * cost + best(i, box - 1, RIGHT) + best(box, j, LEFT)

    last = gaps - 1
    if gaps == 1:
        return Best(line.gap[0] * line.pinpoint_min[0][LEFT], None)
    prices = {box: after(0, last, start, box) for box in range(1, gaps)}
    # Equal ways differ in the last binary digit: the box nearer the controller goes first.
    first = min(prices, key=lambda box: (round(prices[box], 9), box))
    return Best(prices[first], first)


@dataclass(frozen=True)
class Tone:
    """A tone: minutes to set up, to walk each gap, and the mean minutes to a fault in it."""

    setup_min: float
    full_min: Sequence[float]
    mean_from_left_min: Sequence[float]
    detects: float = 1.0


def boxes_and_tone(line: PerfectLine, tone: Tone) -> float:
    """Return the best expected minutes from point 0, by boxes and walks from either end.

    A walk over some gaps settles the point at which it stops. Misses are priced by their mean
    number of passes, (1 - detects) / detects.
    """
    gaps = len(line.gap)
    again = (1 - tone.detects) / tone.detects

    @cache
    def mass(i: int, j: int) -> float:
        return sum(line.gap[i : j + 1]) + sum(line.point[i + 1 : j + 1])

    @cache
    def best(i: int, j: int, end: int) -> float:
        here = i if end == LEFT else j + 1
        ways = [
            mass(i, j) * (line.walk_min[here][box] + line.box_min[box])
            + best(i, box - 1, RIGHT)
            + best(box, j, LEFT)
            for box in range(i + 1, j + 1)
        ]
        to_left, to_right = line.walk_min[here][i], line.walk_min[here][j + 1]
        ways += [mass(i, j) * to_left + walk_right(i, j, stop) for stop in range(i + 1, j + 2)]
        ways += [mass(i, j) * to_right + walk_left(i, j, stop) for stop in range(i, j + 1)]
        return min(ways)

    def walk_right(i: int, j: int, stop: int) -> float:
        minutes, spent, covered = 0.0, 0.0, 0.0
        for g in range(i, stop):
            minutes += line.gap[g] * (spent + tone.mean_from_left_min[g])
            covered += line.gap[g]
            spent += tone.full_min[g]
            if g + 1 <= j:
                minutes += line.point[g + 1] * spent
                covered += line.point[g + 1]
        return _settle(minutes, spent, covered, mass(i, j)) + (
            best(stop, j, LEFT) if stop <= j else 0.0
        )

    def walk_left(i: int, j: int, stop: int) -> float:
        minutes, spent, covered = 0.0, 0.0, 0.0
        for g in range(j, stop - 1, -1):
            minutes += line.gap[g] * (spent + tone.full_min[g] - tone.mean_from_left_min[g])
            covered += line.gap[g]
            spent += tone.full_min[g]
            if g > i:
                minutes += line.point[g] * spent
                covered += line.point[g]
        return _settle(minutes, spent, covered, mass(i, j)) + (
            best(i, stop - 1, RIGHT) if stop > i else 0.0
        )

    def _settle(minutes: float, full: float, covered: float, whole: float) -> float:
        return whole * tone.setup_min + minutes + covered * again * full + (whole - covered) * full

    return best(0, gaps - 1, LEFT)
