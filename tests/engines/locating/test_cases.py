"""Cases that need a clear word: each shows where it should, and none in a calm search."""

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Neighbour, prior
from faults.locating.engines.box_tests import BoxTest, InsulationTest
from faults.locating.engines.cases import About, Case, Finding, findings
from faults.locating.engines.evidence import Reading
from faults.locating.engines.line import Box, Leg, Line
from faults.locating.engines.mends import Mended
from faults.locating.engines.options import Stand
from faults.locating.engines.other_tests import Bypassed, Check, Checked, Distance
from faults.locating.engines.symptoms import Symptom
from faults.locating.engines.tension import (
    chance_of_last,
    cheapest_retest,
    clash,
    fitting,
    retest_min,
)
from faults.locating.engines.tones import MarkedLevel, Third, ToneLevel, ToneWalked
from tests.engines.locating.readings import readings

USUAL = Assumptions()
PERFECT = Assumptions(box_sensitivity=1.0, box_specificity=1.0, box_swapped=0.0)


def line_of(*feet: float, is_guessed: bool = False) -> Line:
    legs = tuple(Leg(f"leg {i}", ft, years=0, is_guessed=is_guessed) for i, ft in enumerate(feet))
    return Line(legs, tuple(Box(f"box {i}") for i in range(1, len(feet))))


LINE = line_of(300, 300, 300, 300)
BEFORE, IN_VALVE_BOX = (True, False), (False, True)


def told(
    said: Sequence[Reading] = (),
    about: About | None = None,
    *,
    line: Line = LINE,
    assumed: Assumptions = USUAL,
    neighbours: Sequence[Neighbour] = (),
) -> dict[Case, Finding]:
    before = prior(line, assumed, neighbours)
    state, fit = fitting(before, said, assumed)
    belief = state.belief if fit == len(said) else None
    seen = findings(before, said, assumed, belief, about or About())
    return {each.case: each for each in seen}


def test_a_calm_search_has_nothing_to_say() -> None:
    calm: list[Reading] = [
        BoxTest(2, *IN_VALVE_BOX),
        BoxTest(3, *BEFORE),
        Distance(800),
        ToneWalked(3, 2),
    ]
    for count in range(len(calm) + 1):
        assert told(calm[:count]) == {}


def test_two_perfect_tests_against_each_other_are_named_and_the_map_stays_as_it_was() -> None:
    said = [BoxTest(2, None, None), BoxTest(1, *BEFORE), BoxTest(3, *IN_VALVE_BOX)]
    assert told(said, assumed=PERFECT)[Case.CONTRADICTION].readings == (1, 2)
    state, fit = fitting(prior(LINE, PERFECT), said, PERFECT)
    assert fit == 2
    assert state.belief.by_leg[1:].sum() == 0


def test_readings_that_only_together_rule_out_the_last_are_not_blamed_singly() -> None:
    # Water is left by each test alone: only both rule it out.
    said = [BoxTest(2, *IN_VALVE_BOX), BoxTest(3, *BEFORE), BoxTest(2, *BEFORE)]
    pair = clash(prior(LINE, PERFECT), said, PERFECT)
    assert pair == (0, 2)
    assert clash(prior(LINE, PERFECT), said[:2], PERFECT) == ()


def test_a_result_that_was_hardly_to_be_expected_names_both_explanations() -> None:
    said = [BoxTest(1, *BEFORE), BoxTest(1, *BEFORE), BoxTest(3, *IN_VALVE_BOX)]
    seen = told(said, About(stand=Stand(3, 3)))[Case.TENSION]
    assert seen.figures["chance"] < 0.05
    assert seen.figures["second_fault"] + seen.figures["bad_reading"] == pytest.approx(1)
    assert 0 < seen.figures["second_fault"] < 1
    # The box is still open: testing it again takes the test only.
    assert seen.readings == (2, 2)
    assert seen.figures["retest_min"] == USUAL.repeat_min


def test_the_cheapest_test_to_repeat_may_be_the_earlier_one() -> None:
    before = prior(LINE, USUAL)
    said: list[Reading] = [
        Distance(1100),
        BoxTest(2, *IN_VALVE_BOX),
        BoxTest(2, *IN_VALVE_BOX),
        BoxTest(1, *BEFORE),
    ]
    here = cheapest_retest(before, said, USUAL, Stand(2, 2))
    assert here.reading in (1, 2)
    assert here.minutes == USUAL.repeat_min
    assert cheapest_retest(before, said, USUAL, Stand(1, 1)).reading == 3


def test_minutes_of_a_repeat_hold_the_way_there() -> None:
    # By hand: 600 ft at 250 ft a minute, 11 minutes to open the box again.
    assert retest_min(BoxTest(2, *BEFORE), LINE, USUAL, Stand(0)) == pytest.approx(13.4)
    # By hand: 8 minutes of set-up and 600 ft at 4 minutes for 100 ft.
    assert retest_min(ToneWalked(0, 2), LINE, USUAL, Stand(0)) == pytest.approx(32)


def test_a_distance_far_from_all_that_is_believed_is_in_tension() -> None:
    sure: list[Reading] = [*[BoxTest(1, *BEFORE)] * 3, ToneWalked(1, 4)]
    # A common broken at the controller would explain any distance: it is ruled out first.
    sure.append(Checked(Check.COMMON, is_right=True))
    before = prior(LINE, USUAL)
    assert chance_of_last(before, [*sure, Distance(150)], USUAL) > 0.15
    assert chance_of_last(before, [*sure, Distance(1000)], USUAL) < 0.05
    assert Case.TENSION in told([*sure, Distance(1000)])
    assert chance_of_last(before, [], USUAL) == 1


def test_two_faults_more_likely_than_one_is_tension_too() -> None:
    both = [BoxTest(2, True, True)] * 3
    seen = told(both)
    assert seen[Case.TENSION].figures["second_fault"] > 0.5
    assert seen[Case.BOTH_BAD].figures["second_fault"] > 0.5
    assert seen[Case.BOTH_BAD].points == (2,)


@pytest.mark.parametrize("kind", [BoxTest, InsulationTest])
def test_sides_that_read_alike_are_told_until_the_box_is_tested_again(
    kind: type[BoxTest] | type[InsulationTest],
) -> None:
    good = kind(2, controller_bad=False, valve_bad=False)
    assert told([good])[Case.BOTH_GOOD].points == (2,)
    assert Case.BOTH_BAD in told([kind(2, controller_bad=True, valve_bad=True)])
    assert Case.BOTH_GOOD not in told([good, kind(2, *BEFORE)])
    assert Case.BOTH_GOOD not in told([kind(2, controller_bad=None, valve_bad=None)])
    assert Case.BOTH_GOOD not in told([kind(2, controller_bad=None, valve_bad=False)])


def test_causes_outside_the_wire_are_told_once_they_lead() -> None:
    at_valve = told([Checked(Check.COIL, is_right=False)])
    assert at_valve[Case.AT_VALVE].figures["share"] > 0.5
    at_controller = told([Checked(Check.OUTPUT, is_right=False)] * 2)
    assert at_controller[Case.AT_CONTROLLER].figures["share"] > 0.3
    assert Case.OTHERS_DEAD not in at_controller
    # By hand: odds of 4 to 996 times 97 to 3 are 0.13, twice 4.2, less what two faults take of it.
    wrong = Checked(Check.WIRE, is_right=False)
    assert Case.OTHER_WIRE not in told([wrong])
    other = told([wrong, wrong])
    assert 0.70 < other[Case.OTHER_WIRE].figures["share"] < 0.81
    assert Case.AT_VALVE not in other


def test_all_other_stations_dead_point_to_the_common() -> None:
    seen = told(neighbours=[Neighbour(works=False)] * 4)
    assert seen[Case.OTHERS_DEAD].figures["share"] > 0.5
    assert Case.AT_CONTROLLER in seen


def test_mended_and_still_dead_shows_where_a_second_fault_lies() -> None:
    said = [BoxTest(2, True, True)] * 2
    seen = told([*said, Mended(leg=0)])[Case.STILL_DEAD]
    assert seen.legs == (0,)
    assert sum(seen.by_leg[2:]) > 0.6
    assert sum(seen.by_leg) + sum(seen.figures.values()) <= 1 + 1e-9
    assert told([*said, Mended(box=1)])[Case.STILL_DEAD].points == (1,)
    assert Case.STILL_DEAD not in told([*said, Mended(check=Check.COIL)])


def test_mended_where_no_second_fault_fits_doubts_the_mend() -> None:
    said = [BoxTest(3, controller_bad=True, valve_bad=False), BoxTest(2, False, False)]
    seen = told([*said, Mended(leg=0)], assumed=PERFECT)
    assert seen[Case.NO_SECOND_FITS].legs == (0,)


@pytest.mark.parametrize(("feet", "is_out"), [(-1, True), (1321, True), (1319, False), (0, False)])
def test_a_distance_beyond_the_wire_is_told(feet: float, is_out: bool) -> None:
    assert (Case.DISTANCE_OUT_OF_RANGE in told([Distance(feet)])) is is_out


def test_distances_from_both_ends_that_miss_the_length_are_told() -> None:
    assumed = Assumptions(distance_sd_ft=5, distance_sd_share=0)
    # By hand: standard error hypot(5, 5) = 7.07, three of them 21.2 ft.
    near = Distance(500)
    assert Case.DISTANCES_DISAGREE not in told(
        [near, Distance(720, from_valve=True)], assumed=assumed
    )
    seen = told([near, Distance(722, from_valve=True)], assumed=assumed)[Case.DISTANCES_DISAGREE]
    assert seen.figures == {"sum_ft": 1222, "length_ft": 1200, "sd_ft": pytest.approx(50**0.5)}
    assert seen.readings == (0, 1)


def test_guessed_lengths_are_told_and_widen_a_distance() -> None:
    guessed = line_of(300, 300, 300, 300, is_guessed=True)
    assert told([Distance(500)], line=guessed)[Case.LENGTHS_GUESSED].legs == (0, 1, 2, 3)
    sure, unsure = (
        Distance(450).likelihood(each, USUAL).legs[[450, 900]] for each in (LINE, guessed)
    )
    assert sure[0] / sure[1] > 2 * unsure[0] / unsure[1] > 2


def test_a_level_in_dry_soil_and_one_on_a_short_wire_are_told() -> None:
    for level in (ToneLevel(Third.LOW, soil_is_dry=True), MarkedLevel(2, 1, 9, soil_is_dry=True)):
        assert Case.DRY_LEVEL in told([level])
    assert Case.DRY_LEVEL not in told([ToneLevel(Third.LOW)])
    short = line_of(100, 90)
    assert Case.SHORT_PATH in told([ToneLevel(Third.LOW)], line=short)
    assert Case.SHORT_PATH not in told([ToneLevel(Third.TOP)], line=short)
    assert Case.SHORT_PATH not in told([ToneLevel(Third.LOW)])


def test_a_leg_walked_twice_for_nothing_asks_for_another_way() -> None:
    seen = told([ToneWalked(0, 2), ToneWalked(3, 1)])[Case.WALKED_IN_VAIN]
    assert seen.legs == (1,)
    assert seen.figures == {"times": 2}
    assert Case.WALKED_IN_VAIN not in told([ToneWalked(0, 2), ToneWalked(2, 4)])


def test_shorts_and_nicks_come_with_their_hint() -> None:
    assert Case.SHORT_PASSES_TONE in told(about=About(symptom=Symptom.SHORT))
    assert Case.NICK_READS_GOOD in told(about=About(symptom=Symptom.LEAK))
    fleeting = About(symptom=Symptom.COMES_AND_GOES, soil_is_dry=True)
    assert Case.NICK_READS_GOOD in told(about=fleeting)
    assert told(about=About(soil_is_dry=True)) == {}


def test_a_jumper_that_works_round_a_likely_leg_is_as_good_as_found() -> None:
    said: list[Reading] = [BoxTest(2, *IN_VALVE_BOX), Bypassed(2, works=True)]
    seen = told(said)[Case.JUMPER_WORKS]
    assert seen.legs == (2,)
    assert seen.figures["share"] > 0.9
    assert Case.JUMPER_WORKS not in told([Bypassed(2, works=False)])


def test_a_search_past_its_budget_is_told() -> None:
    assert Case.PAST_BUDGET in told(about=About(minutes=91, budget_min=90))
    assert told(about=About(minutes=90, budget_min=90)) == {}
    assert told(about=About(minutes=900)) == {}


def test_the_most_pressing_comes_first() -> None:
    before = prior(LINE, USUAL)
    said: list[Reading] = [*[BoxTest(2, True, True)] * 3, Distance(-4)]
    seen = findings(before, said, USUAL, fitting(before, said, USUAL)[0].belief, About())
    order = [list(Case).index(each.case) for each in seen]
    assert order == sorted(order)
    assert len(order) >= 3


def test_a_mend_where_by_tests_without_error_nothing_was_broken_points_elsewhere() -> None:
    """Both sides of box 1 read bad, so a fault lies on each side, and none in the box."""
    seen = told([BoxTest(1, True, True), Mended(box=1)], assumed=PERFECT)
    assert Case.NO_SECOND_FITS not in seen
    assert Case.STILL_DEAD in seen


@settings(max_examples=60, deadline=None)
@given(
    st.lists(readings(LINE), max_size=6),
    st.sampled_from([USUAL, PERFECT]),
    st.sampled_from([About(), About(symptom=Symptom.LEAK, soil_is_dry=True)]),
)
def test_whatever_is_read_every_figure_is_a_number(
    said: list[Reading], assumed: Assumptions, about: About
) -> None:
    for each in told(said, about, assumed=assumed).values():
        assert np.isfinite([*each.figures.values(), *each.by_leg]).all()
        assert all(0 <= i < len(said) for i in each.readings)
