"""Distance to a break: published answers, and refusals of what cannot be."""

from math import hypot, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.readings.engines import distance as d
from faults.readings.engines import distance_loops as loops
from faults.readings.engines.placing import ImpossibleDistance, Piece
from sites.wires.engines.copper import awg_ohms_per_kft

R18, R14 = awg_ohms_per_kft(18), awg_ohms_per_kft(14)
PAIR = [Piece(1200, R18 + R14)]


def test_murray_m1() -> None:
    # Hawkins Electrical Guide vol. 3, Murray loop case II (found): 1.09 mile.
    ohms = d.murray_ratio(loop_ohms=54.07, sound_arm=668, faulty_arm=332)
    assert ohms / 16.46 == pytest.approx(1.09, rel=5e-3)


def test_murray_m2() -> None:
    # University examination EEE2211 with solutions (found): 500 m.
    wire = [Piece(1000, 1.6)]
    found = d.murray(faulty=wire, sound=wire, sound_arm=3, faulty_arm=1)
    assert found.feet == pytest.approx(500, rel=1e-3)


def test_murray_of_unequal_wires_m3() -> None:
    # The same (found): 441.45 m.
    found = d.murray(
        faulty=[Piece(530, 1.1)], sound=[Piece(530, 2.29)], sound_arm=2.7, faulty_arm=1
    )
    assert found.feet == pytest.approx(441.45, rel=1e-3)


def test_murray_with_the_arms_wrong_way_round_m4() -> None:
    # Problem found without an answer; computed: 200 m, the other arm gives 400 > 300.
    wire = [Piece(300, 1.0)]
    assert d.murray(faulty=wire, sound=wire, sound_arm=2, faulty_arm=1).feet == pytest.approx(200)
    with pytest.raises(ImpossibleDistance, match="wrong way round"):
        d.murray(faulty=wire, sound=wire, sound_arm=1, faulty_arm=2)


def test_murray_through_mixed_sizes_piece_by_piece() -> None:
    # By hand: 100 ft at 10 ohm/kft is 1 ohm; X = 1.5 of a loop of 6 lies 50 ft into the next.
    faulty = [Piece(100, 10), Piece(200, 10)]
    found = d.murray(faulty=faulty, sound=[Piece(300, 10)], sound_arm=3, faulty_arm=1)
    assert found.feet == pytest.approx(150)


def test_varley_v1() -> None:
    # EEE2211 (found): X 3 ohm, 7.5 km at 0.4 ohm/km.
    ohms = d.varley_ohms(loop_ohms=8, sound_arm=5, faulty_arm=10, dial_ohms=7)
    assert ohms == pytest.approx(3.0)
    assert ohms / 0.4 == pytest.approx(7.5)


def test_varley_v2() -> None:
    # EEE2211 (found): 5 km at 4 ohm/km, fault at 2.3 km, equal arms: the dial shows 21.6.
    ohms = d.varley_ohms(loop_ohms=40, sound_arm=1, faulty_arm=1, dial_ohms=21.6)
    assert ohms / 4 == pytest.approx(2.3, rel=1e-3)


def test_a_short_with_resistance_from_both_ends_e1() -> None:
    # Computed: 430 ft, 6.0 ohms in the fault; from one end alone 1103 ft.
    found = loops.short_from_both_ends(
        pair=PAIR, near_ohms=9.8313, far_ohms=12.8607, loop_ohms=10.692
    )
    assert found.feet == pytest.approx(430, abs=1)
    assert found.extra_ohms == pytest.approx(6.0, abs=0.01)
    assert loops.dead_short(pair=PAIR, ohms=9.8313).feet == pytest.approx(1103, abs=1)


def test_the_same_from_one_end_by_blaviers_product_e2() -> None:
    # Computed. One web copy prints a difference under the root: it would give another place.
    found = loops.blavier(pair=PAIR, open_ohms=9.8313, joined_ohms=7.03207, loop_ohms=10.692)
    assert found.feet == pytest.approx(430, abs=1)
    difference = abs((9.8313 - 7.03207) - (10.692 - 7.03207))
    misprint = 7.03207 - sqrt(difference)
    assert abs(misprint * 1000 / (R18 + R14) - 430) > 10


def test_a_dead_short_l1() -> None:
    # Computed: 18/14 516.3 ft, 18/18 360.2 ft; 375.0 ft if the wire is at 10 C.
    assert loops.dead_short(pair=PAIR, ohms=4.6).feet == pytest.approx(516.3, abs=0.2)
    both_18 = [Piece(1200, 2 * R18)]
    assert loops.dead_short(pair=both_18, ohms=4.6).feet == pytest.approx(360.2, abs=0.2)
    cold = [Piece(1200, 2 * R18 * 0.9607)]
    assert loops.dead_short(pair=cold, ohms=4.6).feet == pytest.approx(375.0, abs=0.2)
    assert loops.dead_short(pair=PAIR, ohms=4.6).is_upper_bound


def test_an_open_wire_by_capacitance_c1() -> None:
    # Computed: 400 ft; both ends 428.2 ft.
    one = d.open_by_capacitance(length_ft=1200, broken_nf=8.4, sound_nf=25.2)
    both = d.open_by_capacitance_from_both_ends(length_ft=1200, near_nf=9.1, far_nf=16.4)
    assert one.feet == pytest.approx(400, abs=0.2)
    assert both.feet == pytest.approx(428.2, abs=0.2)


def test_the_speed_of_a_pulse_t1() -> None:
    # Hranac, Velocity of Propagation (found): 826,199,687.4 ft/s at 0.84.
    assert pytest.approx(826_199_687.4, rel=1e-4) == 0.84 * d.LIGHT_FT_PER_S
    assert pytest.approx(1.21, abs=5e-3) == 1e9 / (0.84 * d.LIGHT_FT_PER_S)
    assert pytest.approx(983_571_056.43, rel=1e-9) == d.LIGHT_FT_PER_S


def test_velocities_of_other_cables_than_ours() -> None:
    # Riser cable about 0.70, 210,000,000 m/s, 4.76 ns/m: an encyclopedia, velocity factor (found).
    assert pytest.approx(210e6, rel=2e-3) == 0.70 * d.LIGHT_FT_PER_S * 0.3048
    assert pytest.approx(4.76, abs=0.01) == 1e9 / (0.70 * d.LIGHT_FT_PER_S * 0.3048)
    # 1 / sqrt(er) (found): polyethylene 0.667 to 0.659, PVC 0.577 to 0.500 (er from memory).
    # Loose single wires have none of their own, so each of these has to be accepted.
    for er, factor in ((2.25, 0.667), (2.3, 0.659), (3.0, 0.577), (4.0, 0.500)):
        assert 1 / sqrt(er) == pytest.approx(factor, abs=5e-4)
        seconds = 2 * 300 / (factor * d.LIGHT_FT_PER_S)
        assert d.velocity_factor(length_ft=300, seconds=seconds) == pytest.approx(factor)


@pytest.mark.parametrize(("vf", "us", "feet"), [(0.66, 1.2, 389.5), (0.55, 0.8, 216.4)])
def test_reflection_t2(vf: float, us: float, feet: float) -> None:
    found = d.reflection(velocity=vf, seconds=us * 1e-6, length_ft=1000)
    assert found.feet == pytest.approx(feet, abs=0.1)


def test_reflection_t2_in_metres() -> None:
    found = d.reflection(velocity=0.66, seconds=1.2e-6, length_ft=1000)
    assert found.feet * 0.3048 == pytest.approx(118.72, abs=0.005)


def test_an_error_of_the_ratio_counts_twice_the_length() -> None:
    # Computed: dd = 2 L d(ratio), beside the 3 % of copper.
    wire = [Piece(1000, 6.4)]
    found = d.murray(faulty=wire, sound=wire, sound_arm=3, faulty_arm=1, ratio_error=0.002)
    assert found.error_ft == pytest.approx(hypot(2 * 1000 * 0.002, 0.03 * 500))


def test_velocity_from_a_known_length_t3() -> None:
    # Computed: 300 ft shows 0.98 us: 0.6225.
    assert d.velocity_factor(length_ft=300, seconds=0.98e-6) == pytest.approx(0.6225, abs=5e-4)


def test_a_guessed_velocity_is_a_fifth_too_long() -> None:
    # Computed: 0.66 for a true 0.55.
    right = d.reflection(velocity=0.55, seconds=1e-6, length_ft=1000).feet
    guessed = d.reflection(velocity=0.66, seconds=1e-6, length_ft=1000).feet
    assert guessed / right == pytest.approx(1.2)


REFUSED = [
    lambda: d.varley_ohms(loop_ohms=1, sound_arm=1, faulty_arm=1, dial_ohms=5),
    lambda: loops.dead_short(pair=PAIR, ohms=99),
    lambda: loops.blavier(pair=PAIR, open_ohms=5, joined_ohms=6, loop_ohms=10),
    lambda: d.open_by_capacitance(length_ft=100, broken_nf=3, sound_nf=2),
    lambda: d.velocity_factor(length_ft=3000, seconds=1e-6),
    lambda: d.reflection(velocity=0.6, seconds=9e-6, length_ft=100),
    lambda: loops.short_from_both_ends(pair=PAIR, near_ohms=1, far_ohms=1, loop_ohms=10),
]


@pytest.mark.parametrize("refused", REFUSED)
def test_refuses_what_cannot_be_and_says_what_to_check(refused: object) -> None:
    with pytest.raises(ImpossibleDistance) as refusal:
        refused()  # type: ignore[operator]
    assert len(str(refusal.value)) > 30


@given(st.floats(1, 2000), st.floats(0.01, 0.99), st.floats(0.5, 20), st.floats(0.5, 20))
def test_murray_finds_where_the_fault_was_put(
    length: float, share: float, faulty: float, sound: float
) -> None:
    loop = length * (faulty + sound) / 1000
    q = share * length * faulty / 1000 / loop
    found = d.murray(
        faulty=[Piece(length, faulty)],
        sound=[Piece(length, sound)],
        sound_arm=1 - q,
        faulty_arm=q,
    )
    assert found.feet == pytest.approx(share * length, rel=1e-6)
    assert 0 <= found.feet <= length
    assert found.error_ft > 0


some_ohms = st.floats(0, 40)
some_arm = st.floats(0, 1000)


@given(st.data())
def test_every_answer_lies_on_the_wire_or_is_refused_by_name(data: st.DataObject) -> None:
    """Whatever is typed, no method tells a place behind the tester or beyond the end."""
    length = data.draw(st.floats(1, 3000))
    one, two, three = (data.draw(some_ohms) for _ in range(3))
    p, q = data.draw(some_arm), data.draw(some_arm)
    wire, pair = [Piece(length, R18)], [Piece(length, R18 + R14)]
    methods = [
        lambda: d.murray(faulty=wire, sound=[Piece(length, R14)], sound_arm=p, faulty_arm=q),
        lambda: d.varley(
            faulty=wire, sound=wire, loop_ohms=one, sound_arm=p, faulty_arm=q, dial_ohms=two
        ),
        lambda: loops.dead_short(pair=pair, ohms=one),
        lambda: loops.short_from_both_ends(pair=pair, near_ohms=one, far_ohms=two, loop_ohms=three),
        lambda: loops.blavier(pair=pair, open_ohms=one, joined_ohms=two, loop_ohms=three),
        lambda: d.open_by_capacitance(length_ft=length, broken_nf=one, sound_nf=two),
        lambda: d.open_by_capacitance_from_both_ends(length_ft=length, near_nf=one, far_nf=two),
        lambda: d.reflection(
            velocity=data.draw(st.floats(0, 1)), seconds=one * 1e-6, length_ft=length
        ),
    ]
    for method in methods:
        try:
            found = method()
        except ImpossibleDistance:
            continue
        assert 0 <= found.feet <= length * (1 + 1e-9)
        assert found.error_ft >= 0
        assert found.extra_ohms is None or found.extra_ohms >= 0
