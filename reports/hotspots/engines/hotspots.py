"""Which legs fail more than chance, honest at counts of 0 to 5.

A leg's exposure is how many faults it should have had at the pooled rate of everything in view:
ground causes (a shovel, a rodent) go by feet of ground and years, wire causes (a bad splice,
corrosion) by feet of wire and years. Ranking shrinks each leg's rate towards that of all; the
flag is a test of its own, with the share of false flags held down over all legs in view.

"Not flagged" says only that the evidence is not enough; `power` says how rarely it would be.

Source: Benjamini and Hochberg (1995) for the share of false flags; the rest in `prior`, `rates`.
"""

from dataclasses import dataclass
from functools import cached_property

from reports.hotspots.engines.prior import Prior, Shrunken, fit_prior, shrink, shrunken_mean
from reports.hotspots.engines.rates import Floats, Ints, count_limits
from reports.hotspots.engines.wholes import Wholes, expected_counts, rated_counts, whole_legs
from sites.kernel.lazily import lazily, np

special = lazily("scipy.special")

FALSE_SHARE = 0.10
# Below it a chance is 0 to the machine, and no count would ever be enough.
LEAST_CHANCE = 1e-300


@dataclass(frozen=True, slots=True)
class Rates:
    """Rates per 1000 feet of ground and year: as counted, shrunken, and as a multiple."""

    raw: Shrunken
    shrunken: Shrunken
    ratio: Shrunken


ALL = slice(None)


@dataclass(frozen=True)
class Ranked:
    """Every leg in view, in the order of `legs.keys`. Rates are per 1000 feet of ground and year.

    `ratio` is the shrunken rate as a multiple of what its feet, wires and years let expect;
    `rise` is by how much faults that were never located raise all rates; `fitted_total` is how
    many faults are behind `prior`. `order` holds places from the worst down.
    """

    legs: Wholes
    prior: Prior
    expected: Floats
    rise: float
    fitted_total: float
    p: Floats
    q: Floats
    order: tuple[int, ...]

    def rates(self, at: "slice | Ints" = ALL) -> Rates:
        """Return the rates of these legs, by their places: intervals cost the most of a ranking."""
        counted, expected = self.legs.counted[at], self.expected[at]
        risen = shrink(self.prior, counted, expected, total=self.fitted_total)
        ground = self.legs.ground[at]
        per_ratio = _divided(expected, ground)
        low, high = count_limits(counted)
        return Rates(
            Shrunken(*(_divided(each, ground) for each in (counted, low, high))),
            Shrunken(*(each * per_ratio for each in (risen.mean, risen.low, risen.high))),
            Shrunken(*(each / self.rise for each in (risen.mean, risen.low, risen.high))),
        )

    @cached_property
    def _rates(self) -> Rates:
        return self.rates()

    @property
    def raw(self) -> Shrunken:
        """The rate of each leg as counted, with its exact interval."""
        return self._rates.raw

    @property
    def shrunken(self) -> Shrunken:
        """The rate of each leg, drawn towards that of all."""
        return self._rates.shrunken

    @property
    def ratio(self) -> Shrunken:
        """Each leg's multiple of what was to be expected."""
        return self._rates.ratio

    @property
    def flagged(self) -> "np.ndarray[tuple[int], np.dtype[np.bool_]]":
        """Which legs fail more than chance, with the share of false flags held."""
        found: np.ndarray[tuple[int], np.dtype[np.bool_]] = self.q < FALSE_SHARE
        return found

    @cached_property
    def located_total(self) -> float:
        """Faults whose place is known."""
        return float(self.legs.located.sum())

    def yearly(self, at: int, years: float) -> "Yearly":
        """Return what is known of one leg's faults a year, observed for so many years."""
        found = self.yearly_of(np.array([at]), np.array([years]))
        return Yearly(*(float(each[0]) for each in found))

    def yearly_of(self, at: Ints, years: Floats) -> tuple[Floats, Floats, Floats]:
        """Return shape, years behind and the ordinary rate of the legs at these places.

        Evidence on one leg is what was located on it, as for flags. Faults that were never located
        raise the rate of all legs alike.
        """
        a_year = self.expected[at] / years
        ordinary, total = self.prior.mean * a_year, self.fitted_total
        if self.prior.is_pooled:
            return np.full(len(at), total), total / ordinary, ordinary
        exposure = self.prior.exposure + self.expected[at] / self.rise
        return self.prior.shape + self.legs.located[at], exposure / a_year, ordinary


@dataclass(frozen=True, slots=True)
class Yearly:
    """A leg's faults a year as a gamma distribution, and what is ordinary for one like it."""

    shape: float
    years_behind: float
    ordinary: float


def rank(legs: Wholes, ended: Wholes | None = None) -> Ranked:
    """Rank legs by how much more they fail than their feet, wires and years let expect.

    Args:
        ended: lives of legs that ended with a renewal. It is the worst that are renewed, so how
            far legs differ is fitted with these lives too; all else is of what is there now.

    Raises:
        NothingToFit: no located fault on any leg that was observed.
    """
    ended = whole_legs([]) if ended is None else ended
    expected = expected_counts(legs)
    located, counted = legs.located, legs.counted
    before = rated_counts(ended, legs)
    fitted = fit_prior(
        np.concatenate([located, before]),
        np.concatenate([expected, expected_counts(ended, at_rates_of=legs)]),
    )
    # Shown rates hold the faults that were never located too: all rates rise by their share.
    rise = float(counted.sum() / located.sum())
    prior = Prior(fitted.mean * rise, fitted.shape)
    fitted_total = float(counted.sum() + before.sum())
    p = upper_tails(located, expected)
    # Where all share one rate, the least likely count comes first.
    mean = shrunken_mean(prior, counted, expected)
    order = np.lexsort((np.arange(len(p)), -counted, _digits(p), -_digits(mean)))
    return Ranked(
        legs, prior, expected, rise, fitted_total, p, false_share(p), tuple(order.tolist())
    )


def _digits(values: Floats) -> Floats:
    """Keep nine digits: what differs in the last ones only is the same, and stays in order."""
    size = 10.0 ** np.floor(np.log10(np.maximum(np.abs(values), 1e-300)))
    rounded: Floats = np.round(values / size, 9) * size
    return rounded


def _divided(values: Floats, by: Floats) -> Floats:
    return np.divide(values, by, out=np.zeros_like(values), where=by > 0)


def upper_tails(located: Floats, expected: Floats) -> Floats:
    """Return the exact chance that a leg like all others has so many of the located faults."""
    total, sums = located.sum(), expected.sum()
    if total == 0 or sums == 0:
        return np.ones_like(located)
    # The tail of a binomial is an incomplete beta function.
    least, shares = np.maximum(located, 1.0), np.minimum(expected / sums, 1.0)
    tails: Floats = special.betainc(least, total - least + 1, shares)
    return np.where(located > 0, tails, 1.0)


def false_share(p: Floats) -> Floats:
    """Return for each test the smallest share of false flags at which it would be flagged."""
    size = len(p)
    if size == 0:
        return p
    order = np.argsort(p, kind="stable")
    scaled = p[order] * size / np.arange(1, size + 1)
    smallest = np.minimum.accumulate(scaled[::-1])[::-1]
    q = np.empty(size)
    q[order] = np.minimum(smallest, 1.0)
    return q


def power(ranked: Ranked, *, times: float) -> float:
    """Return how often a leg that fails `times` as often as the others would be flagged.

    The mean over the legs in view, each judged as if it were the bad one, at the threshold that
    the page had: the largest p that was flagged, or that at which a first one would be.
    """
    size = len(ranked.p)
    hit = ranked.flagged
    threshold = float(ranked.p[hit].max()) if hit.any() else FALSE_SHARE / size
    expected = ranked.expected[ranked.expected > 0]
    if not len(expected):
        return 0.0
    needed = _needed(expected, threshold)
    return float(special.gammainc(needed, times * expected).mean())


def _needed(expected: Floats, threshold: float) -> Floats:
    """Return for each expectation the smallest count whose chance is at most the threshold.

    The chance of n faults or more is an incomplete gamma function, and n is enough up to the
    expectation at which that reaches the threshold: a few edges serve all legs.
    """
    edges: list[float] = []
    threshold = max(threshold, LEAST_CHANCE)
    most = float(expected.max())
    while not edges or edges[-1] < most:
        first = len(edges) + 1
        counts = np.arange(first, first + 64)
        edges += special.gammaincinv(counts, threshold).tolist()
    return 1.0 + np.searchsorted(np.array(edges), expected, side="left").astype(np.float64)
