"""How long a kind of battery set lasts: from sets that were found empty or still charged.

Sets wear out, so lives are Weibull with a shape of 4. Before any set of a kind is known, its scale
is log-normal about the company's own rule. A set that was found empty died at the latest on that
day; one that still had charge is censored; one of which nobody said how it was found says nothing.

How long a timer waters and how much of its life is cold may make a life longer or shorter, for all
kinds by the same share. Before the company's own sets show it, neither does anything: both effects
are normal about none. All of this is our own assumption, no source. What is not known of a set
moves neither effect.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from math import exp, log, log2

from sites.kernel.lazily import np

SHAPE = 4.0
# Standard deviation of the logarithm of the scale: three times in four it lies between two thirds
# of what the rule says and one and a half times that.
PRIOR_SD = 0.35
# And of what an effect adds to that logarithm: twice the hours of watering, and a life that is all
# cold against one that is not at all.
USE_SD, COLD_SD = 0.2, 0.4
# Less is as much as nothing: a timer opens its valve now and then whatever its schedule says.
LEAST_HOURS = 0.05
# So often may hours double or halve; beyond that nothing is concluded from what was seen.
MOST_DOUBLINGS = 2.0
# A set is due while this share of its kind still runs.
STILL_RUN = 0.9
# Where the scale may lie, in standard deviations from the rule; a grid is as good as exact here.
GRID = tuple(n / 20 for n in range(-140, 141))
BISECTIONS = 50
_STEPS, _CLOSE = 60, 1e-9


@dataclass(frozen=True, slots=True)
class Conditions:
    """What a set has to do; None = not known.

    Args:
        hours: of watering a day, of all valves of the timer, over the days that the set is in.
        cold: share of those days that is cold, from 0 to 1.

    Raises:
        ValueError: hours below 0, or a share that is none.
    """

    hours: float | None = None
    cold: float | None = None

    def __post_init__(self) -> None:
        if (self.hours or 0) < 0 or not 0 <= (self.cold or 0) <= 1:
            raise ValueError(f"Expected hours >= 0 and a share from 0 to 1, got {self}")

    @property
    def doublings(self) -> float | None:
        """The hours on a scale on which twice as many are one more."""
        return None if self.hours is None else log2(max(self.hours, LEAST_HOURS))


UNKNOWN = Conditions()


@dataclass(frozen=True, slots=True)
class Life:
    """One set: the days that it was in, whether it was found empty, and what it had to do."""

    days: int
    is_empty: bool
    conditions: Conditions = UNKNOWN

    def __post_init__(self) -> None:
        if self.days <= 0:
            raise ValueError(f"Expected days > 0, got {self.days}")


@dataclass(frozen=True, slots=True)
class Fit:
    """What the sets of one kind say: how many, how many were empty, and when one is due that has
    to do what is usual."""

    total: int
    empty: int
    due_days: int


@dataclass(frozen=True, slots=True)
class Effect:
    """What one condition does to lives.

    Args:
        sets: of how many sets it is known.
        usual: its mean over those; None where there are none.
        log_life: what one more of it adds to the logarithm of a life.
        not_known: what it adds to the life of a set of which it is not known: as much as to those
            of which it is known, taken together. Some of them last far longer than usual, and
            weigh more by that than those that last far shorter.
    """

    sets: int = 0
    usual: float | None = None
    log_life: float = 0.0
    not_known: float = 0.0

    @property
    def percent(self) -> int:
        """By how many per cent one more of it makes a life longer, or shorter where below 0."""
        return round(100 * (exp(self.log_life) - 1))


@dataclass(frozen=True, slots=True)
class Fits:
    """What the company's own sets say of each kind, and of what makes all of them last longer.

    Args:
        use: by doublings of the hours of watering.
        cold: by the share of the days that is cold.
    """

    kinds: Mapping[str, Fit]
    use: Effect = Effect()
    cold: Effect = Effect()

    def due_days(self, kind: str, conditions: Conditions) -> int | None:
        """Return when a set is due that has to do this; None = of its kind nothing is known."""
        fit = self.kinds.get(kind)
        if fit is None:
            return None
        both = ((conditions.doublings, self.use), (conditions.cold, self.cold))
        more = sum(_beyond(value, effect) * effect.log_life for value, effect in both)
        return max(1, round(fit.due_days * exp(more)))


def fit_lives(lives: Mapping[str, Sequence[Life]], *, prior_days: int) -> Fits:
    """Return when a set of each kind is due, so that nine of ten still run then.

    Args:
        lives: by kind.
        prior_days: when one is due where nothing is known: the company's own rule.

    Raises:
        ValueError: the prior has no days.
    """
    if prior_days <= 0:
        raise ValueError(f"Expected prior_days > 0, got {prior_days}")
    # In units of the scale in the middle of the prior, so that no power grows large.
    unit = prior_days / _prior_quantile()
    use, cold = _effects(lives, unit)
    kinds = {}
    for kind, some in lives.items():
        empty = sum(life.is_empty for life in some)
        worn = sum((life.days / unit / _longer(life, use, cold)) ** SHAPE for life in some)
        kinds[kind] = Fit(len(some), empty, max(1, round(unit * _quantile(empty, worn))))
    return Fits(kinds, use, cold)


def _longer(life: Life, use: Effect, cold: Effect) -> float:
    """Return how many times as long as usual such a set lasts."""
    both = ((life.conditions.doublings, use), (life.conditions.cold, cold))
    return exp(
        sum(
            effect.not_known if value is None else _beyond(value, effect) * effect.log_life
            for value, effect in both
        )
    )


def _beyond(value: float | None, effect: Effect) -> float:
    """Return how far a condition is from what is usual; what is not known is as usual."""
    if value is None or effect.usual is None:
        return 0.0
    return min(MOST_DOUBLINGS, max(-MOST_DOUBLINGS, value - effect.usual))


def _usual(values: Sequence[float | None]) -> Effect:
    known = [value for value in values if value is not None]
    return Effect(len(known), sum(known) / len(known)) if known else Effect()


def _effects(lives: Mapping[str, Sequence[Life]], unit: float) -> tuple[Effect, Effect]:
    """Return the likeliest effects of hours and cold, with the scales of all kinds beside them.

    The logarithm of that likelihood is concave, so Newton's steps lead to its only top.
    """
    rows = [
        (number, life)
        for number, some in enumerate(lives.values())
        for life in some
        if life.conditions != UNKNOWN
    ]
    use = _usual([life.conditions.doublings for _, life in rows])
    cold = _usual([life.conditions.cold for _, life in rows])
    # One column for each kind's scale, then the two effects, each in its standard deviations.
    size = len(lives)
    table = np.zeros((len(rows), size + 2))
    for row, (number, life) in enumerate(rows):
        table[row, number] = PRIOR_SD
        table[row, size] = USE_SD * _beyond(life.conditions.doublings, use)
        table[row, size + 1] = COLD_SD * _beyond(life.conditions.cold, cold)
    if not table[:, size:].any():
        return use, cold
    empty = np.array([life.is_empty for _, life in rows], float)
    worn = np.array([(life.days / unit) ** SHAPE for _, life in rows])

    def rises(at: "np.ndarray") -> float:
        logs = table @ at
        return float(-SHAPE * empty @ logs - worn @ np.exp(-SHAPE * logs) - at @ at / 2)

    at = np.zeros(size + 2)
    for _n in range(_STEPS):
        now = worn * np.exp(-SHAPE * (table @ at))
        slope = table.T @ (SHAPE * (now - empty)) - at
        bend = table.T @ (table * (SHAPE**2 * now)[:, None]) + np.eye(size + 2)
        step = np.linalg.solve(bend, slope)
        share = 1.0
        while rises(at + share * step) < rises(at) and share > _CLOSE:
            share /= 2
        at = at + share * step
        if float(abs(step).max()) < _CLOSE:
            break
    by_use, by_cold = float(at[size]) * USE_SD, float(at[size + 1]) * COLD_SD
    return (
        _known(use, by_use, [life.conditions.doublings for _, life in rows]),
        _known(cold, by_cold, [life.conditions.cold for _, life in rows]),
    )


def _known(effect: Effect, log_life: float, values: Sequence[float | None]) -> Effect:
    powers = [
        exp(SHAPE * log_life * _beyond(value, effect)) for value in values if value is not None
    ]
    together = log(sum(powers) / len(powers)) / SHAPE if powers else 0.0
    return Effect(effect.sets, effect.usual, log_life, together)


@cache
def _prior_quantile() -> float:
    return _quantile(0, 0.0)


def _quantile(empty: int, worn: float) -> float:
    """Return by when one of ten has died, over all scales that the sets leave likely."""
    scales = [exp(PRIOR_SD * z) for z in GRID]
    logs = [
        -z * z / 2 - SHAPE * empty * log(scale) - worn / scale**SHAPE
        for z, scale in zip(GRID, scales, strict=True)
    ]
    top = max(logs)
    weights = [exp(each - top) for each in logs]
    whole = sum(weights)
    low, high = 0.0, 2 * scales[-1]
    for _n in range(BISECTIONS):
        middle = (low + high) / 2
        alive = sum(
            weight * exp(-((middle / scale) ** SHAPE))
            for weight, scale in zip(weights, scales, strict=True)
        )
        if alive > STILL_RUN * whole:
            low = middle
        else:
            high = middle
    return (low + high) / 2
