"""A measured loop sets the scale of a distance, and what is no number is refused."""

from collections.abc import Callable
from math import hypot, inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.readings.engines import distance as d
from faults.readings.engines import distance_loops as loops
from faults.readings.engines.placing import (
    COPPER_SHARE,
    ERRORS_EXPLAIN,
    Check,
    Distance,
    ImpossibleDistance,
    Piece,
    is_another_loop,
)
from sites.wires.engines.copper import awg_ohms_per_kft

R14, R16, R18 = (awg_ohms_per_kft(size) for size in (14, 16, 18))
RUN_FT, FAULT_FT = 900.0, 450.0
# The register says 18 AWG; in the ground lies 16. Readings are of what lies in the ground.
AS_REGISTERED = [Piece(RUN_FT, 2 * R18)]
LOOP = RUN_FT * 2 * R16 / 1000
OHMS = FAULT_FT * 2 * R16 / 1000
FAULT_OHMS = 6.0


def joined(to_fault: float, fault: float, beyond: float) -> float:
    """Ohms with the far end joined: the fault and what lies beyond it side by side."""
    return to_fault + fault * beyond / (fault + beyond) if fault else to_fault


MISREAD: dict[str, Callable[[], Distance]] = {
    "both ends": lambda: loops.short_from_both_ends(
        pair=AS_REGISTERED,
        near_ohms=OHMS + FAULT_OHMS,
        far_ohms=LOOP - OHMS + FAULT_OHMS,
        loop_ohms=LOOP,
    ),
    "blavier": lambda: loops.blavier(
        pair=AS_REGISTERED,
        open_ohms=OHMS + FAULT_OHMS,
        joined_ohms=joined(OHMS, FAULT_OHMS, LOOP - OHMS),
        loop_ohms=LOOP,
    ),
    "varley": lambda: d.varley(
        faulty=[Piece(RUN_FT, R18)],
        sound=[Piece(RUN_FT, R18)],
        loop_ohms=LOOP,
        sound_arm=10,
        faulty_arm=10,
        dial_ohms=LOOP - OHMS,
    ),
    "varley, balanced twice": lambda: d.varley_balanced_twice(
        faulty=[Piece(RUN_FT, R18)],
        sound=[Piece(RUN_FT, R18)],
        sound_arm=10,
        faulty_arm=20,
        loop_dial_ohms=2 * LOOP,
        dial_ohms=(20 * LOOP - 30 * OHMS / 2) / 10,
    ),
    "one end": lambda: loops.dead_short(pair=AS_REGISTERED, ohms=OHMS, loop_ohms=LOOP),
    "three readings": lambda: loops.short_by_three_readings(
        pair=AS_REGISTERED,
        is_length_known=True,
        open_ohms=OHMS + FAULT_OHMS,
        joined_ohms=joined(OHMS, FAULT_OHMS, LOOP - OHMS),
        far_ohms=LOOP - OHMS + FAULT_OHMS,
    ),
}


@pytest.mark.parametrize("method", MISREAD)
def test_a_wire_size_misread_in_the_register_moves_no_fault(method: str) -> None:
    # By the register's ohms per foot each of these answered 283 ft of 450.
    assert MISREAD[method]().feet == pytest.approx(FAULT_FT, abs=0.1)


def test_one_end_without_a_loop_still_goes_by_the_register() -> None:
    found = loops.dead_short(pair=AS_REGISTERED, ohms=OHMS)
    assert found.feet == pytest.approx(283, abs=0.5)


def test_a_measured_loop_leaves_no_error_of_copper_along_one_size() -> None:
    # Computed: (A - B + L) / 2L; A and B move it by 1/2L each, L by (A - B) / 2L^2, here 0.
    found = MISREAD["both ends"]()
    assert found.error_ft == pytest.approx(RUN_FT * 0.05 / LOOP / 2 * 2**0.5, rel=1e-3)


def test_two_sizes_in_one_run_keep_an_error_of_their_copper() -> None:
    # 450 ft of 18 and 450 ft of 14: their shares of the loop are known to 3 % each.
    pair = [Piece(450, 2 * R18), Piece(450, 2 * R14)]
    found = loops.short_from_both_ends(
        pair=pair,
        near_ohms=pair[0].ohms,
        far_ohms=pair[1].ohms,
        loop_ohms=pair[0].ohms + pair[1].ohms,
        reading_error_ohms=0,
    )
    assert found.feet == pytest.approx(450)
    assert 450 * COPPER_SHARE / 2 < found.error_ft < 450 * COPPER_SHARE * 2


def test_varley_by_two_balances_v1() -> None:
    # EEE2211 (found): loop 8, P 5, Q 10, S 7: 3 ohm, 7.5 km at 0.4. The first balance of that
    # loop stands at 16 by loop = P/Q S1. Wires 10 km long, both 0.4 ohm/km.
    wire = [Piece(10_000, 0.4)]
    found = d.varley_balanced_twice(
        faulty=wire, sound=wire, sound_arm=5, faulty_arm=10, loop_dial_ohms=16, dial_ohms=7
    )
    assert found.feet == pytest.approx(7500)


@pytest.mark.parametrize("is_known", [True, False])
def test_three_readings_need_neither_loop_nor_length_e1_e2(is_known: bool) -> None:
    # E1 and E2 (computed): 18/14, 430 ft of 1200, 6.0 ohm; the loop is not given here.
    found = loops.short_by_three_readings(
        pair=[Piece(1200 if is_known else 1, R18 + R14)],
        is_length_known=is_known,
        open_ohms=9.8313,
        joined_ohms=7.03207,
        far_ohms=12.8607,
    )
    assert found.feet == pytest.approx(430, abs=1)
    assert found.extra_ohms == pytest.approx(6.0, abs=0.01)
    assert found.run_ft == (None if is_known else pytest.approx(1200, abs=1))


def test_a_dead_short_at_the_valve_has_no_ohms_from_there() -> None:
    found = loops.short_by_three_readings(
        pair=AS_REGISTERED, is_length_known=True, open_ohms=11.5, joined_ohms=11.5, far_ohms=0
    )
    assert (found.feet, found.extra_ohms) == (pytest.approx(RUN_FT), 0)


def test_a_loop_within_the_meters_own_error_sets_no_scale() -> None:
    edge = ERRORS_EXPLAIN * 0.05

    def by_loop(loop: float) -> Distance:
        return loops.short_from_both_ends(
            pair=AS_REGISTERED, near_ohms=0.1, far_ohms=0.1, loop_ohms=loop
        )

    for loop in (edge - 0.001, edge):
        with pytest.raises(ImpossibleDistance) as refused:
            by_loop(loop)
        assert refused.value.check is Check.NO_LOOP
    assert by_loop(edge + 0.001).feet == pytest.approx(RUN_FT / 2)


def test_a_loop_differs_when_three_errors_do_not_explain_it() -> None:
    registered = 11.49
    edge = ERRORS_EXPLAIN * hypot(0.05, COPPER_SHARE * registered)
    for sign in (-1, 1):
        assert not is_another_loop(registered + sign * (edge - 1e-6), registered, error_ohms=0.05)
        assert is_another_loop(registered + sign * (edge + 1e-6), registered, error_ohms=0.05)
    assert is_another_loop(LOOP, registered, error_ohms=0.05)


@pytest.mark.parametrize("bad", [nan, inf, -1.0])
def test_what_is_no_number_of_ohms_is_refused_by_the_engines_own_error(bad: float) -> None:
    wire = [Piece(100, R18)]
    for refused in (
        lambda: Piece(bad, R18),
        lambda: Piece(100, bad),
        lambda: loops.dead_short(pair=wire, ohms=bad),
        lambda: loops.dead_short(pair=wire, ohms=0.5, loop_ohms=bad),
        lambda: loops.short_from_both_ends(pair=wire, near_ohms=bad, far_ohms=1, loop_ohms=1),
        lambda: loops.blavier(pair=wire, open_ohms=bad, joined_ohms=1, loop_ohms=2),
        lambda: loops.blavier(pair=wire, open_ohms=1, joined_ohms=1, loop_ohms=bad),
        lambda: d.murray(faulty=wire, sound=wire, sound_arm=bad, faulty_arm=1),
        lambda: d.murray_ratio(loop_ohms=1, sound_arm=1, faulty_arm=bad),
        lambda: d.varley_ohms(loop_ohms=1, sound_arm=1, faulty_arm=1, dial_ohms=bad),
        lambda: d.open_by_capacitance(length_ft=100, broken_nf=bad, sound_nf=2),
        lambda: d.reflection(velocity=0.6, seconds=bad, length_ft=100),
        lambda: d.reflection(velocity=bad, seconds=1e-7, length_ft=100),
    ):
        with pytest.raises(ImpossibleDistance):
            refused()


def test_a_meter_that_shows_no_current_reads_no_short() -> None:
    # It answered "100 ft, the end".
    with pytest.raises(ImpossibleDistance) as refused:
        loops.dead_short(pair=[Piece(100, R18)], ohms=inf)
    assert refused.value.check is Check.SHORT


some_ohms = st.floats(0, 40)


@given(st.data())
def test_every_answer_of_a_measured_loop_lies_on_the_wire_or_is_refused(
    data: st.DataObject,
) -> None:
    """Whatever is typed: no place off the wire, no other error than the engine's own."""
    first, second = (data.draw(st.floats(1, 2000)) for _ in range(2))
    pair = [Piece(first, R18), Piece(second, R14)]
    one, two, three = (data.draw(some_ohms) for _ in range(3))
    p, q = (data.draw(st.floats(0, 1000)) for _ in range(2))
    is_known = data.draw(st.booleans())
    methods = [
        lambda: loops.dead_short(pair=pair, ohms=one, loop_ohms=two),
        lambda: d.varley(
            faulty=pair, sound=pair, loop_ohms=one, sound_arm=p, faulty_arm=q, dial_ohms=two
        ),
        lambda: d.varley_balanced_twice(
            faulty=pair, sound=pair, sound_arm=p, faulty_arm=q, loop_dial_ohms=one, dial_ohms=two
        ),
        lambda: loops.short_by_three_readings(
            pair=pair if is_known else [Piece(1, R18)],
            is_length_known=is_known,
            open_ohms=one,
            joined_ohms=two,
            far_ohms=three,
        ),
    ]
    for method in methods:
        try:
            found = method()
        except ImpossibleDistance:
            continue
        run_ft = first + second if found.run_ft is None else found.run_ft
        assert 0 <= found.feet <= run_ft * (1 + 1e-9)
        assert 0 <= found.error_ft < inf
        assert found.extra_ohms is None or found.extra_ohms >= 0
