"""Which legs stand out: flags, splits, faults without a place, and how often we are wrong."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.multitest import multipletests

from reports.hotspots.engines.hotspots import false_share, power, rank, upper_tails
from reports.hotspots.engines.prior import NothingToFit, fit_prior
from reports.hotspots.engines.spreading import Unlocated, by_length, spread
from reports.hotspots.engines.wholes import Piece, expected_counts, rated_counts, whole_legs

# Benjamini and Hochberg (1995), their example: 4 of 15 are rejected at .05. The shares were
# computed with statsmodels 0.15.0 multipletests(p, .05, "fdr_bh").
P_1995 = [
    *(0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344),
    *(0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1),
]
Q_1995 = [
    *(0.0015, 0.003, 0.0095, 0.035625, 0.0603, 0.063857, 0.063857, 0.0645),
    *(0.0765, 0.486, 0.581182, 0.714875, 0.753231, 0.813214, 1),
]


def test_the_share_of_false_flags() -> None:
    found = false_share(np.array(P_1995))
    assert list(found) == pytest.approx(Q_1995, abs=1e-6)
    assert int((found <= 0.05).sum()) == 4
    assert int((np.array(P_1995) * 15 <= 0.05).sum()) == 3  # Bonferroni


@given(st.lists(st.floats(0, 1), min_size=1, max_size=60))
def test_the_share_agrees_with_statsmodels(p: list[float]) -> None:
    theirs = multipletests(p, method="fdr_bh")[1]
    assert list(false_share(np.array(p))) == pytest.approx(list(theirs))


def legs(rows: list[tuple[float, int]]) -> list[Piece]:
    """Return legs of so many 1000-foot-years with so many ground faults, five wires in each."""
    return [Piece(n, feet, 5 * feet, count) for n, (feet, count) in enumerate(rows)]


def test_the_tail_is_that_of_a_share_of_all_faults() -> None:
    tails = upper_tails(np.array([4.0, 0.0, 1.0]), np.array([1.0, 2.0, 2.0]))
    assert tails[0] == pytest.approx(stats.binom.sf(3, 5, 0.2))
    assert tails[1] == 1


def test_the_one_bad_leg_is_flagged_and_first() -> None:
    found = rank(whole_legs(legs([(1.0, 1)] * 30 + [(1.0, 14)])))
    assert found.order[0] == 30
    assert list(np.flatnonzero(found.flagged)) == [30]
    assert found.raw.mean[30] == 14
    assert found.shrunken.low[30] < found.shrunken.mean[30] < found.raw.mean[30]


def test_legs_alike_are_all_one_rate_and_none_is_flagged() -> None:
    found = rank(whole_legs(legs([(1.0, 1)] * 20)))
    assert found.prior.is_pooled
    assert not found.flagged.any()
    assert list(found.shrunken.mean) == pytest.approx([1.0] * 20)


def test_a_leg_without_faults_keeps_a_rate_above_none() -> None:
    found = rank(whole_legs(legs([(1.0, 0), (1.0, 9), (1.0, 1), (2.0, 0)])))
    assert found.raw.mean[0] == 0
    assert found.raw.high[0] == pytest.approx(3.6889, abs=1e-4)
    assert found.shrunken.mean[0] > 0


def test_wire_causes_go_by_feet_of_wire() -> None:
    # Two legs of one length; the second holds nine times as many wires, and nine times as many
    # bad splices: nothing stands out.
    found = rank(whole_legs([Piece(1, 2.0, 2.0, by_wire=1), Piece(2, 2.0, 18.0, by_wire=9)]))
    assert list(found.expected) == pytest.approx([1.0, 9.0])
    assert list(found.ratio.mean) == pytest.approx([1.0, 1.0])


def test_without_any_located_fault_there_is_no_ranking() -> None:
    with pytest.raises(NothingToFit):
        rank(whole_legs([Piece(1, 1.0, 1.0, spread=0.5)]))


def test_a_negative_exposure_is_refused() -> None:
    with pytest.raises(ValueError, match="ground >= 0"):
        Piece(1, -1.0, 1.0)


row = st.tuples(st.floats(0.05, 5), st.integers(1, 6), st.integers(0, 3), st.integers(0, 3))


@settings(deadline=None, max_examples=40)
@given(st.lists(row, min_size=2, max_size=15), st.floats(0.05, 0.95), st.integers(0, 99))
def test_splitting_a_leg_changes_no_answer(
    rows: list[tuple[float, int, int, int]], share: float, which: int
) -> None:
    pieces = [Piece(n, ft, ft * w, g, s, 0.25) for n, (ft, w, g, s) in enumerate(rows)]
    if not any(piece.by_ground + piece.by_wire for piece in pieces):
        return
    old = pieces[which % len(pieces)]
    rest = 1 - share
    first = Piece(old.whole, old.ground * share, old.wire * share, old.by_ground, 0, 0.1)
    second = Piece(old.whole, old.ground * rest, old.wire * rest, 0, old.by_wire, 0.15)
    before = rank(whole_legs(pieces))
    after = rank(whole_legs([*(first if each is old else each for each in pieces), second]))
    assert after.legs.keys == before.legs.keys
    assert after.order == before.order
    for ours, theirs in (
        (after.p, before.p),
        (after.shrunken.mean, before.shrunken.mean),
        (after.shrunken.low, before.shrunken.low),
    ):
        assert list(ours) == pytest.approx(list(theirs), rel=1e-6)


weights = st.dictionaries(st.integers(1, 9), st.floats(0, 1e6), max_size=6)


@given(st.lists(weights, max_size=30))
def test_faults_without_a_place_are_kept_whole(faults: list[dict[int, float]]) -> None:
    found = spread([Unlocated(each) for each in faults])
    assert sum(found.by_leg.values()) + found.nowhere == pytest.approx(len(faults))


def test_a_fault_of_several_stations_lies_where_their_wires_lie_together() -> None:
    found = by_length({1: 100.0, 2: 300.0, 3: 50.0}, [[1, 2, 3], [1, 2]], {2: 2.0})
    assert found.weights == {1: 100.0, 2: 600.0}


def test_shown_rates_hold_faults_without_a_place_and_tests_do_not() -> None:
    without = rank(whole_legs([Piece(1, 1.0, 1.0, 4), Piece(2, 1.0, 1.0, 1)]))
    spread_too = rank(whole_legs([Piece(1, 1.0, 1.0, 4, spread=0.5), Piece(2, 1.0, 1.0, 1)]))
    assert list(spread_too.p) == list(without.p)
    assert spread_too.raw.mean[0] == 4.5
    assert spread_too.located_total == 5


def test_how_far_legs_differ_is_fitted_with_the_lives_that_a_renewal_ended() -> None:
    there = whole_legs(legs([(1.0, 0)] * 30 + [(2.0, 1), (1.0, 2), (0.5, 1)]))
    gone = whole_legs(legs([(1.0, 6), (2.0, 9), (1.0, 4)]))
    without, found = rank(there), rank(there, gone)
    rate = 4 / 33.5
    fitted = fit_prior([*there.located, 6, 9, 4], [*(rate * there.ground), rate, 2 * rate, rate])
    assert found.prior.mean == pytest.approx(fitted.mean, rel=1e-5)
    assert found.prior.shape == pytest.approx(fitted.shape, rel=1e-5)
    # A leg's own count is that of its present life; so is what flags are held against.
    assert found.legs is there
    assert (list(found.p), list(found.expected)) == (list(without.p), list(without.expected))
    assert found.prior.mean > without.prior.mean
    assert found.yearly(30, 2.0).shape == pytest.approx(fitted.shape + 1, rel=1e-5)


def test_lives_that_ended_raise_the_one_rate_of_legs_that_are_alike() -> None:
    # 20 faults in 20 thousand-foot-years, and 20 more in 10 that ended: 4/3 of what was expected.
    there, gone = (whole_legs(legs([(1.0, n)] * size)) for n, size in ((1, 20), (2, 10)))
    found = rank(there, gone)
    assert (found.prior.is_pooled, found.prior.mean) == (True, pytest.approx(4 / 3))
    known = found.yearly(0, 2.0)
    assert known.ordinary == pytest.approx(4 / 3 / 2)
    assert (known.shape, known.shape / known.years_behind) == (40, pytest.approx(4 / 3 / 2))


def test_a_cause_that_nothing_there_has_is_expected_of_no_life_and_counts_for_none() -> None:
    there = whole_legs(legs([(1.0, 1)] * 20))
    of_wire = whole_legs([Piece(1, 1.0, 5.0, by_wire=7)])
    assert list(rated_counts(of_wire, there)) == [0]
    assert list(expected_counts(of_wire, at_rates_of=there)) == [1.0]
    both = whole_legs([Piece(1, 2.0, 4.0, by_ground=3, by_wire=7)])
    assert list(rated_counts(both, of_wire)) == [7]
    assert list(expected_counts(both, at_rates_of=of_wire)) == [pytest.approx(4 * 7 / 5)]
    with pytest.raises(NothingToFit):
        rank(whole_legs(legs([(1.0, 0)])), both)


def test_power_is_the_chance_that_a_worse_leg_would_be_flagged() -> None:
    found = rank(whole_legs(legs([(1.0, 1)] * 40)))
    needed = int(stats.poisson.isf(0.10 / 40, 1.0)) + 1
    assert power(found, times=3) == pytest.approx(stats.poisson.sf(needed - 1, 3.0))
    assert power(found, times=1) < 0.10 / 40
    assert power(found, times=10) > power(found, times=3)
