"""Repair or replace: textbook examples, and a leg."""

from dataclasses import replace

import numpy as np
import pytest

from reports.hotspots.engines.paying import present_worth_of_annuity
from reports.hotspots.engines.worth import (
    Inputs,
    capital_recovery,
    worth,
)


@pytest.mark.parametrize(
    ("found", "printed"),
    [
        # Computed with numpy-financial 1.0.0; the factors of every textbook's tables.
        (capital_recovery(0.08, 10), 0.1490),
        (present_worth_of_annuity(0.08, 10), 6.7101),
        (present_worth_of_annuity(0.03, 10), 8.53),
        (present_worth_of_annuity(0.03, 20), 14.88),
    ],
)
def test_factors(found: float, printed: float) -> None:
    digits = len(f"{printed}".partition(".")[2])
    assert found == pytest.approx(printed, abs=0.6 * 10**-digits)


def test_costs_of_keeping_and_replacing_as_printed() -> None:
    """Sullivan, Wicks and Koelling, example 9-4 and a defender against its challenger (found)."""
    interest, bought = 0.10, 30_000.0
    values = (22_500, 16_875, 12_750, 9_750, 7_125)
    running = (3_000, 4_500, 7_000, 10_000, 13_000)
    worths, before, a_year = 0.0, bought, []
    for year, (value, cost) in enumerate(zip(values, running, strict=True), start=1):
        worths += (before - value + interest * before + cost) * (1 + interest) ** -year
        a_year.append(worths * capital_recovery(interest, year))
        before = value
    assert a_year == pytest.approx([13_500, 12_964, 12_918, 13_211, 13_766], abs=1)
    assert a_year.index(min(a_year)) == 2  # it is kept for three years
    annuity = present_worth_of_annuity(0.20, 5)
    assert 7_000 + 8_000 * annuity == pytest.approx(30_924.90, abs=0.01)
    # What is left of it after five years comes back.
    assert 22_000 + 5_100 * annuity - 9_000 * 1.2**-5 == pytest.approx(33_635.22, abs=0.01)


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


def test_the_chance_by_drawing_lives() -> None:
    random = np.random.default_rng(2)
    rates = random.gamma(3.2, 1 / 4.0, 200_000)
    saved = np.zeros(200_000)
    for year in range(1, 21):
        spared = random.poisson(rates) - random.poisson(0.015, 200_000)
        saved += 900 * spared * 1.05**-year
    assert worth(LEG).chance_replacing_pays == pytest.approx((saved > 6_000).mean(), abs=0.005)


def test_at_the_break_even_rate_both_cost_the_same() -> None:
    rate = worth(LEG).break_even_rate
    there = worth(replace(LEG, shape=rate * 1e6, years_behind=1e6))
    assert there.gain == pytest.approx(0, abs=1e-6)


def test_the_three_inputs_that_matter_most_come_first() -> None:
    swings = worth(LEG).swings
    assert [swing.name for swing in swings] == ["rate", "fault_cost", "horizon_years"]
    assert swings[0].decides
    assert swings[0].width >= swings[1].width >= swings[2].width


@pytest.mark.parametrize(
    ("name", "value"),
    [("fault_cost", 0), ("horizon_years", 0), ("interest", -0.1), ("kept", -1), ("shape", 0)],
)
def test_what_cannot_be_is_refused(name: str, value: float) -> None:
    with pytest.raises(ValueError, match=name):
        replace(LEG, **{name: value})
