"""Repair or replace: what a leg will cost either way, from what its history lets expect.

Costs come at the end of each year, prices stay as they are today, and the horizon is the same for
both ways. The leg's rate is not known but given by its posterior, a gamma distribution, so the
answer is a chance: how likely it is that replacing costs less (`paying`).

Source: the factors of engineering economy are textbook formulas; tests hold published tables.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from reports.hotspots.engines.paying import (
    Coming,
    Money,
    chance_pays,
    present_worth_of_annuity,
)
from reports.hotspots.engines.rates import Interval
from sites.kernel.lazily import lazily

stats = lazily("scipy.stats")

_ERRORS = ("fault_cost_se", "fault_cost_sd")


def capital_recovery(rate: float, years: float) -> float:
    """Return what 1 today is worth at the end of each year (the factor A/P)."""
    return 1 / present_worth_of_annuity(rate, years)


@dataclass(frozen=True, slots=True)
class Inputs:
    """What is assumed, all editable. Rates are faults of the leg a year.

    `kept` is the share of the ordinary rate that a renewed leg still has. `fault_cost_se` and
    `fault_cost_sd` are as those of `Money`.

    Raises:
        ValueError: a number that cannot be.
    """

    fault_cost: float
    renewal_cost: float
    horizon_years: float
    interest: float
    ordinary_rate: float
    kept: float = 0.5
    shape: float = 1.0
    years_behind: float = 1.0
    fault_cost_se: float = 0.0
    fault_cost_sd: float = 0.0

    def __post_init__(self) -> None:
        for name in ("fault_cost", "horizon_years", "shape", "years_behind"):
            if not getattr(self, name) > 0:
                raise ValueError(f"Expected {name} > 0, got {getattr(self, name)}")
        for name in ("renewal_cost", "interest", "ordinary_rate", "kept", *_ERRORS):
            if not getattr(self, name) >= 0:
                raise ValueError(f"Expected {name} >= 0, got {getattr(self, name)}")

    @property
    def rate(self) -> float:
        """The leg's expected faults a year: mean of its posterior."""
        return self.shape / self.years_behind

    @property
    def renewed_rate(self) -> float:
        """Faults a year after a renewal."""
        return self.ordinary_rate * self.kept

    @property
    def money(self) -> Money:
        """What one fault costs, and how years are weighed."""
        errors = (self.fault_cost_se, self.fault_cost_sd)
        return Money(self.fault_cost, self.horizon_years, self.interest, *errors)


@dataclass(frozen=True, slots=True)
class Swing:
    """How the yearly gain of replacing moves as one input goes through its range."""

    name: str
    low: float
    high: float
    gain_at_low: float
    gain_at_high: float

    @property
    def width(self) -> float:
        """How much the answer moves."""
        return abs(self.gain_at_high - self.gain_at_low)

    @property
    def decides(self) -> bool:
        """Whether replacing pays at one end of the range and not at the other."""
        return (self.gain_at_low > 0) != (self.gain_at_high > 0)


@dataclass(frozen=True, slots=True)
class Worth:
    """Both ways, in money and faults. `gain` is what replacing saves a year, if above 0."""

    faults_if_kept: float
    faults_if_renewed: float
    repair_a_year: float
    replace_a_year: float
    break_even_rate: float
    chance_replacing_pays: float
    fault_limits: Interval
    swings: tuple[Swing, ...]

    @property
    def gain(self) -> float:
        """What replacing saves a year, on average."""
        return self.repair_a_year - self.replace_a_year


def worth(inputs: Inputs) -> Worth:
    """Weigh repairing a leg as it breaks against renewing it now."""
    recovery = capital_recovery(inputs.interest, inputs.horizon_years)
    break_even = inputs.renewed_rate + inputs.renewal_cost * recovery / inputs.fault_cost
    years = inputs.horizon_years
    coming = Coming(inputs.shape, inputs.years_behind, inputs.renewed_rate)
    return Worth(
        inputs.rate * years,
        inputs.renewed_rate * years,
        inputs.rate * inputs.fault_cost,
        inputs.renewal_cost * recovery + inputs.renewed_rate * inputs.fault_cost,
        break_even,
        chance_pays(coming, inputs.money, inputs.renewal_cost),
        _count_limits(inputs),
        _swings(inputs),
    )


def _count_limits(inputs: Inputs) -> Interval:
    """Limits of the faults to come: they vary with chance as well as with the unknown rate."""
    stays = inputs.years_behind / (inputs.years_behind + inputs.horizon_years)
    low, high = stats.nbinom.ppf([0.025, 0.975], inputs.shape, stays)
    return Interval(float(low), float(high))


def _gain(inputs: Inputs) -> float:
    recovery = capital_recovery(inputs.interest, inputs.horizon_years)
    saved = (inputs.rate - inputs.renewed_rate) * inputs.fault_cost
    return saved - inputs.renewal_cost * recovery


def _swings(inputs: Inputs) -> tuple[Swing, ...]:
    """The three inputs that move the answer most, each through its range, others as they are."""
    low, high = stats.gamma.ppf([0.1, 0.9], inputs.shape, scale=1 / inputs.years_behind)
    swings = [_swing(inputs, "rate", float(low), float(high), _at_rate(inputs))]
    for name, down, up in (
        ("fault_cost", 0.7, 1.3),
        ("renewal_cost", 0.7, 1.3),
        ("horizon_years", 0.5, 1.5),
        ("kept", 0.0, 2.0),
        ("interest", 0.5, 1.5),
    ):
        here = getattr(inputs, name)
        swings.append(_swing(inputs, name, here * down, here * up, _at(inputs, name)))
    return tuple(sorted(swings, key=lambda swing: -swing.width)[:3])


def _swing(
    inputs: Inputs, name: str, low: float, high: float, at: Callable[[float], Inputs]
) -> Swing:
    return Swing(name, low, high, _gain(at(low)), _gain(at(high)))


def _at(inputs: Inputs, name: str) -> Callable[[float], Inputs]:
    return lambda value: replace(inputs, **{name: value})


def _at_rate(inputs: Inputs) -> Callable[[float], Inputs]:
    return lambda rate: replace(inputs, shape=max(rate, 1e-12), years_behind=1.0)
