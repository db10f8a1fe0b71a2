"""Made-up companies whose legs live for years with known true rates, renewed or left as they are.

Each leg has two lives, both drawn beforehand: as it was, and renewed. Who chooses sees only
what has come so far; all choose from the same lives, at the same costs, with the same money.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from reports.decisions.engines.best_set import Sought, leg_known
from reports.decisions.engines.renewing import weigh
from reports.hotspots.engines.hotspots import rank
from reports.hotspots.engines.past import past_cost
from reports.hotspots.engines.paying import Money
from reports.hotspots.engines.prior import NothingToFit
from reports.hotspots.engines.wholes import Piece, whole_legs
from reports.returning.engines.choosing import choose

# Watched before the first choice, seasons with a choice each, years looked ahead by each.
BEFORE, SEASONS, AHEAD = 6, 8, 20
YEARS = BEFORE + SEASONS + AHEAD
INTEREST, KEPT_PERCENT = 0.04, 50.0
Grid = np.ndarray[Any, Any]


@dataclass(frozen=True)
class Company:
    """Its legs by number, and both lives of each: faults and what they cost, by leg and year.

    `past_costs` are what it paid for faults before; `laid_on` is the year of each leg, negative.
    """

    place: Grid
    feet: Grid
    laid_on: Grid
    cost: Grid
    once: dict[int, float]
    budget: float
    past_costs: Sequence[float]
    faults: tuple[Grid, Grid]
    spent: tuple[Grid, Grid]

    def __len__(self) -> int:
        return len(self.feet)


def company(seed: int, *, true_kept_percent: float = KEPT_PERCENT) -> Company:
    """Return one company; how far legs differ, what faults cost and the money are drawn."""
    rng = np.random.default_rng([seed, 23])
    legs, places = int(rng.integers(120, 300)), int(rng.integers(3, 9))
    place = np.sort(rng.integers(places, size=legs))
    feet = np.clip(rng.lognormal(5.2, 0.7, legs), 20, 2000)
    mean, shape = rng.uniform(0.25, 1.2), rng.uniform(0.3, 2.5)
    a_kft = rng.gamma(shape, mean / shape, legs)
    # Older legs fail more often, on the whole: who takes the oldest first is no fool.
    laid_on = -np.clip(15 + 8 * np.log(a_kft / mean + 0.05) + rng.normal(0, 8, legs), 1, 50)
    rates = (a_kft * feet / 1000, mean * feet / 1000 * true_kept_percent / 100)
    one_costs, spread = rng.lognormal(6.7, 0.4), rng.uniform(0.3, 1.0)
    faults = tuple(rng.poisson(rate[:, None], (legs, YEARS)) for rate in rates)
    spent = tuple(_costs(rng, each, one_costs, spread) for each in faults)
    per_foot = rng.uniform(5, 15)
    cost = feet * per_foot * np.where(rng.random(legs) < 0.2, 2.0, 1.0)
    once = {key: float(rng.uniform(200, 1500)) for key in range(places)}
    past = _costs(rng, np.ones((1, int(rng.integers(8, 60))), int), one_costs, spread)[0]
    return Company(
        place, feet, laid_on, cost, once, float(cost.sum() * rng.uniform(0.02, 0.05)),
        past.tolist(), (faults[0], faults[1]), (spent[0], spent[1]),
    )  # fmt: skip


def _costs(rng: np.random.Generator, counts: Grid, mean: float, spread: float) -> Grid:
    """What so many faults cost together: each its own, with this spread for a mean of 1."""
    shape = 1 / spread**2
    drawn: Grid = rng.gamma(np.maximum(counts, 1) * shape, mean / shape)
    return np.where(counts > 0, drawn, 0.0)


@dataclass
class State:
    """Where a company stands: the year in which each leg was renewed, or -1; what was said.

    `ended` are the lives of legs that ended with a renewal.
    """

    of: Company
    renewed: Grid = field(init=False)
    paid: float = 0.0
    said: list[tuple[float, bool]] = field(default_factory=list)
    ended: list[Piece] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.renewed = np.full(len(self.of), -1)

    def since(self) -> Grid:
        """The year from which on each leg's faults count."""
        return np.maximum(self.renewed, 0)

    def counts(self, year: int) -> Grid:
        """How many faults each leg had before a year, since it is as it is."""
        lives = np.where((self.renewed >= 0)[:, None], self.of.faults[1], self.of.faults[0])
        years = np.arange(YEARS)
        seen = (years >= self.since()[:, None]) & (years < year)
        found: Grid = (lives * seen).sum(axis=1)
        return found

    def renew(self, legs: Sequence[int], year: int) -> None:
        """Renew these legs at the start of a year, paying each property's set-up once."""
        once = sum(self.of.once[place] for place in {int(self.of.place[leg]) for leg in legs})
        counts, since = self.counts(year), self.since()
        for leg in legs:
            ground = float(self.of.feet[leg]) / 1000 * int(year - since[leg])
            self.ended.append(Piece(len(self.ended), ground, ground, by_ground=int(counts[leg])))
        self.paid += (once + sum(float(self.of.cost[leg]) for leg in legs)) * worth_of(year)
        self.renewed[list(legs)] = year

    def in_all(self) -> float:
        """What renewals and faults cost from the first choice on, worth then."""
        years = np.arange(YEARS)
        is_new = (self.renewed >= 0)[:, None] & (years >= self.renewed[:, None])
        spent = np.where(is_new, self.of.spent[1], self.of.spent[0]).sum(axis=0)
        worth = np.array([worth_of(year + 1) for year in years])
        return self.paid + float((spent * worth)[BEFORE:].sum())


def worth_of(year: int) -> float:
    """What 1 at the start of a year is worth when the first choice is made."""
    return float((1 + INTEREST) ** (BEFORE - year))


def did_pay(state: State, leg: int, year: int) -> bool:
    """Whether the faults that a renewal spared cost more than it did, over the years ahead."""
    ahead = slice(year, year + AHEAD)
    spared = state.of.spent[0][leg, ahead] - state.of.spent[1][leg, ahead]
    worth = (1 + INTEREST) ** -np.arange(1, AHEAD + 1)
    return float((spared * worth).sum()) > float(state.of.cost[leg])


Way = Callable[[State, int], Sequence[int]]


def by_the_product(state: State, year: int) -> Sequence[int]:
    """Choose as Renew first does: rank, weigh, and the best set within the money."""
    one, counts, since = state.of, state.counts(year), state.since()
    years = np.maximum(year - since, 0).astype(float)
    ground = one.feet / 1000 * years
    pieces = [Piece(n, ground[n], ground[n], by_ground=int(counts[n])) for n in range(len(one))]
    past = past_cost(one.past_costs)
    assert past is not None
    money = Money(past.mean, AHEAD, INTEREST, past.se, past.sd)
    try:
        ranked = rank(whole_legs(pieces), whole_legs(state.ended))
    except NothingToFit:
        return []
    known = {}
    for n in np.flatnonzero(counts > 0).tolist():
        cost = float(one.cost[n])
        leg = leg_known(ranked, n, float(years[n]), cost=cost, kept_percent=KEPT_PERCENT)
        if leg is not None:
            known[n] = weigh(leg, money)
    legs = np.array(list(known), int)
    gained = [known[n].gain for n in known]
    columns = (legs, one.place[legs], np.array(gained), one.cost[legs])
    sought = Sought.of(*columns, once=one.once, budget=one.budget)
    chosen = choose(sought.problem(), seconds=5.0).keys
    for n in sorted(chosen):
        # A leg that was renewed before has no life left that was drawn as it was then.
        if state.renewed[n] < 0:
            state.said.append((known[n].chance_pays, did_pay(state, n, year)))
    return sorted(chosen)


def one_by_one(order: Callable[[State, int], Grid]) -> Way:
    """Take legs that had a fault in this order, the greatest first, while they fit the money."""

    def way(state: State, year: int) -> Sequence[int]:
        able, values = state.counts(year) > 0, order(state, year)
        chosen: list[int] = []
        opened: set[int] = set()
        left = state.of.budget
        for leg in np.argsort(-values, kind="stable").tolist():
            place = int(state.of.place[leg])
            cost = float(state.of.cost[leg]) + (0 if place in opened else state.of.once[place])
            if able[leg] and cost <= left:
                left -= cost
                opened.add(place)
                chosen.append(leg)
        return chosen

    return way


def _count(state: State, year: int) -> Grid:
    return state.counts(year).astype(float)


def _age(state: State, year: int) -> Grid:
    laid: Grid = np.where(state.renewed >= 0, state.renewed, state.of.laid_on)
    return year - laid.astype(float)


def _nothing(_state: State, _year: int) -> Sequence[int]:
    return []


WAYS: dict[str, Way] = {
    "Renew first": by_the_product,
    "worst count first": one_by_one(_count),
    "oldest first": one_by_one(_age),
    "nothing renewed": _nothing,
}


def live(one: Company, way: Way) -> State:
    """Let a company choose each season in one way, and live on."""
    state = State(one)
    for year in range(BEFORE, BEFORE + SEASONS):
        state.renew(way(state, year), year)
    return state
