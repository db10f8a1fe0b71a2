"""Repair or replace: textbook examples, and a leg."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.hotspots.engines.worth import (
    Inputs,
    capital_recovery,
    equivalent_annual_cost,
    present_worth,
    present_worth_of_annuity,
    worth,
)


def test_a_lift_truck_is_kept_for_three_years() -> None:
    # Sullivan, Wicks and Koelling, Engineering Economy, example 9-4, as solutions print it:
    # 13,500 12,964 12,918 13,211 13,766 at 10 %.
    bought, values = 30_000, [22_500, 16_875, 12_750, 9_750, 7_125]
    expenses = [3_000, 4_500, 7_000, 10_000, 13_000]
    starts = [bought, *values[:-1]]
    yearly = [
        start - end + 0.10 * start + expense
        for start, end, expense in zip(starts, values, expenses, strict=True)
    ]
    costs = [equivalent_annual_cost(yearly[:n], 0.10) for n in range(1, 6)]
    assert costs == pytest.approx([13_500, 12_964, 12_918, 13_211, 13_766], abs=1)
    assert min(range(5), key=lambda n: costs[n]) == 2


def test_two_ways_over_five_years() -> None:
    # A printed exercise at 20 %: 30,925 and 33,635. Its text adds the 9,000 of the fifth year;
    # the printed sum takes them off, as money that comes back must be.
    annuity = present_worth_of_annuity(0.20, 5)
    assert 7_000 + 8_000 * annuity == pytest.approx(30_924.90, abs=0.01)
    back = present_worth([0, 0, 0, 0, 9_000], 0.20)
    assert 22_000 + 5_100 * annuity - back == pytest.approx(33_635.22, abs=0.01)


@pytest.mark.parametrize(
    ("found", "printed"),
    [
        # Computed with numpy-financial 1.0.0; the factors of every textbook's tables.
        (capital_recovery(0.08, 10), 0.1490),
        (present_worth_of_annuity(0.08, 10), 6.7101),
        (present_worth([0.0] * 9 + [1.0], 0.08), 0.4632),
        (present_worth([0.0] * 9 + [1.0], 0.03), 0.744),
        (present_worth_of_annuity(0.03, 10), 8.53),
        (present_worth([0.0] * 19 + [1.0], 0.03), 0.554),
        (present_worth_of_annuity(0.03, 20), 14.88),
    ],
)
def test_factors(found: float, printed: float) -> None:
    digits = len(f"{printed}".partition(".")[2])
    assert found == pytest.approx(printed, abs=0.6 * 10**-digits)


LEG = Inputs(
    fault_cost=900,
    renewal_cost=6_000,
    horizon_years=20,
    interest=0.05,
    ordinary_rate=0.03,
    shape=3.2,
    years_behind=4.0,
)


def test_a_leg_that_breaks_most_years() -> None:
    found = worth(LEG)
    assert found.faults_if_kept == pytest.approx(16)
    assert found.faults_if_renewed == pytest.approx(0.3)
    assert found.repair_a_year == pytest.approx(720)
    assert found.gain == pytest.approx(720 - 6_000 * capital_recovery(0.05, 20) - 0.015 * 900)
    assert found.fault_limits.low < 16 < found.fault_limits.high


def test_the_chance_by_drawing_rates() -> None:
    rates = np.random.default_rng(2).gamma(3.2, 1 / 4.0, 200_000)
    found = worth(LEG)
    assert found.chance_replacing_pays == pytest.approx(
        (rates > found.break_even_rate).mean(), abs=0.005
    )


def test_at_the_break_even_rate_both_cost_the_same() -> None:
    rate = worth(LEG).break_even_rate
    there = worth(replace(LEG, shape=rate * 1e6, years_behind=1e6))
    assert there.gain == pytest.approx(0, abs=1e-6)


def test_the_three_inputs_that_matter_most_come_first() -> None:
    swings = worth(LEG).swings
    assert [swing.name for swing in swings] == ["rate", "fault_cost", "horizon_years"]
    assert swings[0].decides
    assert swings[0].width >= swings[1].width >= swings[2].width


@given(st.floats(0, 0.3), st.integers(1, 40), st.lists(st.floats(0, 1e5), min_size=1, max_size=40))
def test_a_yearly_cost_is_worth_what_it_stands_for(
    rate: float, years: int, flows: list[float]
) -> None:
    flows = (flows * years)[:years]
    yearly = equivalent_annual_cost(flows, rate)
    assert present_worth([yearly] * len(flows), rate) == pytest.approx(present_worth(flows, rate))


@pytest.mark.parametrize(
    ("name", "value"),
    [("fault_cost", 0), ("horizon_years", 0), ("interest", -0.1), ("kept", -1), ("shape", 0)],
)
def test_what_cannot_be_is_refused(name: str, value: float) -> None:
    with pytest.raises(ValueError, match=name):
        replace(LEG, **{name: value})
