"""What can be true of a pair of wires, and how likely each is after a meter showed something.

OL is not a number: each truth has a likelihood of its own for it.

Source: Bayes' rule.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import hypot, inf, log, pi, sqrt
from typing import TYPE_CHECKING, Any

from sites.kernel.lazily import lazily, np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    Floats = Any

special = lazily("scipy.special")


class Truth(StrEnum):
    """What can be true of the pair of wires."""

    SOUND = "sound"
    OPEN = "open"
    SHORT = "short"
    POOR = "poor splice"
    OTHER = "another pair"
    TWO_COILS = "two coils"
    HIDDEN = "damage that ohms do not show"


@dataclass(frozen=True, slots=True)
class Near:
    """Ohms that scatter round a mean."""

    mean: float
    sd: float

    def log_density(self, ohms: Floats, meter_sd: float) -> Floats:
        """Return the log of the density of each reading, the meter's own scatter with it."""
        sd = hypot(self.sd, meter_sd)
        return -(((ohms - self.mean) / sd) ** 2) / 2 - log(sd * sqrt(2 * pi))


@dataclass(frozen=True, slots=True)
class Between:
    """Ohms that are anything between two values."""

    low: float
    high: float

    def log_density(self, ohms: Floats, meter_sd: float) -> Floats:
        """Return the log of the density of each reading, the meter's own scatter with it."""
        share = special.ndtr((self.high - ohms) / meter_sd) - special.ndtr(
            (self.low - ohms) / meter_sd
        )
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(share / (self.high - self.low)), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One thing that can be true, how likely it is, and what the meter shows then."""

    truth: Truth
    prior: float
    reads: Near | Between
    p_open: float = 0.0
    p_apart_open: float = 0.5


def posterior(
    hypotheses: Sequence[Hypothesis],
    ohms: float | None,
    meter_sd: float,
    *,
    apart_open: bool | None = None,
) -> dict[Truth, float]:
    """Return how likely each is after a reading.

    Args:
        ohms: None = over range, an open loop.
        apart_open: whether the ends read open before they were joined; None = nobody looked.
    """
    shown = None if ohms is None else np.array([ohms])
    found = posteriors(hypotheses, shown, meter_sd, apart_open)[:, 0]
    return {each.truth: float(share) for each, share in zip(hypotheses, found, strict=True)}


def posteriors(
    hypotheses: Sequence[Hypothesis],
    ohms: Floats | None,
    meter_sd: float,
    apart_open: bool | None,
) -> Floats:
    """Return how likely each hypothesis (rows) is after each reading (columns)."""
    logs = np.stack([_log_weight(each, ohms, meter_sd, apart_open) for each in hypotheses])
    # Where nothing that can be true explains it nothing was learned.
    is_lost = np.isneginf(logs.max(axis=0))
    logs[:, is_lost] = np.array([[_log(each.prior)] for each in hypotheses])
    weights = np.exp(logs - logs.max(axis=0))
    return np.asarray(weights / weights.sum(axis=0), dtype=np.float64)


def _log_weight(
    one: Hypothesis, ohms: Floats | None, meter_sd: float, apart_open: bool | None
) -> Floats:
    shown = np.array([_log(one.p_open)])
    if ohms is not None:
        shown = _log(1 - one.p_open) + one.reads.log_density(ohms, meter_sd)
    apart = 1.0 if apart_open is None else one.p_apart_open
    return _log(one.prior) + shown + _log(apart if apart_open is not False else 1 - apart)


def _log(chance: float) -> float:
    return log(chance) if chance > 0 else -inf
