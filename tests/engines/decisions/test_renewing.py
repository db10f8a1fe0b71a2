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
    look_back,
    payback_years,
    weigh,
)
from reports.hotspots.engines.paying import Money

# Our own example, each figure by two methods: 2 + 5 faults over 4 + 0.6 x 8 thousand-foot-years
# of a leg of 600 ft; a renewal of 2,900 that keeps a tenth of the rate; 480 a fault.
LEG = Leg(shape=7, years_behind=8.8 / 0.6, cost=2900, kept=0.1)
MONEY = Money(fault_cost=480, years=15, interest=0.04)
PLAIN = replace(MONEY, interest=0.0)


def rate_is_above(leg: Leg, money: Money) -> float:
    """Return the chance that the true rate of a leg lies above its break-even."""
    at = weigh(leg, money).break_even_rate
    return float(stats.gamma.sf(at, leg.shape, scale=1 / leg.years_behind))


def test_the_worked_example() -> None:
    found = weigh(LEG, MONEY)
    assert MONEY.annuity == pytest.approx(11.118387, abs=1e-6)
    assert LEG.rate == pytest.approx(0.477273, abs=1e-6)
    assert found.saved_a_year == pytest.approx(206.1818, abs=1e-4)
    assert found.gain == pytest.approx(-607.59, abs=5e-3)
    assert rate_is_above(LEG, MONEY) == pytest.approx(0.220280, abs=1e-6)
    assert found.payback_years == pytest.approx(21.0840, abs=1e-4)
    assert found.waiting_cost == pytest.approx(86.71, abs=5e-3)
    assert found.chance_waiting_costs == pytest.approx(0.895658, abs=1e-6)
    # As a rate of a thousand feet the example has 1.006285.
    assert found.break_even_rate / 0.6 == pytest.approx(1.006285, abs=1e-6)


def test_the_worked_example_without_interest() -> None:
    found = weigh(LEG, PLAIN)
    assert found.break_even_rate / 0.6 == pytest.approx(0.745885, abs=1e-6)
    assert rate_is_above(LEG, PLAIN) == pytest.approx(0.516504, abs=1e-6)
    assert found.payback_years == pytest.approx(14.0653, abs=1e-4)


def test_it_pays_where_seven_faults_or_more_are_spared() -> None:
    # 2,900 of 480 each: the negative binomial tail, by three methods.
    found = weigh(replace(LEG, kept=0.0), PLAIN)
    assert found.chance_pays == pytest.approx(0.516471, abs=1e-6)


@pytest.mark.parametrize("still", [0.1, 0.4])
def test_faults_that_still_come_count_against_it(still: float) -> None:
    found = weigh(replace(LEG, kept=0.0, renewed_rate=still), PLAIN)
    stays = LEG.years_behind / (LEG.years_behind + 15)
    counts = np.arange(200)
    spared = stats.nbinom.sf(counts + 6, 7, stays)
    by_sum = float((stats.poisson.pmf(counts, still * 15) * spared).sum())
    assert found.chance_pays == pytest.approx(by_sum, abs=1e-6)


@pytest.mark.parametrize(
    "money",
    [
        MONEY,
        replace(MONEY, fault_cost_sd=400.0),
        replace(MONEY, fault_cost_sd=200.0, fault_cost_se=120.0),
        replace(MONEY, years=7.5, fault_cost_sd=400.0),
    ],
)
def test_lives_that_are_drawn_pay_as_often(money: Money) -> None:
    leg = replace(LEG, cost=1500, renewed_rate=0.05)
    random = np.random.default_rng(3)
    n = 200_000
    rates = random.gamma(leg.shape, 1 / leg.years_behind, n)
    means = np.maximum(random.normal(money.fault_cost, money.fault_cost_se, n), 24)
    saved = np.zeros(n)
    worths, parts = money.ahead.worths
    for worth, part in zip(worths, parts * money.years, strict=True):
        for rate, sign in ((rates, 1), (leg.renewed_rate + leg.kept * rates, -1)):
            saved += sign * worth * _costs(random, random.poisson(rate * part), money) * means
    assert weigh(leg, money).chance_pays == pytest.approx((saved > 1500).mean(), abs=0.005)


def _costs(random: np.random.Generator, counts: np.ndarray, money: Money) -> np.ndarray:
    spread = money.fault_cost_sd / money.fault_cost
    if not spread:
        return counts.astype(float)
    drawn = random.gamma(np.maximum(counts, 1) / spread**2, spread**2)
    return np.where(counts > 0, drawn, 0.0)


def test_years_that_are_not_whole_are_worth_what_the_annuity_says() -> None:
    for years in (1, 7.5, 20, 20.25):
        worths, parts = replace(MONEY, years=years).ahead.worths
        assert parts.sum() == pytest.approx(1)
        money = replace(MONEY, years=years)
        assert (worths * parts).sum() * years == pytest.approx(money.annuity)


@pytest.mark.parametrize(("seen", "chance"), [(0, 0.168100), (1, 0.272930), (2, 0.396879)])
def test_one_more_season_moves_the_chance(seen: int, chance: float) -> None:
    # The same example after a season: one more year of 600 ft, and what it brought.
    later = replace(LEG, shape=7 + seen, years_behind=LEG.years_behind + 1)
    assert rate_is_above(later, MONEY) == pytest.approx(chance, abs=1e-6)


def test_the_season_to_come_tells_nothing_on_average() -> None:
    stays = LEG.years_behind / (LEG.years_behind + 1)
    total = sum(
        float(stats.nbinom.pmf(seen, 7, stays))
        * weigh(replace(LEG, shape=7 + seen, years_behind=LEG.years_behind + 1), MONEY).chance_pays
        for seen in range(200)
    )
    assert total == pytest.approx(weigh(LEG, MONEY).chance_pays, abs=2e-4)


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
    found = weigh(LEG, unsure)
    by_draws = float((costs * rates * 0.9 > 2900 * 0.04).mean())
    assert found.chance_waiting_costs == pytest.approx(by_draws, abs=0.004)
    # What is expected stays, only how sure it is changes.
    assert found.gain == weigh(LEG, MONEY).gain


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
    assert dear.chance_pays <= cheap.chance_pays + 1e-9
    assert dear.gain < cheap.gain
    assert dear.payback_years >= cheap.payback_years
    assert dear.chance_waiting_costs <= cheap.chance_waiting_costs + 1e-12


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
        lambda: Money(1, 1, 0.1, 1, -1),
        lambda: look_back(1, 1, -1, 0),
        lambda: look_back(1, 1, 1, -1),
    ],
)
def test_impossible_input_is_refused(make: object) -> None:
    with pytest.raises(ValueError, match="Expected"):
        make()  # type: ignore[operator]
