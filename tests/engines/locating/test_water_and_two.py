"""What stays on, runs with another, or is weak with several: odds, tests and what is read.

The weights are common practice, without a source; the expected shares were worked out by hand from
them and the built-in numbers.
"""

from dataclasses import replace

import pytest

from faults.locating.engines.actions import CheckController, CheckValve
from faults.locating.engines.assumptions import Assumptions, UnusableAssumptions
from faults.locating.engines.belief import Conductor, Neighbour, Outside
from faults.locating.engines.cases import BY_ITSELF, About, Case, findings
from faults.locating.engines.line import Box, Leg, Line, UnusableLine
from faults.locating.engines.options import Stand, Tools
from faults.locating.engines.plain import line_from, line_plain
from faults.locating.engines.plain_values import Ids
from faults.locating.engines.searching import Searcher
from faults.locating.engines.seen import Ohms, OhmsRead
from faults.locating.engines.symptoms import WEIGHS, Symptom, for_symptom, tools_for

USUAL = Assumptions()
LINE = Line(
    (Leg("a", 200.0), Leg("b", 300.0), Leg("c", 200.0)), (Box("1"), Box("2", hazard_factor=1.0))
)


def search(symptom: Symptom, *neighbours: Neighbour, line: Line = LINE) -> Searcher:
    """A search of this line with nothing tested."""
    return Searcher(line, symptom, neighbours, USUAL, Tools())


@pytest.mark.parametrize("symptom", list(WEIGHS))
def test_the_odds_of_each_sum_to_one(symptom: Symptom) -> None:
    before = search(symptom).before
    assert before.total == pytest.approx(1.0)
    adapted = for_symptom(USUAL, symptom, soil_is_dry=False)
    assert 0 < adapted.p_outside < 1
    assert 0 <= adapted.bundle_share + adapted.common_share <= 1


def test_what_stays_on_is_mostly_its_valve_then_its_output_then_a_wire_on_a_live_one() -> None:
    before = search(Symptom.STAYS_ON).before
    # By hand: 0.03 x 20, 0.04 x 3 and 0.72 x 0.30 x 0.35, of a sum of 0.9533.
    assert before.outside[Outside.WATER] == pytest.approx(0.600 / 0.9533, rel=0.01)
    assert before.outside[Outside.OUTPUT] == pytest.approx(0.120 / 0.9533, rel=0.01)
    assert before.of(Conductor.BUNDLE) == pytest.approx(0.0756 / 0.9533, rel=0.15)
    assert max(before.outside, key=lambda cause: before.outside[cause]) is Outside.WATER


def test_what_runs_with_another_touches_it_in_the_ground_or_at_the_terminals() -> None:
    before = search(Symptom.RUNS_WITH).before
    in_ground = before.of(Conductor.BUNDLE) + float(before.splice.sum())
    assert in_ground > 0.5
    assert before.of(Conductor.BUNDLE) > 10 * before.of(Conductor.HOT)
    first = sorted(before.outside, key=lambda cause: -before.outside[cause])[0]
    assert first is Outside.CONTROLLER_SPLICE


def test_several_weak_ones_share_the_common_or_the_transformer() -> None:
    before = search(Symptom.SEVERAL_WEAK).before
    assert before.of(Conductor.COMMON) > 0.4
    shared = before.of(Conductor.COMMON) + before.outside[Outside.COMMON_TERMINAL]
    assert shared > 0.7
    beside = Neighbour(works=False, common=frozenset({0}), shares=frozenset({0}))
    among = search(Symptom.SEVERAL_WEAK, beside).before
    assert among.of(Conductor.COMMON) + among.outside[Outside.COMMON_TERMINAL] > shared


def test_the_first_test_of_each_is_where_it_mostly_lies() -> None:
    at_valve = Stand(len(LINE.boxes) + 1)
    assert isinstance(search(Symptom.STAYS_ON).plan(at_valve)[0].action, CheckValve)
    assert isinstance(search(Symptom.SEVERAL_WEAK).plan(Stand())[0].action, CheckController)
    assert isinstance(search(Symptom.RUNS_WITH).plan(Stand())[0].action, CheckController)


@pytest.mark.parametrize("symptom", [Symptom.STAYS_ON, Symptom.RUNS_WITH])
def test_whether_others_run_tells_nothing_of_what_is_fed_unasked(symptom: Symptom) -> None:
    one = Neighbour(works=True, shares=frozenset({0}), common=frozenset({0}))
    other = Neighbour(works=False, shares=frozenset({1}), common=frozenset({0, 1}))
    alone, among = search(symptom), search(symptom, one, other)
    assert among.before.by_leg == pytest.approx(alone.before.by_leg)
    assert among.before.outside == alone.before.outside
    assert search(Symptom.OPEN, one, other).before.outside != search(Symptom.OPEN).before.outside


def test_a_box_to_which_the_other_wire_does_not_come_counts_for_less() -> None:
    less = replace(LINE, boxes=(LINE.boxes[0], replace(LINE.boxes[1], hazard_factor=0.05)))
    usual, beside = (search(Symptom.RUNS_WITH, line=each).before for each in (LINE, less))
    assert beside.splice[2] / beside.splice[1] == pytest.approx(0.05)
    assert usual.splice[2] / usual.splice[1] == pytest.approx(1.0)
    assert beside.total == pytest.approx(1.0)
    ids = Ids((1, 2, 3, 4), (7, 8, 9))
    assert line_from(line_plain(less, ids)).line == less
    for wrong in (-0.1, float("nan"), float("inf")):
        with pytest.raises(UnusableLine, match="hazard_factor >= 0 at box x"):
            Box("x", hazard_factor=wrong)
    assert Box("x", hazard_factor=0.0).hazard_factor == 0.0


def test_two_coils_read_low_speak_for_wires_that_touch_and_not_for_the_coil() -> None:
    low = OhmsRead(Ohms.LOW)
    touching = Searcher(LINE, Symptom.RUNS_WITH, (), USUAL, Tools(), readings=(low,)).belief
    before = search(Symptom.RUNS_WITH).before
    assert touching.of(Conductor.BUNDLE) > before.of(Conductor.BUNDLE)
    opened = Searcher(LINE, Symptom.OPEN, (), USUAL, Tools(), readings=(low,)).belief
    assert opened.outside[Outside.COIL] > 0.5
    at_most = 1 - USUAL.leg_reads_open - USUAL.leg_reads_short - USUAL.leg_reads_high
    assert replace(USUAL, leg_reads_low=at_most - 1e-9).leg_reads_low < 0.06
    with pytest.raises(UnusableAssumptions, match="leg_reads_"):
        replace(USUAL, leg_reads_low=at_most + 0.01)


def test_a_shared_high_resistance_is_read_by_volts_and_no_other_of_them() -> None:
    everything = Tools(clamp=True, insulation=True, gradient=True, jumper=True, volts=True)
    weak = tools_for(everything, Symptom.SEVERAL_WEAK)
    assert (weak.volts, weak.jumper, weak.clamp, weak.insulation) == (True, True, False, False)
    for symptom in (Symptom.STAYS_ON, Symptom.RUNS_WITH):
        told = tools_for(everything, symptom)
        useful = (told.volts, told.jumper, told.clamp, told.insulation, told.gradient)
        assert not any(useful)
    adapted = for_symptom(USUAL, Symptom.SEVERAL_WEAK, soil_is_dry=False)
    assert adapted.box_sensitivity == USUAL.resistive_sensitivity


@pytest.mark.parametrize("symptom", list(Symptom))
def test_what_is_asked_first_is_said_of_these_three_alone(symptom: Symptom) -> None:
    one = search(symptom)
    told = {each.case for each in findings(one.before, (), one.adapted, one.begun.belief,
                                           About(symptom=symptom))}  # fmt: skip
    first = {Case.STAYS_ON, Case.RUNS_WITH, Case.SEVERAL_WEAK}
    assert told & first == ({BY_ITSELF[symptom]} if symptom in BY_ITSELF else set())


def test_numbers_that_leave_nothing_in_the_wire_are_left_alone() -> None:
    no_wire = Assumptions(bundle_share=0.0, common_share=0.0, p_water=0.9 - 0.25, p_coil=0.1)
    read = for_symptom(no_wire, Symptom.STAYS_ON, soil_is_dry=False)
    assert read.p_water == no_wire.p_water
