"""Where a box is: taped ties and a position put together by least squares, with an error circle.

Each observation has its own standard error; the covariance is (A'WA)^-1 by those, never scaled by
how well they happen to agree, because one to three spare observations say little of it. Whether
they agree is a test of its own.

Sources: weighted least squares and error ellipse, textbook surveying; circle of probability as the
integral of the circular normal over its angle.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot, log, pi, sqrt
from typing import TYPE_CHECKING, Any

from sites.kernel.lazily import lazily, np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    Floats = Any

optimize = lazily("scipy.optimize")
stats = lazily("scipy.stats")

# Observations that fit so badly are not put together: one of them is wrong.
LEAST_P = 0.001
MOST_STEPS, CLOSE_FT = 200, 1e-9
ANGLES = 720
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

    `mirror` is the other place that two ties alone allow. Where they contradict each other
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

    @property
    def p(self) -> float:
        """How likely observations fit as badly as these, or worse; 1 where none is spare."""
        return float(stats.chi2.sf(self.chi_square, self.spare)) if self.spare > 0 else 1.0

    @property
    def is_contradiction(self) -> bool:
        """Whether one of the observations must be wrong."""
        return self.p < LEAST_P

    @property
    def axes(self) -> tuple[float, float]:
        """The long and the short half axis of the error ellipse, in feet."""
        half, apart = (self.var_x + self.var_y) / 2, (self.var_x - self.var_y) / 2
        swing = hypot(apart, self.cov)
        return sqrt(half + swing), sqrt(max(half - swing, 0.0))

    @property
    def azimuth(self) -> float:
        """The direction of the long axis, in degrees clockwise from north, 0 to 180."""
        turned = np.degrees(np.arctan2(2 * self.cov, self.var_y - self.var_x)) / 2
        return float(turned % 180)

    def radius(self, chance: float) -> float:
        """Return the radius of the circle that holds it with this chance, in feet."""
        long, short = self.axes
        short = max(short, 1e-6 * long)
        angles = np.linspace(0, 2 * pi, ANGLES, endpoint=False)
        squeezed = np.cos(angles) ** 2 / long**2 + np.sin(angles) ** 2 / short**2

        def held(radius: float) -> float:
            inside = (1 - np.exp(-(radius**2) * squeezed / 2)) / squeezed
            return float(inside.mean() / (long * short)) - chance

        return float(optimize.brentq(held, 0.0, 10 * long))


def fix(ties: Sequence[Tie], position: Position | None = None) -> Fixed:
    """Return the place by these ties and this position.

    Raises:
        UnableToFix: one tie alone, or nothing; or all that is known lies in one line.
    """
    best, mirror = _best(ties, position)
    found = replace(best, mirror=mirror)
    if not found.is_contradiction:
        return found
    wrong = _wrong(ties, position)
    if wrong is not None:
        tie = ties[wrong]
        off = abs(hypot(found.x - tie.x, found.y - tie.y) - tie.tape_ft)
        return replace(found, worst_tie=wrong, worst_ft=off)
    off = 0.0 if position is None else hypot(found.x - position.x, found.y - position.y)
    return replace(found, worst_ft=off)


def _best(
    ties: Sequence[Tie], position: Position | None
) -> tuple[Fixed, tuple[float, float] | None]:
    """The place that fits best, and the other one that two ties alone allow."""
    if position is None and len(ties) < 2:
        raise UnableToFix("Expected a position or two ties, got less")
    starts = [(position.x, position.y)] if position else _meet(ties[0], ties[1])
    found = sorted((_from(at, ties, position) for at in starts), key=lambda one: one.chi_square)
    is_either = position is None and len(ties) == 2
    return found[0], (found[1].x, found[1].y) if is_either else None


def _wrong(ties: Sequence[Tie], position: Position | None) -> int | None:
    """Which tie is wrong; None = the position.

    The one without which the rest agrees; of several the tie, because it takes the least with it.
    """
    judged: list[tuple[bool, int, float, int]] = []
    for n in range(len(ties) + (position is not None)):
        is_tie = n < len(ties)
        rest = [tie for k, tie in enumerate(ties) if k != n] if is_tie else ties
        try:
            left, _mirror = _best(rest, position if is_tie else None)
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


def _observed(at: Floats, ties: Sequence[Tie], position: Position | None) -> tuple[Floats, Floats]:
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
