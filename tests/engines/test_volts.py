"""Volts at running valves: published answers, trees exactly, rings by nodes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.wires.engines.copper import UnableToCompute, awg_ohms_per_kft
from sites.wires.engines.volts import Load, Segment, volts_at_valves

R18, R14 = awg_ohms_per_kft(18), awg_ohms_per_kft(14)


def test_one_valve_w2() -> None:
    # NMSU SOIL 456 chapter 11: 24 V, 0.5 A, 1000 ft, 6.78 and 2.68 ohm/kft: 19.27 V at the
    # valve. The 4.72 V printed for the drop is a slip: 24 - 19.27 = 4.73.
    volts = volts_at_valves(24, [Segment(0, 1, 2.68)], [Load(1, 6.78, 0.5)], controller=0)
    assert volts == [pytest.approx(19.27, abs=0.02)]
    assert 24 - volts[0] == pytest.approx(4.73, abs=0.001)


def test_three_valves_on_one_common_s1() -> None:
    # Computed: 300/600/900 ft, 14 AWG common, 18 AWG hots, 26 V, 0.25 A each.
    common = [Segment(n, n + 1, 0.3 * R14) for n in range(3)]
    loads = [Load(n, 0.3 * n * R18, 0.25) for n in (1, 2, 3)]
    expected = [pytest.approx(v, abs=0.005) for v in (24.953, 24.095, 23.427)]
    assert volts_at_valves(26, common, loads, controller=0) == expected


def test_one_holds_while_another_starts_s2() -> None:
    # Computed: 400/800 ft, 24 V, 0.20 A holding and 0.40 A starting.
    common = [Segment(0, 1, 0.4 * R14), Segment(1, 2, 0.4 * R14)]
    loads = [Load(1, 0.4 * R18, 0.2), Load(2, 0.8 * R18, 0.4)]
    expected = [pytest.approx(v, abs=0.005) for v in (22.883, 20.947)]
    assert volts_at_valves(24, common, loads, controller=0) == expected


def test_drops_as_plain_numbers_err_on_the_safe_side() -> None:
    # Computed: a coil of 60 ohm of which 20 are resistive, 24 V, 1000 ft of 18/18 (12.77 ohm):
    # 22.03 V at the valve by phasors, 18.89 V by plain numbers at 0.4 A.
    plain = volts_at_valves(24, [Segment(0, 1, R18)], [Load(1, R18, 0.4)], controller=0)[0]
    coil = complex(20, (60**2 - 20**2) ** 0.5)
    phasor = 24 * abs(coil) / abs(coil + 2 * R18)
    assert plain == pytest.approx(18.89, abs=0.005)
    assert phasor == pytest.approx(22.03, abs=0.005)
    assert plain < phasor


def test_two_commons_tied_together_share_the_current() -> None:
    # By hand: two equal ways of 2 ohms in parallel are 1 ohm; 1 A loses 1 V.
    common = [Segment(0, 1, 2.0), Segment(0, 1, 2.0)]
    assert volts_at_valves(24, common, [Load(1, 0, 1)], controller=0) == [pytest.approx(23)]


def test_a_ring_with_a_joint_of_no_ohms() -> None:
    common = [Segment(0, 1, 1.0), Segment(1, 2, 0.0), Segment(2, 0, 1.0)]
    assert volts_at_valves(24, common, [Load(1, 0, 1)], controller=0) == [pytest.approx(23.5)]


def test_a_valve_off_the_common_is_refused() -> None:
    with pytest.raises(UnableToCompute, match="does not reach"):
        volts_at_valves(24, [Segment(0, 1, 1)], [Load(7, 1, 0.2)], controller=0)


def test_volts_below_nothing_are_refused() -> None:
    with pytest.raises(UnableToCompute, match="more volts than"):
        volts_at_valves(24, [Segment(0, 1, 100)], [Load(1, 1, 0.5)], controller=0)


some_ohms = st.floats(0.05, 3.0)
trees = st.lists(st.tuples(st.integers(0, 10**6), some_ohms), min_size=1, max_size=8).map(
    lambda rows: [Segment(seed % n, n, ohms) for n, (seed, ohms) in enumerate(rows, start=1)]
)


@given(trees, st.lists(st.tuples(st.integers(0, 8), st.floats(0.05, 0.3)), min_size=1, max_size=4))
def test_a_ring_that_is_opened_is_the_tree(
    tree: list[Segment], wanted: list[tuple[int, float]]
) -> None:
    loads = [Load(point % (len(tree) + 1), 1.0, amperes) for point, amperes in wanted]
    nearly_open = [*tree, Segment(0, len(tree), 1e12)]
    assert volts_at_valves(60, nearly_open, loads, controller=0) == pytest.approx(
        volts_at_valves(60, tree, loads, controller=0), abs=1e-6
    )


@given(trees, some_ohms)
def test_more_wire_never_raises_the_volts(tree: list[Segment], more: float) -> None:
    loads = [Load(len(tree), 1.0, 0.3)]
    longer = [Segment(s.start, s.end, s.ohms + more) for s in tree]
    before = volts_at_valves(60, tree, loads, controller=0)[0]
    assert volts_at_valves(60, longer, loads, controller=0)[0] <= before
