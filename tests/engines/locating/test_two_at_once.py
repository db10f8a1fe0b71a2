"""What two faults explain together, what a new wire leaves, and what a symptom rules out."""

from dataclasses import replace

import pytest

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Conductor, Neighbour, Outside, prior
from faults.locating.engines.line import Box, Leg, Line
from faults.locating.engines.mends import Mended
from faults.locating.engines.other_tests import Bypassed
from faults.locating.engines.pairs import begun
from faults.locating.engines.segments import Segments
from faults.locating.engines.symptoms import WEIGHS, Symptom, for_symptom

USUAL = Assumptions()
LINE = Line(tuple(Leg(f"leg {i}", 100, years=0) for i in range(3)), (Box("a"), Box("b")))
# The segments of legs: each conductor's three in turn.
HOT_0, HOT_1, COMMON_1, BUNDLE_1, BUNDLE_2 = 0, 1, 4, 7, 8


def test_one_of_two_faults_is_enough_to_stop_another_station() -> None:
    dead = Neighbour(works=False, shares=frozenset({1}))
    alone = begun(prior(LINE, USUAL), USUAL).two
    seen = begun(prior(LINE, USUAL, [dead]), USUAL)
    # By hand: a bundle cut on its way stops it at 0.90, any other cause at 0.02.
    ratio = seen.two / alone
    assert ratio[BUNDLE_1, HOT_0] == pytest.approx(ratio[BUNDLE_1, BUNDLE_1])
    assert ratio[BUNDLE_1, HOT_0] / ratio[HOT_0, HOT_0] == pytest.approx(0.90 / 0.02)
    runs = begun(prior(LINE, USUAL, [replace(dead, works=True)]), USUAL).two / alone
    assert runs[BUNDLE_1, HOT_0] / runs[HOT_0, HOT_0] == pytest.approx(0.10 / 0.98)


def test_after_the_cut_of_the_bundle_is_mended_the_other_fault_need_not_stop_others() -> None:
    dead = [Neighbour(works=False, shares=frozenset({1}))] * 3
    state = begun(prior(LINE, USUAL, dead), USUAL)
    left = state.after(Mended(leg=1)).belief
    # Elsewhere than at the mend, which may not be sound, they are as likely as ever: 0.6 to 0.3.
    hot, _, bundle = left.legs[:, LINE.cell_leg != 1].sum(axis=1)
    assert hot / bundle == pytest.approx(2.0, rel=0.05)


def test_one_fault_is_believed_as_before_whatever_other_stations_do() -> None:
    seen = [Neighbour(False, frozenset({0, 1})), Neighbour(True, frozenset({0}), frozenset({0}))]
    before = prior(LINE, USUAL, seen)
    one = begun(before, USUAL).one.scaled()
    assert one.legs == pytest.approx(before.legs)
    assert one.splice == pytest.approx(before.splice)
    assert one.outside == pytest.approx(before.outside)


def test_a_new_wire_takes_its_leg_out_and_leaves_the_other_fault() -> None:
    state = begun(prior(LINE, USUAL), USUAL)
    after = state.after(Bypassed(1, works=False, stays=True))
    jumper = state.after(Bypassed(1, works=False))
    # A jumper that does not help leaves two faults of which one lies there; a new wire does not.
    for segment in (HOT_1, BUNDLE_1):
        assert after.two[segment].sum() == 0
        assert jumper.two[segment].sum() > 0
    # That of the hot wire leaves the common as it was.
    assert after.two[COMMON_1].sum() > 0
    common = state.after(Bypassed(1, works=False, conductor=Conductor.COMMON, stays=True))
    assert common.two[COMMON_1].sum() == 0
    assert common.two[HOT_1].sum() > 0
    assert after.p_two < jumper.p_two
    # Two in that leg are both gone, of which a mend would have left one.
    sure = Assumptions(two_faults=1.0, bypass_sensitivity=1.0, bypass_specificity=1.0)
    only = begun(prior(LINE, sure), sure).after(Bypassed(1, works=False, stays=True))
    assert only.belief.legs[[0, 2]][:, LINE.cell_leg == 1].sum() == pytest.approx(0, abs=1e-12)


def test_very_many_stations_that_stand_still_leave_an_explanation() -> None:
    dead = [Neighbour(works=False, is_on_ours=False, is_on_master=False)] * 400
    state = begun(prior(LINE, USUAL), USUAL)
    many = begun(replace(prior(LINE, USUAL), others=tuple(dead)), USUAL)
    assert many.one.total == pytest.approx(state.one.total)
    assert many.belief.by_leg == pytest.approx(state.belief.by_leg)


def test_a_new_wire_that_helps_says_what_a_jumper_says() -> None:
    state = begun(prior(LINE, USUAL), USUAL)
    by_wire, by_jumper = (state.after(Bypassed(1, works=True, stays=it)) for it in (True, False))
    assert by_wire.belief.by_leg == pytest.approx(by_jumper.belief.by_leg)


@pytest.mark.parametrize("symptom", sorted(set(Symptom) - set(WEIGHS)))
def test_what_makes_no_short_is_to_blame_for_one_only_if_it_was_misread(symptom: Symptom) -> None:
    usual = prior(LINE, USUAL)
    read = prior(LINE, for_symptom(USUAL, symptom, soil_is_dry=False))
    kept = {cause: read.outside[cause] / usual.outside[cause] for cause in Outside}
    common = read.of(Conductor.COMMON) / usual.of(Conductor.COMMON)
    hot = read.of(Conductor.HOT) / usual.of(Conductor.HOT)
    # Against the hot wire, all are as they were, or a twentieth.
    shares = {cause: each / hot for cause, each in kept.items()}
    astray = symptom in (Symptom.SHORT, Symptom.LEAK)
    for cause in (Outside.OUTPUT, Outside.COMMON_TERMINAL, Outside.WATER):
        assert shares[cause] == pytest.approx(0.05 if astray else 1.0, rel=0.05)
    assert shares[Outside.COIL] == pytest.approx(1.0, rel=0.05)
    assert common / hot == pytest.approx(0.05 if symptom is Symptom.SHORT else 1.0, rel=0.05)


def test_numbers_that_leave_nothing_but_what_makes_no_short_are_left_alone() -> None:
    only_common = Assumptions(bundle_share=0.0, common_share=1.0, symptom_wrong=0.0)
    assert for_symptom(only_common, Symptom.SHORT, soil_is_dry=False).common_share == 1.0
    all_at_once = Assumptions(bundle_share=0.9, common_share=0.1)
    read = for_symptom(all_at_once, Symptom.SHORT, soil_is_dry=False)
    assert read.bundle_share + read.common_share <= 1
    assert read.bundle_share > 0.99


def test_segments_of_a_new_wire_are_those_that_it_replaces() -> None:
    segments = Segments(LINE)
    hot = segments.renewed(Bypassed(2, works=False))
    assert set(hot.nonzero()[0]) == {2, BUNDLE_2}
    common = segments.renewed(Bypassed(2, works=False, conductor=Conductor.COMMON))
    assert set(common.nonzero()[0]) == {5}
