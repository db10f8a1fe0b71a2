"""Faults at the ends of a wire, and dead shorts, are answers with an error, not refusals."""

from math import hypot
from random import Random

import pytest

from faults.readings.engines import distance as d
from faults.readings.engines import distance_loops as loops
from faults.readings.engines.placing import (
    COPPER_SHARE,
    ERRORS_EXPLAIN,
    Check,
    Distance,
    ImpossibleDistance,
    Piece,
)
from sites.wires.engines.copper import awg_ohms_per_kft

R18 = awg_ohms_per_kft(18)
RUN_FT = 900.0
PAIR = [Piece(RUN_FT, 2 * R18)]


def joined(to_fault: float, fault: float, beyond: float) -> float:
    """Ohms with the far end joined: the fault and what lies beyond it side by side."""
    return to_fault + fault * beyond / (fault + beyond) if fault else to_fault


def at_the_end(method: str, beyond: float) -> Distance:
    """A dead short that reads as if it lay so many feet beyond the end of 900 ft of 18/18."""
    ohms = (RUN_FT + beyond) * 2 * R18 / 1000
    loop = RUN_FT * 2 * R18 / 1000
    if method == "one end":
        return loops.dead_short(pair=PAIR, ohms=ohms)
    if method == "both ends":
        far = max(loop - ohms, 0.0)
        return loops.short_from_both_ends(pair=PAIR, near_ohms=ohms, far_ohms=far, loop_ohms=loop)
    return loops.blavier(pair=PAIR, open_ohms=ohms, joined_ohms=ohms, loop_ohms=loop)


@pytest.mark.parametrize("method", ["one end", "both ends", "blavier"])
def test_a_short_at_the_very_end_is_an_answer(method: str) -> None:
    for beyond in (-4.0, 0.0, 4.0):
        found = at_the_end(method, beyond)
        assert found.feet == pytest.approx(RUN_FT, abs=4.1)
        assert found.feet <= RUN_FT
        assert found.error_ft > 0


def test_beyond_the_end_by_its_own_error_is_the_end_and_says_so() -> None:
    found = at_the_end("one end", 20)
    assert found.feet == RUN_FT
    assert found.beyond_ft == pytest.approx(20)
    assert at_the_end("one end", -20).beyond_ft == 0


def test_three_errors_beyond_the_end_is_the_edge() -> None:
    # The error at the edge: 0.1 ohm in feet, and 3 % of the feet. beyond = 3 of them.
    by_meter = 0.1 * 1000 / (2 * R18)
    beyond = 60.0
    for _ in range(50):
        beyond = ERRORS_EXPLAIN * hypot(by_meter, COPPER_SHARE * (RUN_FT + beyond))
    assert at_the_end("one end", beyond - 0.01).feet == RUN_FT
    with pytest.raises(ImpossibleDistance) as refused:
        at_the_end("one end", beyond + 0.01)
    assert refused.value.check is Check.SHORT


def test_a_cut_at_the_far_end_by_capacitance() -> None:
    # 5 % of each foot is its error: 1.02 of the sound wire is the end, 1 / 0.85 of it the edge.
    found = d.open_by_capacitance(length_ft=900, broken_nf=1.02, sound_nf=1)
    assert (found.feet, found.beyond_ft) == (900, pytest.approx(18))
    assert d.open_by_capacitance(length_ft=900, broken_nf=1 / 0.8501, sound_nf=1).feet == 900
    with pytest.raises(ImpossibleDistance):
        d.open_by_capacitance(length_ft=900, broken_nf=1 / 0.8499, sound_nf=1)


def test_a_fault_at_the_testers_own_end_is_an_answer() -> None:
    # The dial balances the whole loop, and a hundredth more than that.
    near = [Piece(RUN_FT, R18)]
    loop = 2 * near[0].ohms
    found = d.varley(
        faulty=near, sound=near, loop_ohms=loop, sound_arm=1, faulty_arm=1, dial_ohms=loop + 0.01
    )
    assert found.feet == 0
    assert found.beyond_ft < 0
    with pytest.raises(ImpossibleDistance) as refused:
        d.varley(
            faulty=near, sound=near, loop_ohms=loop, sound_arm=1, faulty_arm=1, dial_ohms=loop + 1
        )
    assert refused.value.check is Check.SWITCH


def short(open_ohms: float, *, joined_ohms: float = 5.75) -> Distance:
    return loops.blavier(pair=PAIR, open_ohms=open_ohms, joined_ohms=joined_ohms, loop_ohms=11.49)


def test_blavier_is_continuous_at_a_dead_short() -> None:
    # Before: error 10 ft at no difference at all, 243 ft at a thousandth of an ohm.
    at, beside, under = short(5.75), short(5.75001), short(5.74999)
    for other in (beside, under):
        assert other.feet == pytest.approx(at.feet, abs=2)
        assert other.error_ft == pytest.approx(at.error_ft, rel=0.05)
    assert 20 < at.error_ft < 60


@pytest.mark.parametrize("fault_ohms", [0.0, 0.3, 3.0])
@pytest.mark.parametrize("fault_ft", [450.0, 900.0])
def test_blavier_with_a_meters_noise_is_within_its_error(
    fault_ohms: float, fault_ft: float
) -> None:
    dice = Random(7)
    per_ft = 2 * R18 / 1000
    to_fault, beyond = fault_ft * per_ft, (RUN_FT - fault_ft) * per_ft
    refused, near, total = 0, 0, 400
    for _ in range(total):
        one, two, three = (dice.gauss(0, 0.05) for _ in range(3))
        try:
            found = loops.blavier(
                pair=PAIR,
                open_ohms=to_fault + fault_ohms + one,
                joined_ohms=joined(to_fault, fault_ohms, beyond) + two,
                loop_ohms=to_fault + beyond + three,
            )
        except ImpossibleDistance:
            refused += 1
            continue
        near += abs(found.feet - fault_ft) <= 2 * found.error_ft
    assert refused <= 0.01 * total
    assert near >= 0.83 * total


def test_blavier_refuses_joined_above_open_beyond_the_meters_error() -> None:
    edge = ERRORS_EXPLAIN * 0.05 * 2**0.5
    assert short(5.75, joined_ohms=5.75 + edge - 0.001).feet > 0
    with pytest.raises(ImpossibleDistance) as refused:
        short(5.75, joined_ohms=5.75 + edge + 0.001)
    assert refused.value.check is Check.ORDER


def test_the_loop_of_three_readings_is_as_uncertain_as_the_fault_in_it() -> None:
    # With 6 ohm in the fault each reading moves it little; a dead short hides under a root.
    dice, told = Random(11), []
    for _ in range(400):
        a, b = (450 * 2 * R18 / 1000 + dice.gauss(0, 0.05) for _ in range(2))
        one = {"open_ohms": a, "joined_ohms": a + dice.gauss(0, 0.05), "far_ohms": b}
        loop, error = loops.loop_by_three_readings(**one)
        told.append(abs(loop - PAIR[0].ohms) > ERRORS_EXPLAIN * error)
    assert sum(told) <= 0.02 * len(told)
    _loop, error = loops.loop_by_three_readings(open_ohms=11.8, joined_ohms=8.7, far_ohms=11.8)
    assert 0.05 < error < 0.2
