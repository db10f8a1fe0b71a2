"""A reading is judged by what it should be; the bands are common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.engines.wire.copper import UnableToCompute
from sites.engines.wire.judge import (
    Expectation,
    Judgement,
    coil_temperature_c,
    insulation_at_20_c,
    judge_insulation,
    judge_ohms,
)

# Computed (O1): coil 44, 18/18, 500 ft: good 50.39, two coils 28.39, short at the valve 6.385.
O1 = Expectation(total_ohms=50.39, wire_ohms=6.385)


@pytest.mark.parametrize(
    ("ohms", "judgement"),
    [
        (50.4, Judgement.FINE),
        (60.0, Judgement.FINE),
        (20_000, Judgement.OPEN),
        (75, Judgement.PARTIAL),
        (28.39, Judgement.TWO_COILS),
        (6.4, Judgement.SHORT_AT_VALVE),
        (3.0, Judgement.SHORT_ON_THE_WAY),
        (15, Judgement.LOW),
    ],
)
def test_against_what_was_computed(ohms: float, judgement: Judgement) -> None:
    assert judge_ohms(ohms, O1) is judgement


def test_its_own_last_good_reading_goes_before_what_was_computed() -> None:
    own = Expectation(total_ohms=50.39, wire_ohms=6.385, own_last_good_ohms=38.0)
    assert judge_ohms(38.5, own) is Judgement.FINE
    assert judge_ohms(50.4, own) is Judgement.PARTIAL


@pytest.mark.parametrize(
    ("ohms", "judgement"),
    [(10, Judgement.LOW), (40, Judgement.FINE), (90, Judgement.PARTIAL), (1e6, Judgement.OPEN)],
)
def test_by_rule_of_thumb_where_nothing_is_known(ohms: float, judgement: Judgement) -> None:
    # 20 to 60 ohms: a general trade handbook page; common practice.
    assert judge_ohms(ohms, Expectation(None, None)) is judgement


@pytest.mark.parametrize(
    ("megohms", "judgement"),
    [(0.05, Judgement.LEAK), (0.1, Judgement.WATCH), (0.5, Judgement.FINE)],
)
def test_insulation(megohms: float, judgement: Judgement) -> None:
    # 100 kohm: City of Frisco engineering standards 3.08-3.09 (found); 0.5: IEC 60364-6 style
    # table, circuits to 50 V (found).
    assert judge_insulation(megohms) is judgement


def test_insulation_referred_to_20_c() -> None:
    # Published 3360 (factor 2.80) for 1200 at 35 C, a table for oil equipment; ours is 2^1.5.
    assert insulation_at_20_c(1200, 35) == pytest.approx(3360, rel=0.02)


def test_a_coils_heat_from_its_rise_o3() -> None:
    # Computed: 40 cold at 20 C, 48 after running.
    assert coil_temperature_c(40, 48, 20) == pytest.approx(70.9, abs=0.1)


def test_a_reading_below_nothing_is_refused() -> None:
    with pytest.raises(UnableToCompute, match="check the leads"):
        judge_ohms(-1, O1)


@given(st.floats(0, 1e6), st.floats(21, 200), st.floats(0.1, 20))
def test_every_reading_has_one_judgement(ohms: float, total: float, wire: float) -> None:
    assert judge_ohms(ohms, Expectation(total, wire)) in Judgement
