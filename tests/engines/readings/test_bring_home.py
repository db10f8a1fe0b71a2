"""Bring-home test: what a loop that was read at the clock says of the wire."""

from math import inf

import numpy as np
import pytest

from faults.readings.engines.bring_home import (
    Loop,
    Story,
    Verdict,
    Why,
    bands_of,
    expected_loop,
    hypotheses,
    judge_loop,
    minutes_of,
    shares_of_damage,
    still_sound,
    verdict_of,
)
from faults.readings.engines.loop_beliefs import Between, Hypothesis, Near, Truth, posterior
from faults.readings.engines.loop_numbers import LoopNumbers, UnusableLoopNumbers
from sites.wires.engines.warmth import Warmth
from tests.engines.readings.loop_worlds import played_until

NUMBERS = LoopNumbers()
# 1,000 ft of two No. 14 wires at 12 C: 5.050 ohms a 1000 ft of pair at 20 C.
LOOP = expected_loop(
    ohms_at_20_c=5.050,
    length_ft=1000.0,
    length_sd_ft=30.0,
    warmth=Warmth(12.0, 12.0, 3.0),
    size_sd_share=0.02,
)
BY_CHOICE = Story(Why.ELSE, length_ft=1000.0)


def test_expected_ohms_and_each_part_of_their_error() -> None:
    # Own example: 1,000 +- 30 ft, 5.050 ohms a 1000 ft, 12 +- 3 C, sizes 2 %; the delta method and
    # a million draws agree.
    assert LOOP.ohms == pytest.approx(4.8912, abs=5e-5)
    assert LOOP.of_length == pytest.approx(0.1467, abs=5e-5)
    assert LOOP.of_warmth == pytest.approx(0.0595, abs=5e-5)
    assert LOOP.of_size == pytest.approx(0.0978, abs=5e-5)
    assert LOOP.sd == pytest.approx(0.1861, abs=5e-5)


def test_the_delta_method_agrees_with_draws() -> None:
    draws = np.random.default_rng(7)
    n = 400_000
    length = draws.normal(1000.0, 30.0, n)
    warmth = draws.normal(12.0, 3.0, n)
    ohms = length / 1000 * 5.050 * draws.normal(1.0, 0.02, n) * (1 + 0.00393 * (warmth - 20))
    assert ohms.mean() == pytest.approx(LOOP.ohms, rel=0.002)
    assert ohms.std() == pytest.approx(LOOP.sd, rel=0.01)


# A mended wire read with its own coil of 40 ohms: own example, computed in two ways.
AT_12_C = 1 + 0.00393 * (12 - 20)
WIRE, COIL = 5.050 * AT_12_C, 40.0 * AT_12_C
MENDED = [
    Hypothesis(Truth.SOUND, 0.80, Near(COIL + WIRE, 2)),
    Hypothesis(Truth.OTHER, 0.08, Near(COIL + 0.6 * WIRE, 2)),
    Hypothesis(Truth.TWO_COILS, 0.04, Near(COIL / 2 + WIRE, 2)),
    Hypothesis(Truth.SHORT, 0.03, Near(WIRE, 1)),
    Hypothesis(Truth.POOR, 0.05, Near(COIL + WIRE + 15, 8)),
]


@pytest.mark.parametrize(
    ("ohms", "likely"),
    [
        (43.9, (0.943950, 0.053225, 0.0, 0.0, 0.002825)),
        (41.0, (0.821355, 0.175990, 0.0, 0.0, 0.002655)),
        (45.5, (0.967753, 0.026124, 0.0, 0.0, 0.006122)),
        (50.5, (0.288546, 0.000780, 0.0, 0.0, 0.710675)),
        (24.6, (0.0, 0.0, 0.999960, 0.0, 0.000040)),
        (5.2, (0.0, 0.0, 0.0, 1.0, 0.0)),
    ],
)
def test_a_mended_wire_with_its_coil(ohms: float, likely: tuple[float, ...]) -> None:
    found = posterior(MENDED, ohms, 0.5)
    assert tuple(found.values()) == pytest.approx(likely, abs=1e-6)


def test_a_meter_that_says_nothing_leaves_the_prior() -> None:
    found = posterior(MENDED, 43.9, 1e5)
    assert tuple(found.values()) == pytest.approx((0.80, 0.08, 0.04, 0.03, 0.05), abs=1e-6)


def test_a_short_on_the_way_reads_anything_up_to_the_loop() -> None:
    ohms = np.linspace(-3, 9, 4001)
    dense = np.exp(Between(0.0, 4.9).log_density(ohms, 0.3))
    assert np.trapezoid(dense, ohms) == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("apart_open", [True, None])
def test_over_range_is_an_open_loop_and_no_number(apart_open: bool | None) -> None:
    found = judge_loop(LOOP, BY_CHOICE, NUMBERS, None, apart_open=apart_open)
    assert found.verdict is Verdict.BROKEN
    assert found.likeliest_damage is Truth.OPEN
    # A sound wire is never open: no ohms, however many, say as much.
    assert found.chance == 0.0
    as_a_number = judge_loop(LOOP, BY_CHOICE, NUMBERS, 10_000.0, apart_open=apart_open)
    assert as_a_number.truths[Truth.OPEN] != found.truths[Truth.OPEN]


def test_joined_ends_that_read_as_expected_are_sound_once_they_read_open_apart() -> None:
    seen = judge_loop(LOOP, BY_CHOICE, NUMBERS, 4.9, apart_open=True)
    assert seen.verdict is Verdict.SOUND
    assert seen.chance > 0.995
    # By a wire that is thought broken, nobody having looked at the ends apart, a short is not out.
    unseen = judge_loop(LOOP, Story(Why.WIRE, length_ft=1000.0), NUMBERS, 4.9)
    assert unseen.verdict is Verdict.DOUBTFUL
    # So is a second coil on the wire, which the joined ends bridge.
    assert unseen.truths[Truth.SHORT] > 0.01
    assert unseen.truths[Truth.TWO_COILS] > 0.01
    closed = judge_loop(LOOP, Story(Why.WIRE, length_ft=1000.0), NUMBERS, 4.9, apart_open=False)
    assert closed.chance < unseen.chance
    assert seen.truths[Truth.SHORT] < 0.001


def test_a_poor_splice_and_a_short_are_told_apart_by_ohms() -> None:
    poor = judge_loop(LOOP, BY_CHOICE, NUMBERS, 19.0, apart_open=True)
    assert (poor.verdict, poor.likeliest_damage) == (Verdict.BROKEN, Truth.POOR)
    short = judge_loop(LOOP, BY_CHOICE, NUMBERS, 1.6, apart_open=False)
    assert (short.verdict, short.likeliest_damage) == (Verdict.BROKEN, Truth.SHORT)
    soil = judge_loop(LOOP, BY_CHOICE, NUMBERS, 1_500.0, apart_open=True)
    assert (soil.verdict, soil.likeliest_damage) == (Verdict.BROKEN, Truth.OPEN)


def test_a_leak_is_never_cleared_by_ohms() -> None:
    for symptom in ("leak to earth", "comes and goes"):
        story = Story(Why.WIRE, symptom=symptom, length_ft=1000.0)
        found = judge_loop(LOOP, story, NUMBERS, 4.9, apart_open=True)
        assert found.verdict is Verdict.DOUBTFUL
        assert found.likeliest_damage is Truth.HIDDEN


def test_across_a_known_coil_its_ohms_lie_in_the_loop() -> None:
    found = judge_loop(LOOP, BY_CHOICE, NUMBERS, 44.9, apart_open=True, across_ohms=40.0)
    assert found.verdict is Verdict.SOUND
    half = judge_loop(LOOP, BY_CHOICE, NUMBERS, 24.9, across_ohms=40.0)
    assert half.likeliest_damage is Truth.TWO_COILS
    joined = judge_loop(LOOP, BY_CHOICE, NUMBERS, 44.9, apart_open=True)
    assert joined.verdict is Verdict.BROKEN


def test_verdicts_begin_at_their_edges() -> None:
    numbers = LoopNumbers()
    assert verdict_of(0.99, numbers) is Verdict.SOUND
    assert verdict_of(0.9899999, numbers) is Verdict.DOUBTFUL
    assert verdict_of(0.0500001, numbers) is Verdict.DOUBTFUL
    assert verdict_of(0.05, numbers) is Verdict.BROKEN


def test_the_prior_falls_with_age_and_with_broken_wires_beside_it() -> None:
    def chance(**given: object) -> float:
        return Story(Why.WIRE, length_ft=1000.0, **given).chance(NUMBERS)  # type: ignore[arg-type]

    assert chance() == pytest.approx(0.30)
    # 1e-4 a foot and year: in 1,000 ft over a year 0.1, exp(-0.1) = 0.904837.
    assert chance(days=365) == pytest.approx(0.30 * 0.9049, rel=1e-3)
    one, two, three = (chance(others_broken=n) for n in (1, 2, 3))
    assert 0.30 > one > two > three
    assert chance(others_broken=4) == three
    # Odds 3/7 times 0.6 and 1.4: 0.36 of 1.36.
    assert one == pytest.approx(0.2045454, abs=1e-6)
    assert chance(others_sound=1) == pytest.approx(0.375, abs=1e-6)
    assert chance(others_sound=2) > chance(others_sound=1)
    unknown = Story(Why.WIRE, days=4000)
    assert unknown.chance(NUMBERS) == pytest.approx(0.30)


def test_why_it_is_off_orders_the_prior() -> None:
    by_why = [Story(why).chance(NUMBERS) for why in (Why.BREAK, Why.WIRE, Why.NOT_KNOWN, Why.ELSE)]
    assert by_why == sorted(by_why)
    assert Story(Why.MENDED).chance(NUMBERS) == pytest.approx(0.90)


@pytest.mark.parametrize(
    "symptom",
    [
        *("", "open", "short", "low voltage", "leak to earth", "comes and goes"),
        *("stays on", "runs with another", "several weak"),
    ],
)
def test_shares_of_damage_sum_to_one(symptom: str) -> None:
    shares = shares_of_damage(symptom, NUMBERS)
    assert sum(shares.values()) == pytest.approx(1.0)
    assert set(shares) == set(Truth) - {Truth.SOUND}
    among = hypotheses(LOOP, Story(Why.WIRE, symptom=symptom), NUMBERS)
    assert sum(each.prior for each in among) == pytest.approx(1.0)


def test_a_sound_verdict_fades() -> None:
    assert still_sound(1000.0, 0, NUMBERS) == 1.0
    assert still_sound(1000.0, -3, NUMBERS) == 1.0
    assert still_sound(1000.0, 37, NUMBERS) < 0.99 < still_sound(1000.0, 36, NUMBERS)


def test_bands_say_what_the_rule_says() -> None:
    for apart in (True, False, None):
        bands = bands_of(LOOP, BY_CHOICE, NUMBERS, apart_open=apart)
        assert bands[-1].to_ohms == inf
        for ohms in (0.0, 2.5, 4.4, 4.9, 5.6, 8.0, 19.0, 400.0):
            found = judge_loop(LOOP, BY_CHOICE, NUMBERS, ohms, apart_open=apart)
            band = next(each for each in bands if ohms <= each.to_ohms)
            assert band.verdict is found.verdict
            if band.percent is None:
                assert found.verdict is not Verdict.DOUBTFUL
            else:
                assert band.percent <= found.chance * 100 < band.percent + 5


def test_work_is_counted_by_what_is_left_to_do() -> None:
    # 1,000 ft there and back at 250 ft a minute, 8 minutes of test, 20 to return half of the time.
    assert minutes_of(0.5, is_read=False, length_ft=1000.0, numbers=NUMBERS) == 26.0
    assert minutes_of(1.0, is_read=True, length_ft=1000.0, numbers=NUMBERS) == 28.0
    assert minutes_of(0.5, is_read=False, length_ft=None, numbers=NUMBERS) == 18.0


@pytest.mark.parametrize(
    "given",
    [
        {"loop_sound_from": 0.98},
        {"loop_sound_from": 1.0},
        {"loop_meter_sd_ohms": 0.0},
        {"loop_sound_if_wire": 1.0},
        {"loop_sound_if_wire": 0.0},
        {"loop_short_share": 0.9},
        {"loop_broken_below": 0.6},
        {"loop_test_min": 501.0},
        {"loop_trench_sound_odds": 21.0},
        {"loop_gauge_sd_share": -0.1},
    ],
)
def test_refuses_numbers_that_cannot_be(given: dict[str, float]) -> None:
    with pytest.raises(UnusableLoopNumbers):
        LoopNumbers(**given)


@pytest.mark.parametrize(("ohms", "feet"), [(0.0, 100.0), (5.0, 0.0), (-1.0, 100.0)])
def test_refuses_a_loop_of_nothing(ohms: float, feet: float) -> None:
    warmth = Warmth(20.0, 20.0, 2.0)
    with pytest.raises(ValueError, match="Expected ohms and length > 0"):
        expected_loop(
            ohms_at_20_c=ohms, length_ft=feet, length_sd_ft=1, warmth=warmth, size_sd_share=0.02
        )


def test_a_length_is_as_good_as_its_source() -> None:
    shares = [NUMBERS.length_sd_share(s) for s in ("measured", "paced", "scaled", "guessed", "")]
    assert shares == [0.01, 0.05, 0.05, 0.15, 0.15]
    assert isinstance(LOOP, Loop)


def test_chances_hold_on_invented_wires() -> None:
    # The full size, and its bars, is `.ci/long bring_home`: here 160 scatter by 1.7 %.
    tally = played_until(160, seed=19)
    assert 0.91 <= tally.near_95_sound / tally.near_95 <= 0.985
    assert tally.said_sound > 500
    assert tally.wrong / tally.said_sound < 0.01
    assert tally.broken_but_sound / tally.said_broken < 0.01
