"""How long a search takes, as a distribution: from three prices of one plan.

The plan prices its best action as log(sum of mass x exp(k x minutes)) / k for a dislike k. With
almost none, that tells how much mass is priced at all (a cause that no test shows is not); with a
little, the mean; with the plan's own, how far the minutes spread. The gamma distribution that has
both stands for the minutes. Of simulated searches in the standard world some nine of ten end under
its nine-of-ten figure (`tests/bench/bench_minutes.py` holds 88 to 92 %).

Source: log E exp(k T) = -shape x log(1 - k x scale) of a gamma distribution.
"""

from dataclasses import dataclass, replace
from math import log1p

from faults.locating.engines.options import Option, Stand
from faults.locating.engines.searching import Searcher
from sites.kernel.lazily import lazily

optimize = lazily("scipy.optimize")
special = lazily("scipy.special")

# So little that only the mass counts, and so little that only the mean does.
MASS_PER_MIN, MEAN_PER_MIN = 1e-9, 1e-5
NINE_OF_TEN = 0.9
# A spread below this share of the mean is none.
LEAST_SPREAD = 1e-4


@dataclass(frozen=True)
class Minutes:
    """Minutes of one search: the mean, what is most likely, and what nine of ten end under."""

    mean: float
    most_likely: float
    nine_of_ten: float


def minutes_of(searcher: Searcher, stand: Stand | None = None) -> Minutes:
    """Return how long the search takes from here to the fault.

    Raises:
        Contradiction: its readings leave no explanation.
        LookupError: nothing can be done from here.
    """
    here, dislike = stand or Stand(), searcher.assumed.dislike_per_min
    best = min(searcher.plan(here), key=lambda option: option.minutes, default=None)
    if best is None:
        raise LookupError("Expected something to do, got no option")
    mass = _log_sum(searcher, here, best, MASS_PER_MIN)
    mean = (_log_sum(searcher, here, best, MEAN_PER_MIN) - mass) / MEAN_PER_MIN
    return spread(mean, best.minutes - mass / dislike, dislike)


def _log_sum(searcher: Searcher, here: Stand, best: Option, dislike_per_min: float) -> float:
    """Return the log of the sum of mass x exp(dislike x minutes) if this action goes first."""
    other = replace(searcher, assumed=replace(searcher.assumed, dislike_per_min=dislike_per_min))
    same = next((each for each in other.plan(here) if each.action == best.action), None)
    if same is None:
        raise LookupError(f"Expected a price of {best.action}, got none")
    return same.minutes * dislike_per_min


def spread(mean: float, disliked: float, dislike_per_min: float) -> Minutes:
    """Return the gamma distribution with this mean and this price under dislike, both in minutes.

    Raises:
        ValueError: the mean or the dislike is not above 0.
    """
    if not (mean > 0 and dislike_per_min > 0):
        raise ValueError(f"Expected mean and dislike > 0, got {mean}, {dislike_per_min}")
    if disliked <= mean * (1 + LEAST_SPREAD):
        return Minutes(mean, mean, mean)

    def too_long(scale: float) -> float:
        return -mean / scale * log1p(-scale * dislike_per_min) - disliked * dislike_per_min

    scale = float(optimize.brentq(too_long, 1e-9 * mean, (1 - 1e-12) / dislike_per_min))
    shape = mean / scale
    nine = float(special.gammaincinv(shape, NINE_OF_TEN)) * scale
    return Minutes(mean, max(0.0, shape - 1) * scale, nine)
