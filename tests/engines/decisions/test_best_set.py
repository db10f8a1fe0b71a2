"""Which set of ranked legs is sought; what is known of one. Own examples, worked out by hand."""

import json
from itertools import combinations
from typing import NamedTuple

import numpy as np
import pytest

from reports.decisions.engines.best_set import Sought, gains, leg_known
from reports.decisions.engines.renewing import Leg, weigh
from reports.hotspots.engines.hotspots import rank
from reports.hotspots.engines.paying import Money
from reports.hotspots.engines.wholes import Piece, whole_legs
from reports.returning.engines.choosing import choose

MONEY = Money(fault_cost=500, years=20, interest=0.04)
RANKED = rank(whole_legs([Piece(n, 1.0, 1.0, by_ground=n) for n in range(6)]))


class Offer(NamedTuple):
    key: int
    place: int
    gain: float
    cost: float


def sought(offers: list[Offer], once: dict[int, float], budget: float | None) -> Sought:
    columns = [np.array(each) for each in zip(*offers, strict=True)]
    return Sought.of(*columns, once=once, budget=budget)


def offer(key: int, place: int, rate: float, cost: float) -> Offer:
    return Offer(key, place, weigh(Leg(4.0, 4.0 / rate, cost), MONEY).gain, cost)


OFFERS = [offer(1, 7, 0.9, 2000), offer(2, 7, 0.5, 1500), offer(3, 8, 0.8, 2500)]


@pytest.mark.parametrize("budget", [None, 0, 2399, 2400, 3899, 3900, 9000])
@pytest.mark.parametrize("once", [{7: 400, 8: 0}, {7: 400, 8: 4000}, {7: 0, 8: 0}])
def test_the_set_is_the_best_of_all(budget: float | None, once: dict[int, float]) -> None:
    def left(keys: tuple[Offer, ...]) -> tuple[float, float]:
        fixed = sum(once[place] for place in {each.place for each in keys})
        return (
            sum(each.cost for each in keys) + fixed,
            sum(each.gain for each in keys) - fixed,
        )

    every = [keys for n in range(4) for keys in combinations(OFFERS, n)]
    able = [left(keys) for keys in every if budget is None or left(keys)[0] <= budget]
    found = choose(sought(OFFERS, once, budget).problem())
    assert found.worth == pytest.approx(max(gain for _cost, gain in able), abs=0.02)


def test_what_is_known_of_a_leg_is_its_ranking() -> None:
    leg = leg_known(RANKED, 5, 2.0, cost=900, kept_percent=50)
    known = RANKED.yearly(5, 2.0)
    assert leg is not None
    assert (leg.shape, leg.years_behind, leg.cost) == (known.shape, known.years_behind, 900)
    # A renewed leg fails half as often as an ordinary one.
    assert leg.renewed_rate == known.ordinary / 2


def test_a_leg_that_was_not_observed_is_not_known() -> None:
    ranked = rank(whole_legs([Piece(0, 1.0, 1.0, by_ground=3), Piece(1, 0.0, 0.0)]))
    assert leg_known(ranked, 1, 1.0, cost=900, kept_percent=50) is None
    assert leg_known(ranked, 0, 0.0, cost=900, kept_percent=50) is None
    assert leg_known(ranked, 0, 0.001, cost=900, kept_percent=50) is not None


def test_what_gains_nothing_is_left_out() -> None:
    poor = offer(4, 8, 0.1, 9000)
    assert poor.gain < 0
    assert sought([*OFFERS, poor], {7: 1, 8: 1}, 5).key.tolist() == [1, 2, 3]
    assert sought([poor], {8: 1}, None).problem().set_ups == {}


@pytest.mark.parametrize("budget", [None, 3900.0])
def test_what_is_written_down_is_the_same(budget: float | None) -> None:
    one = sought(OFFERS, {7: 400.0, 8: 0.0}, budget)
    again = Sought.from_short(json.loads(json.dumps(one.short())))
    assert again.digest() == one.digest()
    assert choose(again.problem()) == choose(one.problem())


def test_numbers_that_differ_have_another_name() -> None:
    name = sought(OFFERS, {7: 400.0, 8: 0.0}, 3900.0).digest()
    for other in (
        sought(OFFERS, {7: 400.01, 8: 0.0}, 3900.0),
        sought(OFFERS, {7: 400.0, 8: 0.0}, 3900.01),
        sought(OFFERS[:2], {7: 400.0}, 3900.0),
        sought([OFFERS[0]._replace(cost=2000.01), *OFFERS[1:]], {7: 400.0, 8: 0.0}, 3900.0),
    ):
        assert other.digest() != name


@pytest.mark.parametrize("counts", [[0, 1, 2, 3, 4, 9], [1, 1, 1, 1, 1, 1]])
def test_gains_of_many_are_those_of_each(counts: list[int]) -> None:
    # Legs that differ, and legs that share one rate.
    ranked = rank(whole_legs([Piece(n, 1.0 + n, 1.0, by_ground=c) for n, c in enumerate(counts)]))
    at, years = np.arange(6), np.linspace(1, 3, 6)
    cost = np.linspace(500, 4000, 6)
    found = gains(ranked, at, years, cost, MONEY, kept_percent=50)
    for n in range(6):
        leg = leg_known(ranked, n, years[n], cost=cost[n], kept_percent=50)
        assert leg is not None
        assert found[n] == pytest.approx(weigh(leg, MONEY).gain)
    with pytest.raises(ValueError, match="observed"):
        gains(ranked, at, np.zeros(6), cost, MONEY, kept_percent=50)
