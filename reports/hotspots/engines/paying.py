"""How likely the faults that a renewal spares cost more than it does, over the years ahead.

Nobody knows how often a leg really fails, and if one knew, faults would still come by chance, each
at its own cost. All of it is in the answer: counts with a gamma rate are negative binomial, what
they cost is a sum of so many costs, and what a renewal saves is that sum less the sum that still
comes. Its distribution is worked out on a lattice from its generating function.

Source: the negative binomial as a gamma mixture of Poisson counts; aggregate costs by the fast
Fourier transform as in actuarial textbooks; both from memory. Tests hold printed counts and draws.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import ceil, expm1, floor, log1p, log2

from reports.hotspots.engines.rates import Floats
from sites.kernel.lazily import lazily, np

special = lazily("scipy.special")
polynomials = lazily("numpy.polynomial.hermite_e")

_POINTS = 2048
# Points at which a cost that is known with an error is taken: exact for its first 30 moments.
_COSTS = 15
LEAST_SHARE = 0.05
# Rates and sums beyond these are left out: less than the answer's last shown digit.
_RATE_TAIL, _DEVIATIONS = 1e-5, 4.0


def present_worth_of_annuity(rate: float, years: float) -> float:
    """Return what 1 at the end of each year is worth today (the factor P/A)."""
    if rate == 0:
        return years
    return -expm1(-years * log1p(rate)) / rate


@dataclass(frozen=True, slots=True)
class Coming:
    """Faults a year of one leg: as it is a gamma distribution, shape / years_behind on average.

    After a renewal it has `renewed_rate`, and the share `kept` of its own rate besides.
    """

    shape: float
    years_behind: float
    renewed_rate: float
    kept: float = 0.0


@dataclass(frozen=True)
class Ahead:
    """The years looked ahead, interest on money, and how far costs of faults differ.

    Faults come at the end of each year. `spread` is the standard deviation of what one fault
    costs, for a mean of 1; costs are taken as a gamma distribution.
    """

    years: float
    interest: float
    spread: float = 0.0
    _sizes: dict[float, Floats] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def worths(self) -> tuple[Floats, Floats]:
        """What 1 at the end of each year is worth today, and which part of all years each is."""
        whole = floor(self.years)
        worths = [(1 + self.interest) ** -year for year in range(1, whole + 1)]
        parts = [1.0] * whole
        if (rest := self.years - whole) > 1e-9:
            annuity = present_worth_of_annuity(self.interest, self.years)
            worths.append((annuity - sum(worths)) / rest)
            parts.append(rest)
        return np.array(worths), np.array(parts) / self.years

    def sizes(self, step: float) -> Floats:
        """Return the chances of what one fault of these years is worth today, by steps."""
        if step not in self._sizes:
            self._sizes[step] = self._on_lattice(step)
        return self._sizes[step]

    def _on_lattice(self, step: float) -> Floats:
        found = np.zeros(_POINTS)
        for worth, part in zip(*(each.tolist() for each in self.worths), strict=True):
            if self.spread > 0:
                shape = self.spread**-2
                edges = np.maximum((np.arange(_POINTS + 1) - 0.5) * step, 0.0)
                found += part * np.diff(special.gammainc(shape, edges * shape / worth))
                continue
            # Between two steps it belongs to both, so that the mean stays.
            at = min(worth / step, _POINTS - 2.0)
            found[floor(at)] += part * (1 - at % 1)
            found[floor(at) + 1] += part * (at % 1)
        return found


def chances_saved(coming: Coming, ahead: Ahead, amounts: Sequence[float]) -> list[float]:
    """Return the chance that a renewal saves more than each amount, worth today.

    Args:
        amounts: as multiples of what one fault costs on average.
    """
    worths, parts = ahead.worths
    worth = float((worths * parts).sum())
    square = float((worths**2 * parts).sum()) * (1 + ahead.spread**2)
    most = special.gammainccinv(coming.shape, _RATE_TAIL) / coming.years_behind
    still = coming.renewed_rate + coming.kept * most
    up, down = (
        rate * ahead.years * worth + _DEVIATIONS * (1 + (rate * ahead.years * square) ** 0.5)
        for rate in (float(most), float(still))
    )
    step = 2.0 ** ceil(log2((up + down) / _POINTS))
    one = np.fft.rfft(ahead.sizes(step))
    # What a renewed leg still costs goes the other way: the conjugate.
    lost = (1 - one) + coming.kept * (1 - one.conj())
    spectrum = np.exp(
        -coming.shape * np.log1p(ahead.years / coming.years_behind * lost)
        - coming.renewed_rate * ahead.years * (1 - one.conj())
    )
    below = ceil(down / step)
    chances = np.roll(np.fft.irfft(spectrum, _POINTS), below)
    above = 1 - np.cumsum(chances)
    if ahead.spread or ahead.interest:
        # What falls between steps lies half above one. Else all faults cost the same: on a step.
        above += chances / 2
    at = np.array(amounts, float) / step + below
    found = np.interp(at, np.arange(_POINTS), above, left=1.0, right=0.0)
    return [min(max(float(each), 0.0), 1.0) for each in found]


@dataclass(frozen=True)
class Money:
    """What one fault costs, and how years are weighed.

    `fault_cost` is a mean, known with the error `fault_cost_se`; `fault_cost_sd` is how far the
    costs of single faults lie from it.

    Raises:
        ValueError: a number that cannot be.
    """

    fault_cost: float
    years: float
    interest: float
    fault_cost_se: float = 0.0
    fault_cost_sd: float = 0.0

    def __post_init__(self) -> None:
        if not (self.fault_cost > 0 and self.years > 0):
            raise ValueError(f"Expected cost, years > 0, got {self.fault_cost}, {self.years}")
        if not (self.interest >= 0 and self.fault_cost_se >= 0 and self.fault_cost_sd >= 0):
            raise ValueError(f"Expected interest, errors >= 0, got {self}")

    @cached_property
    def annuity(self) -> float:
        """What 1 a year is worth today (the factor P/A)."""
        return present_worth_of_annuity(self.interest, self.years)

    @cached_property
    def ahead(self) -> Ahead:
        """The years looked ahead."""
        return Ahead(self.years, self.interest, self.fault_cost_sd / self.fault_cost)

    @cached_property
    def costs(self) -> list[tuple[float, float]]:
        """What one fault may cost, with the weight of each, where it is known with an error."""
        if not self.fault_cost_se:
            return [(self.fault_cost, 1.0)]
        at, weights = polynomials.hermegauss(_COSTS)
        costs = np.maximum(self.fault_cost + self.fault_cost_se * at, LEAST_SHARE * self.fault_cost)
        return list(zip(costs.tolist(), (weights / weights.sum()).tolist(), strict=True))


def chance_pays(coming: Coming, money: Money, cost: float) -> float:
    """Return the chance that the faults which a renewal spares cost more than it does."""
    found = chances_saved(coming, money.ahead, [cost / each for each, _weight in money.costs])
    return sum(weight * chance for (_cost, weight), chance in zip(money.costs, found, strict=True))
