"""Where a box is: taped ties and a position put together by least squares.

Each observation has its own standard error; the covariance is (A'WA)^-1 by those, never scaled by
how well they happen to agree, because one to three spare observations say little of it. Whether
they agree is a test of its own.

Source: weighted least squares, textbook surveying. How far off it may be is in `circles`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import hypot, log, sqrt
from typing import TYPE_CHECKING

from sites.kernel.lazily import lazily, np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

stats = lazily("scipy.stats")


# Observations that fit so badly are not put together: one of them is wrong.
LEAST_P = 0.001
MOST_STEPS, CLOSE_FT = 200, 1e-9
# A step that would fit worse is halved so often; two ends of the search so near are one place.
MOST_HALVES, SAME_FT = 30, 0.01
# Radius of the circle that holds 68 % of a circular normal, in its standard errors.
AT_68_PERCENT = sqrt(-2 * log(1 - 0.68))


class UnableToFix(ValueError):
    """Too little is known for a place, or what is known lies in one line."""


@dataclass(frozen=True, slots=True)
class Tie:
    """A taped distance from a mark at x feet east and y feet north."""

    x: float
    y: float
    tape_ft: float
    sd_ft: float


@dataclass(frozen=True, slots=True)
class Position:
    """A place by satellite, with the standard error of each of its two coordinates."""

    x: float
    y: float
    sd_ft: float


@dataclass(frozen=True, slots=True)
class Fixed:
    """A place, the covariance of its coordinates, and how well the observations agree.

    `mirror` is the other place that two ties alone allow, `rivals` are all places beside this one
    that fit better than anything around them. Where observations contradict each other
    `worst_tie` is the one that is most likely wrong, None = the position; it misses the place by
    `worst_ft` in feet.
    """

    x: float
    y: float
    var_x: float
    var_y: float
    cov: float
    chi_square: float
    spare: int
    mirror: tuple[float, float] | None = None
    worst_tie: int | None = None
    worst_ft: float = 0.0
    rivals: tuple[tuple[float, float], ...] = ()

    @property
    def p(self) -> float:
        """How likely observations fit as badly as these, or worse; 1 where none is spare."""
        return float(stats.chi2.sf(self.chi_square, self.spare)) if self.spare > 0 else 1.0

    @property
    def is_contradiction(self) -> bool:
        """Whether one of the observations must be wrong."""
        return self.p < LEAST_P


def fix(ties: Sequence[Tie], position: Position | None = None) -> Fixed:
    """Return the place by these ties and this position.

    Raises:
        UnableToFix: one tie alone, or nothing; or all that is known lies in one line.
    """
    found = _best(ties, position)
    if not found.is_contradiction:
        return found
    wrong = _wrong(ties, position)
    if wrong is not None:
        tie = ties[wrong]
        off = abs(hypot(found.x - tie.x, found.y - tie.y) - tie.tape_ft)
        return replace(found, worst_tie=wrong, worst_ft=off)
    off = 0.0 if position is None else hypot(found.x - position.x, found.y - position.y)
    return replace(found, worst_ft=off)


def _best(ties: Sequence[Tie], position: Position | None) -> Fixed:
    """The place that fits best, with its rivals."""
    if position is None and len(ties) < 2:
        raise UnableToFix("Expected a position or two ties, got less")
    ends: list[Fixed] = []
    for one in sorted(_ends(ties, position), key=lambda each: each.chi_square):
        if all(hypot(one.x - end.x, one.y - end.y) > SAME_FT for end in ends):
            ends.append(one)
    best, *others = ends
    rivals = tuple((one.x, one.y) for one in others)
    is_either = position is None and len(ties) == 2
    return replace(best, rivals=rivals, mirror=rivals[0] if is_either and rivals else None)


def _ends(ties: Sequence[Tie], position: Position | None) -> list[Fixed]:
    """Where the search ends from each place at which it may begin.

    One beginning is not enough: from a weak position it ends on the wrong side of two marks.
    """
    starts = [(position.x, position.y)] if position else []
    refusal = UnableToFix("Expected marks that do not lie in one line with the place")
    for one, other in combinations(ties, 2):
        try:
            starts += _meet(one, other)
        except UnableToFix as problem:
            refusal = problem
    ends = []
    for start in starts:
        try:
            ends.append(_from(start, ties, position))
        except UnableToFix as problem:
            refusal = problem
    if not ends:
        raise refusal
    return ends


def _wrong(ties: Sequence[Tie], position: Position | None) -> int | None:
    """Which tie is wrong; None = the position.

    The one without which the rest agrees; of several the tie, because it takes the least with it.
    """
    judged: list[tuple[bool, int, float, int]] = []
    for n in range(len(ties) + (position is not None)):
        is_tie = n < len(ties)
        rest = [tie for k, tie in enumerate(ties) if k != n] if is_tie else ties
        try:
            left = _best(rest, position if is_tie else None)
        except UnableToFix:
            continue
        judged.append((left.is_contradiction, -left.spare, left.chi_square, n))
    wrong = min(judged)[3] if judged else len(ties)
    return wrong if wrong < len(ties) else None


def _meet(one: Tie, other: Tie) -> list[tuple[float, float]]:
    """Where two circles meet; where they do not, the place between them and beside it."""
    across, up = other.x - one.x, other.y - one.y
    apart = hypot(across, up)
    if apart == 0:
        raise UnableToFix("Expected two different marks, got one twice")
    along = (one.tape_ft**2 - other.tape_ft**2 + apart**2) / (2 * apart)
    beside = sqrt(max(one.tape_ft**2 - along**2, 0.25))
    x, y = one.x + along * across / apart, one.y + along * up / apart
    off = -up / apart * beside, across / apart * beside
    return [(x + off[0], y + off[1]), (x - off[0], y - off[1])]


def _from(start: tuple[float, float], ties: Sequence[Tie], position: Position | None) -> Fixed:
    """Gauss-Newton from a place."""
    at = np.array(start, dtype=np.float64)
    for _ in range(MOST_STEPS):
        slopes, misses = _observed(at, ties, position)
        step = np.linalg.lstsq(slopes, -misses, rcond=None)[0]
        for _half in range(MOST_HALVES):
            after = _observed(at + step, ties, position)[1]
            if after @ after <= misses @ misses:
                break
            step = step / 2
        at = at + step
        if hypot(*step) < CLOSE_FT:
            break
    slopes, misses = _observed(at, ties, position)
    normal = slopes.T @ slopes
    if np.linalg.cond(normal) > 1e12:
        raise UnableToFix("Expected marks that do not lie in one line with the place")
    spread = np.linalg.inv(normal)
    spare = len(misses) - 2
    return Fixed(
        float(at[0]), float(at[1]), float(spread[0, 0]), float(spread[1, 1]), float(spread[0, 1]),
        float(misses @ misses), spare,
    )  # fmt: skip


def _observed(
    at: "Floats", ties: Sequence[Tie], position: Position | None
) -> tuple["Floats", "Floats"]:
    """Each observation's slopes and its miss, both in its standard errors."""
    slopes, misses = [], []
    for tie in ties:
        across, up = at[0] - tie.x, at[1] - tie.y
        feet = max(hypot(across, up), 1e-6)
        slopes.append((across / feet / tie.sd_ft, up / feet / tie.sd_ft))
        misses.append((feet - tie.tape_ft) / tie.sd_ft)
    if position is not None:
        sd = position.sd_ft
        slopes += [(1 / sd, 0.0), (0.0, 1 / sd)]
        misses += [(at[0] - position.x) / sd, (at[1] - position.y) / sd]
    return np.array(slopes), np.array(misses)


def sd_of_accuracy(accuracy_ft: float) -> float:
    """Return the standard error of each coordinate by what a phone calls its accuracy.

    Taken as the radius that holds 68 %, which is what phones mostly mean: the cautious reading.
    """
    return accuracy_ft / AT_68_PERCENT
