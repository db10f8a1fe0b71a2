"""A reading is judged by what it should be; the bands are common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.wires.engines.copper import UnableToCompute
from sites.wires.engines.judge import (
    Expectation,
    Judgement,
    insulation_at_20_c,
    judge_insulation,
    judge_ohms,
    side_by_side,
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


@pytest.mark.parametrize(
    ("ohms", "judgement"),
    [
        # By hand, a coil of 24 ohms on 2 ohms of wire. Beside one of 60: 24 x 60 / 84 + 2 = 19.14.
        (20.8, Judgement.FINE),
        (20.7, Judgement.LOW),
        (19.2, Judgement.LOW),
        (19.1, Judgement.TWO_COILS),
        # Beside one alike 14, give or take a fifth; beside one of 20: 24 x 20 / 44 + 2 = 12.91.
        (14.0, Judgement.TWO_COILS),
        (12.9, Judgement.TWO_COILS),
        (11.3, Judgement.TWO_COILS),
        (11.1, Judgement.LOW),
    ],
)
def test_two_coils_need_not_be_alike(ohms: float, judgement: Judgement) -> None:
    assert judge_ohms(ohms, Expectation(total_ohms=26.0, wire_ohms=2.0)) is judgement


def test_a_strong_coil_beside_a_weak_one_reads_lower_than_half_of_it() -> None:
    # By hand: 44.005 x 20 / 64.005 + 6.385 = 20.14; half of the coil, less a fifth, is 22.71.
    assert judge_ohms(20.2, O1) is Judgement.TWO_COILS
    assert judge_ohms(20.1, O1) is Judgement.LOW


def test_without_a_coil_there_are_no_two() -> None:
    # Its own last good ohms are those of the wire: nothing is left for a coil.
    bare = Expectation(total_ohms=50.0, wire_ohms=20.0, own_last_good_ohms=20.0)
    assert judge_ohms(13.0, bare) is Judgement.SHORT_ON_THE_WAY


# By hand, coils of 24 and 60 ohms on 2 ohms of wire: 24 x 60 / 84 + 2 = 19.14 side by side, 26 and
# 62 alone, each give or take a fifth.
UNLIKE = Expectation(total_ohms=19.14, wire_ohms=2.0, coils=(24.0, 60.0))


@pytest.mark.parametrize(
    ("ohms", "judgement"),
    [
        (22.9, Judgement.FINE),
        (23.0, Judgement.ONE_COIL_OPEN),
        (26.0, Judgement.ONE_COIL_OPEN),
        (31.2, Judgement.ONE_COIL_OPEN),
        (31.3, Judgement.PARTIAL),
        (49.5, Judgement.PARTIAL),
        (49.7, Judgement.ONE_COIL_OPEN),
        (74.3, Judgement.ONE_COIL_OPEN),
        (74.5, Judgement.PARTIAL),
        (10_000, Judgement.OPEN),
        (2.3, Judgement.SHORT_AT_VALVE),
        (1.5, Judgement.SHORT_ON_THE_WAY),
    ],
)
def test_of_two_coils_one_may_be_open(ohms: float, judgement: Judgement) -> None:
    assert judge_ohms(ohms, UNLIKE) is judgement


def test_a_wire_of_one_coil_or_of_ohms_not_known_lacks_none() -> None:
    one = Expectation(total_ohms=19.14, wire_ohms=2.0, coils=(17.14,))
    unknown = Expectation(total_ohms=19.14, wire_ohms=None, coils=(24.0, 60.0))
    for expected in (one, unknown):
        assert judge_ohms(26.0, expected) is Judgement.PARTIAL


def test_of_three_coils_two_are_left_where_one_is_open() -> None:
    # By hand: three of 30 read 10 + 2, two of them 15 + 2, give or take a fifth.
    three = Expectation(total_ohms=12.0, wire_ohms=2.0, coils=(30.0, 30.0, 30.0))
    assert judge_ohms(17.0, three) is Judgement.ONE_COIL_OPEN
    assert judge_ohms(20.5, three) is Judgement.PARTIAL
    assert side_by_side((30.0, 30.0, 30.0)) == pytest.approx(10.0)
    assert side_by_side((24.0, 60.0)) == pytest.approx(17.14, abs=0.01)


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


# What others ask of a cable, in megohms: the least that they accept.
LEAST_MEGOHMS = {
    "circuits to 50 V, IEC 60364-6 style table of a railway's rules (found)": 0.5,
    "circuits to 500 V and above, the same (found)": 1.0,
    "250 V cable, ANSI/NETA MTS-2019 table 100.1 (found in a scan)": 25.0,
    "600 V cable, the same": 100.0,
    "low-voltage cable, UFGS 16302N p. 40 (found)": 2.0,
    "0.6/1 kV cable, new, openelectrical (found)": 100.0,
    "0.6/1 kV cable, aged, the same": 1.0,
    "rotating machines, not cable: the older rule of IEEE 43 at 24 V (found, computed)": 0.024 + 1,
}


@pytest.mark.parametrize("least", LEAST_MEGOHMS.values(), ids=list(LEAST_MEGOHMS))
def test_no_cable_that_another_rule_accepts_is_called_a_leak(least: float) -> None:
    assert judge_insulation(least) is Judgement.FINE


def test_the_city_that_accepts_least_is_where_we_begin_to_watch() -> None:
    # City of Frisco 3.08-3.09 (found): 100 kohm to earth.
    assert judge_insulation(0.1) is Judgement.WATCH
    assert judge_insulation(0.0999) is Judgement.LEAK


@pytest.mark.parametrize(("celsius", "factor"), [(0, 0.25), (10, 0.50), (20, 1.00), (30, 1.98)])
def test_insulation_halves_for_each_ten_degrees(celsius: float, factor: float) -> None:
    # Technical table 115 for oil equipment (found); 1.98 is its rounding of 2.
    assert insulation_at_20_c(1, celsius) == pytest.approx(factor, rel=0.011)


def test_insulation_referred_to_20_c() -> None:
    # I1: published 3360 (factor 2.80) for 1200 at 35 C, a table for oil equipment. The doubling
    # rule gives 2^1.5 = 2.83 and 3394: the table's factor is rounded, 1 % off.
    assert insulation_at_20_c(1200, 35) == pytest.approx(3360, rel=0.02)
    assert insulation_at_20_c(1200, 35) == pytest.approx(3394, abs=0.5)


def test_a_specification_that_asks_for_microhms_means_megohms() -> None:
    # FP-96 section 636 prints "10 microohms" for a loop's insulation: a misprint, for it would
    # be less than the wire itself. Ten megohms are fine, ten microhms are a dead leak.
    assert judge_insulation(10) is Judgement.FINE
    assert judge_insulation(10e-12) is Judgement.LEAK


def test_a_reading_below_nothing_is_refused() -> None:
    with pytest.raises(UnableToCompute, match="check the leads"):
        judge_ohms(-1, O1)


@given(st.floats(0, 1e6), st.floats(21, 200), st.floats(0.1, 20))
def test_every_reading_has_one_judgement(ohms: float, total: float, wire: float) -> None:
    assert judge_ohms(ohms, Expectation(total, wire)) in Judgement
