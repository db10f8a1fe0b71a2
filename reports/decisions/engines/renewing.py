"""Does renewing a leg pay, how sure is that, and what does it cost to wait one season more.

A leg's faults a year are not known but given by their posterior, a gamma distribution. Flows come
at the end of each year, prices stay as they are today, the renewal lasts past the years looked
ahead, and nothing is left of it in the end.

"Renewing pays" and "waiting costs money" are different questions with different answers: renewing
pays where all years together save more than it costs, waiting costs where the coming year saves
more than the interest on that money.

Source: factors of engineering economy, and the gamma-Poisson identity, from memory; tests hold a
worked example whose figures came from two methods each.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf, log1p

from reports.hotspots.engines.worth import present_worth_of_annuity
from sites.kernel.lazily import lazily, np

stats = lazily("scipy.stats")
polynomials = lazily("numpy.polynomial.hermite_e")

# Points at which a cost that is known with an error is taken: exact for its first 30 moments.
_POINTS = 15
LEAST_SHARE = 0.05


@dataclass(frozen=True, slots=True)
class Leg:
    """What is known of one leg. Rates are faults of this leg a year.

    `shape` and `years_behind` are its posterior: the mean is shape / years_behind. `renewed_rate`
    is what it still has after a renewal, and `kept` the share of its own rate that stays besides.

    Raises:
        ValueError: a number that cannot be.
    """

    shape: float
    years_behind: float
    cost: float
    renewed_rate: float = 0.0
    kept: float = 0.0

    def __post_init__(self) -> None:
        if not (self.shape > 0 and self.years_behind > 0):
            raise ValueError(f"Expected shape, years > 0, got {self.shape}, {self.years_behind}")
        if not (self.cost >= 0 and self.renewed_rate >= 0 and 0 <= self.kept < 1):
            raise ValueError(f"Expected cost, rates >= 0 and kept < 1, got {self}")

    @property
    def rate(self) -> float:
        """Expected faults a year."""
        return self.shape / self.years_behind

    @property
    def avoided(self) -> float:
        """Faults a year that a renewal is expected to save; below 0 it would bring more."""
        return self.rate * (1 - self.kept) - self.renewed_rate


@dataclass(frozen=True)
class Money:
    """What one fault costs, with the error of that, and how years are weighed.

    Raises:
        ValueError: a number that cannot be.
    """

    fault_cost: float
    years: float
    interest: float
    fault_cost_se: float = 0.0

    def __post_init__(self) -> None:
        if not (self.fault_cost > 0 and self.years > 0):
            raise ValueError(f"Expected cost, years > 0, got {self.fault_cost}, {self.years}")
        if not (self.interest >= 0 and self.fault_cost_se >= 0):
            raise ValueError(f"Expected interest, error >= 0, got {self.interest}")

    @cached_property
    def annuity(self) -> float:
        """What 1 a year is worth today (the factor P/A)."""
        return present_worth_of_annuity(self.interest, self.years)

    @cached_property
    def costs(self) -> list[tuple[float, float]]:
        """What one fault may cost, with the weight of each, where it is known with an error."""
        if not self.fault_cost_se:
            return [(self.fault_cost, 1.0)]
        at, weights = polynomials.hermegauss(_POINTS)
        costs = np.maximum(self.fault_cost + self.fault_cost_se * at, LEAST_SHARE * self.fault_cost)
        return list(zip(costs.tolist(), (weights / weights.sum()).tolist(), strict=True))


@dataclass(frozen=True)
class Weighed:
    """What renewing a leg comes to. Money is of today.

    `payback_years` is `inf` where the saving never pays the interest on the cost.
    """

    saved_a_year: float
    gain: float
    chance_pays: float
    chance_waiting_costs: float
    waiting_cost: float
    payback_years: float
    break_even_rate: float


def weigh(leg: Leg, money: Money) -> Weighed:
    """Weigh renewing a leg now against mending it as it breaks."""
    saved = money.fault_cost * leg.avoided
    return Weighed(
        saved_a_year=saved,
        gain=saved * money.annuity - leg.cost,
        chance_pays=_chance(leg, money, leg.cost / money.annuity),
        chance_waiting_costs=_chance(leg, money, leg.cost * money.interest),
        waiting_cost=(saved - leg.cost * money.interest) / (1 + money.interest),
        payback_years=payback_years(saved, leg.cost, money.interest),
        break_even_rate=_turns_at(leg, leg.cost / money.annuity / money.fault_cost),
    )


def _chance(leg: Leg, money: Money, a_year: float) -> float:
    """Return the chance that a renewal saves more than this a year."""
    scale = 1 / leg.years_behind
    return sum(
        weight * float(stats.gamma.sf(_turns_at(leg, a_year / cost), leg.shape, scale=scale))
        for cost, weight in money.costs
    )


def _turns_at(leg: Leg, avoided: float) -> float:
    """Return the rate at which a renewal avoids so many faults a year."""
    return (avoided + leg.renewed_rate) / (1 - leg.kept)


def payback_years(saved_a_year: float, cost: float, interest: float) -> float:
    """Return after how many years the savings have paid a cost and the interest on it."""
    if cost == 0:
        return 0.0
    if saved_a_year <= cost * interest:
        return inf
    if interest == 0:
        return cost / saved_a_year
    return -log1p(-cost * interest / saved_a_year) / log1p(interest)


@dataclass(frozen=True, slots=True)
class Count:
    """How many faults were to be expected over some years, and how that goes with what came."""

    mean: float
    low: int
    high: int
    seen: int

    @property
    def is_surprising(self) -> bool:
        """Whether what came lies outside 19 times of 20."""
        return not self.low <= self.seen <= self.high


def look_back(shape: float, years_behind: float, years: float, seen: int) -> Count:
    """Hold what came against what was expected: the count varies, and so does the unknown rate.

    Over `years`, faults of a leg with a gamma posterior are negative binomial.

    Raises:
        ValueError: a number that cannot be.
    """
    if not (shape > 0 and years_behind > 0 and years >= 0 and seen >= 0):
        raise ValueError(f"Expected numbers that can be, got {shape}, {years_behind}, {years}")
    if not years:
        return Count(0.0, 0, 0, seen)
    stays = years_behind / (years_behind + years)
    low, high = stats.nbinom.ppf([0.025, 0.975], shape, stays)
    return Count(shape * years / years_behind, int(low), int(high), seen)


def past_cost(costs: Sequence[float]) -> tuple[float, float] | None:
    """Return the mean cost of past faults and its standard error; None below two of them."""
    if len(costs) < 2:
        return None
    values = np.array(costs, float)
    return float(values.mean()), float(values.std(ddof=1) / np.sqrt(len(values)))
