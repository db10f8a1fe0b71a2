"""What each kind of reading says of a fault: chances by direct arithmetic."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.locating.engines.assumptions import Assumptions, UnusableAssumptions
from faults.locating.engines.belief import END_SPLICES, Belief, Conductor, Outside, prior
from faults.locating.engines.box_tests import BoxTest, Clamped, InsulationTest, Listened, gone_on
from faults.locating.engines.evidence import Reading, UnusableReading
from faults.locating.engines.line import Box, Leg, Line, UnusableLine
from faults.locating.engines.options import Tools
from faults.locating.engines.other_tests import (
    Check,
    Checked,
    Distance,
    EarthGradient,
    GradientWalked,
    SpareTried,
)
from faults.locating.engines.symptoms import Symptom, for_symptom, tools_for
from faults.locating.engines.tones import MarkedLevel, Third, ToneLevel, ToneWalked
from tests.engines.locating.one_fault import update

USUAL = Assumptions()


def line_of(*feet: float) -> Line:
    legs = tuple(Leg(f"leg {i}", ft, years=0) for i, ft in enumerate(feet))
    return Line(legs, tuple(Box(f"box {i}") for i in range(1, len(feet))))


LINE = line_of(100, 100, 200)


def seen(reading: Reading, assumed: Assumptions = USUAL) -> Belief:
    return update(prior(LINE, assumed), reading, assumed)


def ratio(reading: Reading, more: int, less: int, assumed: Assumptions = USUAL) -> float:
    """How much more one leg gained than another, per foot."""
    before, after = prior(LINE, assumed).by_leg, seen(reading, assumed).by_leg
    return float(after[more] / before[more] / (after[less] / before[less]))


def test_current_that_flows_past_a_clamp_puts_a_short_beyond_it() -> None:
    assumed = Assumptions(clamp_sensitivity=0.9, clamp_specificity=0.8)
    # By hand: 0.9 beyond against 0.2 before; and 0.1 against 0.8 where nothing flows.
    flows, stops = (
        Clamped(1, flows=each).likelihood(LINE, assumed).legs[0] for each in (True, False)
    )
    assert flows[150] / flows[50] == pytest.approx(4.5)
    assert stops[50] / stops[150] == pytest.approx(8)
    # At the controller everything lies beyond, at the valve everything before.
    assert ratio(Clamped(0, flows=True), 2, 0, assumed) == pytest.approx(1)
    assert seen(Clamped(3, flows=True), assumed).in_the_wire < prior(LINE, assumed).in_the_wire


def test_insulation_of_both_sides_puts_a_leak_on_the_bad_one() -> None:
    assumed = Assumptions(insulation_sensitivity=0.9, insulation_specificity=0.8, box_swapped=0.0)
    # By hand: (0.9 x 0.8) before against (0.2 x 0.1) beyond.
    bad_before = InsulationTest(1, controller_bad=True, valve_bad=False)
    assert ratio(bad_before, 0, 1, assumed) == pytest.approx(0.72 / 0.02)
    one_side = InsulationTest(1, controller_bad=True, valve_bad=None)
    assert ratio(one_side, 0, 2, assumed) == pytest.approx(0.9 / 0.2)


def test_a_box_that_was_spliced_anew_settles_its_own_splice() -> None:
    # By hand: a mended splice runs with 0.97, anything else with 0.03.
    before = prior(LINE, USUAL)
    both_good = BoxTest(1, controller_bad=False, valve_bad=False)
    open_end = update(before, both_good, USUAL).splice
    dead = update(before, replace(both_good, runs=False), USUAL).splice
    runs = update(before, replace(both_good, runs=True), USUAL).splice
    assert dead[1] / dead[2] == pytest.approx(open_end[1] / open_end[2] * 0.03 / 0.97)
    assert runs[1] / runs[2] == pytest.approx(open_end[1] / open_end[2] * 0.97 / 0.03)


def test_a_box_that_was_left_was_spliced_anew_without_a_cure() -> None:
    first, again, other = BoxTest(1, False, False), BoxTest(1, True, False), BoxTest(2, True, False)
    runs = [getattr(each, "runs", "") for each in gone_on([first, again, Distance(80), other])]
    # Tested twice while open, then left; the last one is still open.
    assert runs == [None, False, "", None]
    assert gone_on([]) == ()
    cured = replace(first, runs=True)
    assert gone_on([cured, other]) == (cured, other)


def test_a_dry_leak_says_less_by_a_good_side_than_a_wet_one() -> None:
    dry = for_symptom(USUAL, Symptom.LEAK, soil_is_dry=True)
    wet = for_symptom(USUAL, Symptom.LEAK, soil_is_dry=False)
    good_before = InsulationTest(1, controller_bad=False, valve_bad=None)
    assert 1 < ratio(good_before, 2, 0, dry) < ratio(good_before, 2, 0, wet)
    assert dry.box_sensitivity == USUAL.dry_sensitivity
    assert wet.box_sensitivity == USUAL.box_sensitivity


def test_what_lets_the_tone_pass_makes_a_walk_say_less() -> None:
    walked = ToneWalked(0, 1)
    for symptom in (Symptom.SHORT, Symptom.LEAK, Symptom.LOW_VOLTAGE):
        adapted = for_symptom(USUAL, symptom, soil_is_dry=False)
        assert 1 < ratio(walked, 1, 0, adapted) < ratio(walked, 1, 0)
        heard = Listened(1, heard=True)
        assert 1 < ratio(heard, 1, 0, adapted) < ratio(heard, 1, 0)
    opens = for_symptom(USUAL, Symptom.OPEN, soil_is_dry=True)
    changed = {each.name for each in fields(USUAL) if _differs(opens, each.name)}
    assert changed == {"leg_reads_open", "leg_reads_short", "leg_reads_high"}
    assert for_symptom(USUAL, Symptom.NOT_KNOWN, soil_is_dry=True) == USUAL


def _differs(other: Assumptions, name: str) -> bool:
    return bool(getattr(other, name) != getattr(USUAL, name))


def test_what_comes_and_goes_is_often_sound_while_it_is_tested() -> None:
    fleeting = for_symptom(USUAL, Symptom.COMES_AND_GOES, soil_is_dry=False)
    assert fleeting.box_sensitivity == USUAL.fleeting_sensitivity
    good = BoxTest(1, controller_bad=False, valve_bad=None)
    assert 1 < ratio(good, 1, 0, fleeting) < ratio(good, 1, 0)


@given(st.sampled_from(list(Symptom)), st.booleans(), st.floats(0.5, 1), st.floats(0.51, 1))
def test_no_symptom_makes_a_test_better_nor_the_numbers_unusable(
    symptom: Symptom, soil_is_dry: bool, sensitivity: float, specificity: float
) -> None:
    given_ = replace(USUAL, box_sensitivity=sensitivity, box_specificity=specificity)
    adapted = for_symptom(given_, symptom, soil_is_dry=soil_is_dry)
    assert adapted.box_sensitivity <= max(sensitivity, 1.01 - specificity)
    assert adapted.tone_detects <= given_.tone_detects
    assert adapted.insulation_sensitivity <= given_.insulation_sensitivity


def test_tools_that_tell_nothing_of_a_symptom_are_left_in_the_van() -> None:
    everything = Tools(clamp=True, insulation=True, gradient=True, jumper=True)
    short, leak, an_open = (
        tools_for(everything, each) for each in (Symptom.SHORT, Symptom.LEAK, Symptom.OPEN)
    )
    assert (short.clamp, short.insulation, short.gradient, short.jumper) == (True,) + (False,) * 3
    assert (leak.clamp, leak.insulation, leak.gradient, leak.jumper) == (False, True, True, False)
    assert (an_open.clamp, an_open.gradient, an_open.jumper) == (False, False, True)


def test_a_level_between_the_marks_points_to_that_share_of_the_wire() -> None:
    assumed = Assumptions(level_sd_share=0.1, level_useless=0.0)
    quarter = MarkedLevel(3.0, at_transmitter=1.0, on_sound_wire=9.0)
    assert quarter.share == pytest.approx(0.25)
    # By hand: a normal density about a quarter of the 400 ft.
    likely = quarter.likelihood(LINE, assumed).legs[0]
    density = np.exp(-0.5 * ((0.25 - LINE.cell_ft / 400) / 0.1) ** 2) / (0.1 * np.sqrt(2 * np.pi))
    assert likely == pytest.approx(density)
    from_valve = MarkedLevel(3.0, 1.0, 9.0, from_valve=True)
    assert seen(from_valve, assumed).by_leg[2] > seen(quarter, assumed).by_leg[2]
    # A scale that runs the other way says the same.
    assert MarkedLevel(7.0, 9.0, 1.0).share == pytest.approx(0.25)


def test_a_level_like_a_sound_wire_speaks_for_a_cause_outside() -> None:
    full = seen(MarkedLevel(9.0, 1.0, 9.0))
    assert full.in_the_wire < prior(LINE, USUAL).in_the_wire
    low = seen(MarkedLevel(1.5, 1.0, 9.0))
    assert low.outside[Outside.COIL] < prior(LINE, USUAL).outside[Outside.COIL] / 2


@pytest.mark.parametrize(
    "level", [MarkedLevel(2.0, 1.0, 9.0, soil_is_dry=True), ToneLevel(Third.LOW, soil_is_dry=True)]
)
def test_levels_in_dry_soil_say_nothing(level: Reading) -> None:
    assert seen(level).by_leg == pytest.approx(prior(LINE, USUAL).by_leg)


def test_a_spare_that_runs_blames_the_hot_wire_and_one_that_does_not_the_rest() -> None:
    before = prior(LINE, USUAL)
    runs, dead = seen(SpareTried(works=True)), seen(SpareTried(works=False))
    ends = sum(runs.outside[each] for each in END_SPLICES)
    assert runs.of(Conductor.HOT) + runs.splice.sum() + ends > 0.9
    assert dead.outside[Outside.VALVE_SPLICE] < before.outside[Outside.VALVE_SPLICE] / 5
    assert runs.of(Conductor.COMMON) < before.of(Conductor.COMMON) / 10
    assert dead.of(Conductor.HOT) < 0.1
    assert dead.of(Conductor.BUNDLE) > before.of(Conductor.BUNDLE)
    assert dead.outside[Outside.COIL] > before.outside[Outside.COIL] * 1.5


def test_a_leak_that_probes_missed_is_less_likely_where_they_walked() -> None:
    assumed = Assumptions(gradient_detects=0.75)
    assert ratio(GradientWalked(0, 1), 1, 0, assumed) == pytest.approx(4)
    assert ratio(EarthGradient(50), 0, 2, assumed) > 5


def test_readings_that_cannot_be_are_refused() -> None:
    before = prior(LINE, USUAL)
    with pytest.raises(UnusableLine, match=r"point 0\.\.3"):
        update(before, Clamped(9, flows=True), USUAL)
    with pytest.raises(UnusableLine, match=r"box 1\.\.2"):
        update(before, InsulationTest(3, True, None), USUAL)
    with pytest.raises(UnusableReading, match="sd_ft >= 0"):
        update(before, Distance(3, sd_ft=-1), USUAL)
    with pytest.raises(UnusableReading, match="distance in feet, got inf"):
        update(before, EarthGradient(float("inf")), USUAL)
    with pytest.raises(UnusableReading, match="as level, got nan"):
        MarkedLevel(float("nan"), 0, 1)
    with pytest.raises(UnusableAssumptions, match="clamp_sensitivity"):
        Assumptions(clamp_sensitivity=0.5, clamp_specificity=0.5)
    with pytest.raises(UnusableLine, match="hazard factors of 0"):
        prior(Line((Leg("dead", 10, hazard_factor=0),)), USUAL)


def test_a_check_that_finds_its_cause_leaves_little_else() -> None:
    assert seen(Checked(Check.WATER, is_right=False)).outside[Outside.WATER] > 0.4
