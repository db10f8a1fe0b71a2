"""Renewing a leg: a worked example to its digits, edges, and laws."""

from dataclasses import replace
from math import inf, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from reports.decisions.engines.renewing import (
    Leg,
    Money,
    look_back,
    past_cost,
    payback_years,
    weigh,
)

# Our own example, each figure by two methods: 2 + 5 faults over 4 + 0.6 x 8 thousand-foot-years
# of a leg of 600 ft; a renewal of 2,900 that keeps a tenth of the rate; 480 a fault.
LEG = Leg(shape=7, years_behind=8.8 / 0.6, cost=2900, kept=0.1)
MONEY = Money(fault_cost=480, years=15, interest=0.04)
PLAIN = replace(MONEY, interest=0.0)


def test_the_worked_example() -> None:
    found = weigh(LEG, MONEY)
    assert MONEY.annuity == pytest.approx(11.118387, abs=1e-6)
    assert LEG.rate == pytest.approx(0.477273, abs=1e-6)
    assert found.saved_a_year == pytest.approx(206.1818, abs=1e-4)
    assert found.gain == pytest.approx(-607.59, abs=5e-3)
    assert found.chance_pays == pytest.approx(0.220280, abs=1e-6)
    assert found.payback_years == pytest.approx(21.0840, abs=1e-4)
    assert found.waiting_cost == pytest.approx(86.71, abs=5e-3)
    assert found.chance_waiting_costs == pytest.approx(0.895658, abs=1e-6)
    # As a rate of a thousand feet the example has 1.006285.
    assert found.break_even_rate / 0.6 == pytest.approx(1.006285, abs=1e-6)


def test_the_worked_example_without_interest() -> None:
    found = weigh(LEG, PLAIN)
    assert found.break_even_rate / 0.6 == pytest.approx(0.745885, abs=1e-6)
    assert found.chance_pays == pytest.approx(0.516504, abs=1e-6)
    assert found.payback_years == pytest.approx(14.0653, abs=1e-4)


def test_the_chance_is_a_sum_of_poisson_terms_for_a_whole_shape() -> None:
    # P(gamma(a, b) > x) = P(Poisson(b x) <= a - 1): the gamma-Poisson identity.
    at = LEG.years_behind * weigh(LEG, MONEY).break_even_rate
    assert weigh(LEG, MONEY).chance_pays == pytest.approx(float(stats.poisson.cdf(6, at)))


@pytest.mark.parametrize(("seen", "chance"), [(0, 0.168100), (1, 0.272930), (2, 0.396879)])
def test_one_more_season_moves_the_chance(seen: int, chance: float) -> None:
    # The same example after a season: one more year of 600 ft, and what it brought.
    later = replace(LEG, shape=7 + seen, years_behind=LEG.years_behind + 1)
    assert weigh(later, MONEY).chance_pays == pytest.approx(chance, abs=1e-6)


def test_the_season_to_come_tells_nothing_on_average() -> None:
    stays = LEG.years_behind / (LEG.years_behind + 1)
    total = sum(
        float(stats.nbinom.pmf(seen, 7, stays))
        * weigh(replace(LEG, shape=7 + seen, years_behind=LEG.years_behind + 1), MONEY).chance_pays
        for seen in range(200)
    )
    assert total == pytest.approx(weigh(LEG, MONEY).chance_pays, abs=1e-9)


def test_faults_to_come_if_it_is_left_alone() -> None:
    found = look_back(7, LEG.years_behind, 15, seen=7)
    assert found.mean == pytest.approx(7.159091, abs=1e-6)
    stays = LEG.years_behind / (LEG.years_behind + 15)
    assert float(stats.nbinom.var(7, stays)) == pytest.approx(14.480888, abs=1e-6)
    assert (found.low, found.high) == tuple(stats.nbinom.interval(0.95, 7, stays))


@pytest.mark.parametrize(
    ("seen", "is_surprising"), [(0, True), (1, False), (16, False), (17, True)]
)
def test_what_came_is_surprising(seen: int, is_surprising: bool) -> None:
    found = look_back(7, LEG.years_behind, 15, seen=seen)
    assert (found.low, found.high) == (1, 16)
    assert found.is_surprising is is_surprising


def test_nothing_is_expected_of_no_time() -> None:
    found = look_back(7, 8, 0, seen=0)
    assert (found.mean, found.low, found.high, found.is_surprising) == (0.0, 0, 0, False)


def test_the_error_of_a_cost_is_carried_through() -> None:
    unsure = replace(MONEY, fault_cost_se=120.0)
    drawn = np.random.default_rng(3)
    costs = np.maximum(drawn.normal(480, 120, 400_000), 24)
    rates = drawn.gamma(7, 1 / LEG.years_behind, 400_000)
    by_draws = float((costs * rates * 0.9 * MONEY.annuity > 2900).mean())
    found = weigh(LEG, unsure)
    assert found.chance_pays == pytest.approx(by_draws, abs=0.004)
    # What is expected stays, only how sure it is changes.
    assert found.gain == weigh(LEG, MONEY).gain
    assert found.chance_pays > weigh(LEG, MONEY).chance_pays


def test_a_renewed_leg_that_fails_as_often_saves_nothing() -> None:
    leg = replace(LEG, kept=0.0, renewed_rate=LEG.rate)
    found = weigh(leg, MONEY)
    assert found.saved_a_year == pytest.approx(0)
    assert (found.gain, found.payback_years) == (pytest.approx(-2900), inf)


@pytest.mark.parametrize(
    ("saved", "cost", "interest", "years"),
    [
        (100, 1000, 0.0, 10),
        (100, 1000, 0.1, inf),
        (100.0001, 1000, 0.1, pytest.approx(145.0, abs=0.1)),
        (0, 1000, 0.0, inf),
        (-5, 1000, 0.0, inf),
        (100, 0, 0.1, 0),
        (0, 0, 0.1, 0),
        (110, 100, 0.1, pytest.approx(-log(1 - 10 / 110) / log(1.1))),
    ],
)
def test_payback(saved: float, cost: float, interest: float, years: float) -> None:
    assert payback_years(saved, cost, interest) == years


@given(st.floats(0.5, 30), st.floats(1, 50), st.floats(0, 20_000), st.floats(0, 0.2))
def test_dearer_never_pays_more_surely(
    shape: float, behind: float, cost: float, interest: float
) -> None:
    money = replace(MONEY, interest=interest)
    cheap, dear = (weigh(Leg(shape, behind, each), money) for each in (cost, cost + 100))
    assert dear.chance_pays <= cheap.chance_pays + 1e-12
    assert dear.gain < cheap.gain
    assert dear.payback_years >= cheap.payback_years
    # Where all years together pay, the coming one pays the interest: never less surely.
    assert cheap.chance_waiting_costs >= cheap.chance_pays - 1e-12


def test_the_cost_of_past_faults_has_its_error() -> None:
    assert past_cost([]) is None
    assert past_cost([300.0]) is None
    mean, error = past_cost([300.0, 500.0]) or (0, 0)
    assert (mean, error) == (400.0, pytest.approx(100.0))
    # The standard error of the mean, as scipy has it.
    costs = [310.0, 250.0, 900.0, 420.0, 380.0]
    assert past_cost(costs) == pytest.approx((np.mean(costs), stats.sem(costs)))


@pytest.mark.parametrize(
    "make",
    [
        lambda: Leg(0, 1, 1),
        lambda: Leg(1, 0, 1),
        lambda: Leg(1, 1, -1),
        lambda: Leg(1, 1, 1, renewed_rate=-0.1),
        lambda: Leg(1, 1, 1, kept=1.0),
        lambda: Money(0, 1, 0.1),
        lambda: Money(1, 0, 0.1),
        lambda: Money(1, 1, -0.1),
        lambda: Money(1, 1, 0.1, -1),
        lambda: look_back(1, 1, -1, 0),
        lambda: look_back(1, 1, 1, -1),
    ],
)
def test_impossible_input_is_refused(make: object) -> None:
    with pytest.raises(ValueError, match="Expected"):
        make()  # type: ignore[operator]
