"""Were the bands honest, and was the forecast better than a simple rule?

A forecast is made as it would have been on past days, with what was known then, and held against
what came. Beside it stand "as many as now" and a straight line through the last year, with bands
of their own, by the same score: the width of a 90 % band, and 20 times by how much it was missed
(the interval score of Gneiting and Raftery 2007, not multiplied by half of the level).

The continuous ranked probability score (CRPS) holds all of a forecast against what came, not its
band alone: E|X - y| - E|X - X'| / 2, in stations; of a single number it is how far that is off.
Source: Gneiting and Raftery (2007), from memory; tests hold published values.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from reports.ahead.engines.forecast import Ahead, learn, look_ahead
from reports.ahead.engines.past import MONTH, Past
from reports.ahead.engines.queue import WEEK
from sites.kernel.lazily import lazily, np

stats = lazily("scipy.stats")

MONTHS_AHEAD = (1, 3, 6)
ORIGINS, LEVEL = 12, 0.9
# Fewer forecasts do not tell an honest band from another (binomial: 15 to 20 of 20 are usual).
LEAST_FORECASTS = 20
MOST_WIDENED = 5.0
_LINE_MONTHS = 12
# So many points stand for the distribution of a simple rule.
_POINTS = 199


class Band(NamedTuple):
    """A middle and a 90 % band."""

    middle: float
    low: float
    high: float


class Rule(NamedTuple):
    """What a simple rule says: a middle, and how far off it may be, as of Student's t.

    `freedom` None stands for the normal distribution. No count is below 0.
    """

    middle: float
    spread: float
    freedom: int | None = None

    @property
    def band(self) -> Band:
        """Its 90 % band."""
        low, high = self.points(np.array([(1 - LEVEL) / 2, (1 + LEVEL) / 2])).tolist()
        return Band(max(self.middle, 0.0), low, high)

    def points(self, levels: "np.ndarray") -> "np.ndarray":
        """Return the counts that are not exceeded with these chances."""
        shape = stats.norm if self.freedom is None else stats.t(self.freedom)
        found: np.ndarray = np.maximum(self.middle + self.spread * shape.ppf(levels), 0.0)
        return found


@dataclass(frozen=True, slots=True)
class Held:
    """One forecast held against what came; `half` is its 50 % band.

    `crps` are the scores of all that ours, "as many as now" and the line said.
    """

    months: int
    ours: Band
    half: tuple[float, float]
    same: Band
    line: Band
    came: float
    crps: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Score:
    """How one kind of forecast did: mean error, mean scores, how often its band held."""

    error: float
    score: float
    inside: int
    crps: float


@dataclass(frozen=True)
class Scores:
    """How all did over the same forecasts."""

    forecasts: int
    ours: Score
    same: Score
    line: Score
    inside_half: int

    @property
    def usual(self) -> tuple[int, int]:
        """How often an honest 90 % band holds, 19 times of 20."""
        low, high = stats.binom.ppf([0.025, 0.975], self.forecasts, LEVEL)
        return int(low), int(high)


def interval_score(band: Band, came: float) -> float:
    """Return the score of one band; smaller is better."""
    missed = max(band.low - came, 0.0) + max(came - band.high, 0.0)
    return band.high - band.low + 2 / (1 - LEVEL) * missed


def crps(points: "np.ndarray", came: float) -> float:
    """Return the score of a forecast given by points that are as likely as each other."""
    sorted_points = np.sort(points)
    n = len(sorted_points)
    # Of all pairs the k-th point is the larger of k, and the smaller of the rest.
    apart = float((sorted_points * (2 * np.arange(1, n + 1) - n - 1)).sum()) / n**2
    return float(np.abs(sorted_points - came).mean()) - apart


def held_against(
    months: int, ahead: Ahead, counts: Sequence[float], came: float, *, factor: float = 1.0
) -> Held:
    """Hold a forecast and both simple rules against what came after so many months.

    Args:
        counts: by month, up to the day of the forecast.
        factor: by which the bands of the forecast are widened.
    """
    low, quarter, middle, three, high = widened(ahead.band(MONTH * months), factor)
    plays = ahead.played.off(MONTH * months).astype(np.float64)
    plays = np.maximum(middle + factor * (plays - middle), 0.0)
    same, line = as_many_as_now(counts, months), straight_line(counts, months)
    levels = (np.arange(_POINTS) + 0.5) / _POINTS
    rules = [crps(each.points(levels), came) for each in (same, line)]
    scores = (crps(plays, came), rules[0], rules[1])
    return Held(
        months, Band(middle, low, high), (quarter, three), same.band, line.band, came, scores
    )


def as_many_as_now(counts: Sequence[float], months: int) -> Rule:
    """Say that nothing changes, with a band from how much it changed over as many months."""
    now = counts[-1]
    changes = [b - a for a, b in zip(counts, counts[months:], strict=False)]
    spread = float(np.sqrt(np.mean(np.square(changes)))) if changes else float(np.sqrt(now))
    return Rule(now, spread)


def straight_line(counts: Sequence[float], months: int) -> Rule:
    """Draw the last year on as a line, with the usual band of a prediction."""
    last = np.array(counts[-_LINE_MONTHS:], float)
    n = len(last)
    if n < 4:
        return as_many_as_now(counts, months)
    x = np.arange(n, dtype=float)
    slope, level = np.polyfit(x, last, 1)
    left = last - (level + slope * x)
    there = n - 1 + months
    middle = level + slope * there
    wide = 1 + 1 / n + (there - x.mean()) ** 2 / ((x - x.mean()) ** 2).sum()
    spread = float(np.sqrt((left**2).sum() / (n - 2) * wide))
    return Rule(float(middle), spread, n - 2)


def monthly(past: Past, until: float = 0.0, months: int = 30) -> list[float]:
    """Return how many were off at the end of each month up to a day, as far as records go."""
    days = until - MONTH * np.arange(months)[::-1]
    return [float(past.off(day)) for day in days if day >= past.since]


def _nothing(_done: int, _of: int) -> None:
    """Nobody has to know how far it is."""


def back_test(past: Past, *, seed: int, told: Callable[[int, int], None] = _nothing) -> list[Held]:
    """Make the forecast of each of the last twelve months again, and hold it against what came.

    Args:
        told: called before each of them: how many are done, of how many.
    """
    held = []
    weeks = int(np.ceil(max(MONTHS_AHEAD) * MONTH / WEEK)) + 1
    for back in range(ORIGINS, 0, -1):
        told(ORIGINS - back, ORIGINS)
        if past.since > -MONTH * back:
            continue
        then = past.known_on(-MONTH * back)
        learned = learn(then, np.random.default_rng([seed, back]))
        if learned is None:
            continue
        ahead = look_ahead(then, learned, weeks=weeks, seed=seed + back)
        counts = monthly(then)
        for months in MONTHS_AHEAD:
            if months <= back:
                came = past.off(-MONTH * (back - months))
                held.append(held_against(months, ahead, counts, came))
    return held


def widening(held: Sequence[Held]) -> float:
    """Return by which factor bands are widened, so that they would have held 90 % of past times.

    It is 1 where they held as often as honest ones do, and where too few were made to tell.
    """
    sums = score(held)
    if sums is None or sums.forecasts < LEAST_FORECASTS or sums.ours.inside >= sums.usual[0]:
        return 1.0
    needed = sorted(_needed(one.ours, one.came) for one in held)
    at = min(int(np.ceil(LEVEL * (len(needed) + 1))), len(needed)) - 1
    return float(np.clip(needed[at], 1.0, MOST_WIDENED))


def _needed(band: Band, came: float) -> float:
    """Return by how much a band has to be wider to hold; half a station is as good as none."""
    far = came - band.middle
    side = band.high - band.middle if far > 0 else band.middle - band.low
    return abs(far) / max(side, 0.5)


def widened(points: Sequence[float], factor: float) -> list[float]:
    """Return the points of a band, its middle in the middle, farther apart by a factor."""
    middle = points[len(points) // 2]
    return [max(middle + factor * (point - middle), 0.0) for point in points]


def score(held: Sequence[Held]) -> Scores | None:
    """Sum up; None where nothing was held against anything."""
    if not held:
        return None
    return Scores(
        len(held),
        _score([(each.ours, each.came, each.crps[0]) for each in held]),
        _score([(each.same, each.came, each.crps[1]) for each in held]),
        _score([(each.line, each.came, each.crps[2]) for each in held]),
        sum(bool(each.half[0] <= each.came <= each.half[1]) for each in held),
    )


def _score(rows: Sequence[tuple[Band, float, float]]) -> Score:
    return Score(
        sum(abs(band.middle - came) for band, came, _ in rows) / len(rows),
        sum(interval_score(band, came) for band, came, _ in rows) / len(rows),
        sum(bool(band.low <= came <= band.high) for band, came, _ in rows),
        sum(each for _band, _came, each in rows) / len(rows),
    )
