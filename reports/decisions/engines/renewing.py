"""Does renewing a leg pay, how sure is that, and what does it cost to wait one season more.

A leg's faults a year are not known but given by their posterior, a gamma distribution, and faults
come by chance, each at its own cost: all of it is in the chance that it pays. Flows come at the
end of each year, prices stay as they are today, the renewal lasts past the years looked
ahead, and nothing is left of it in the end.

"Renewing pays" and "waiting costs money" are different questions with different answers: renewing
pays where all years together save more than it costs, waiting costs where the coming year saves
more than the interest on that money.

Source: factors of engineering economy, and the gamma-Poisson identity, from memory; tests hold a
worked example whose figures came from two methods each.
"""

from dataclasses import dataclass
from functools import cached_property
from math import inf, log1p
from typing import TypeVar

from reports.hotspots.engines.paying import Coming, Money, chance_pays
from reports.hotspots.engines.rates import Floats
from sites.kernel.lazily import lazily, np

stats = lazily("scipy.stats")
special = lazily("scipy.special")

# Of one leg, or of many at once.
Amount = TypeVar("Amount", float, Floats)


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
class Weighed:
    """What renewing a leg comes to. Money is of today.

    `payback_years` is `inf` where the saving never pays the interest on the cost. Chances are
    worked out when they are asked for: of thousands of legs a page shows a few.
    """

    leg: Leg
    money: Money
    saved_a_year: float
    gain: float
    waiting_cost: float
    payback_years: float
    break_even_rate: float

    @cached_property
    def chance_pays(self) -> float:
        """How likely the faults that do not come cost more than the renewal."""
        leg = self.leg
        coming = Coming(leg.shape, leg.years_behind, leg.renewed_rate, leg.kept)
        return chance_pays(coming, self.money, leg.cost)

    @cached_property
    def chance_waiting_costs(self) -> float:
        """How likely a year of this leg costs more, on average, than the interest."""
        return _chance_waiting_costs(self.leg, self.money)


def gain_of(money: Money, avoided: Amount, cost: Amount) -> Amount:
    """Return what renewing brings over the years: faults a year that it saves, less its cost."""
    return money.fault_cost * avoided * money.annuity - cost


def weigh(leg: Leg, money: Money) -> Weighed:
    """Weigh renewing a leg now against mending it as it breaks."""
    saved = money.fault_cost * leg.avoided
    return Weighed(
        leg,
        money,
        saved_a_year=saved,
        gain=gain_of(money, leg.avoided, leg.cost),
        waiting_cost=(saved - leg.cost * money.interest) / (1 + money.interest),
        payback_years=payback_years(saved, leg.cost, money.interest),
        break_even_rate=_turns_at(leg, leg.cost / money.annuity / money.fault_cost),
    )


def _chance_waiting_costs(leg: Leg, money: Money) -> float:
    """Return the chance that a year of this leg costs more, on average, than the interest."""
    rates = np.array([_turns_at(leg, leg.cost * money.interest / cost) for cost, _ in money.costs])
    weights = np.array([weight for _cost, weight in money.costs])
    return float(weights @ special.gammaincc(leg.shape, np.maximum(rates, 0) * leg.years_behind))


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
