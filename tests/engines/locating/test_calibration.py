"""What is said agrees with what is so: coverage of likely sets, and the chance of two faults."""

import numpy as np
import pytest

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import (
    SPOILS_VALVE_SIDE,
    Conductor,
    Contradiction,
    Outside,
    prior,
)
from faults.locating.engines.box_tests import BoxTest
from faults.locating.engines.line import Box, Leg, Line
from faults.locating.engines.mends import Mended
from faults.locating.engines.other_tests import Check, Checked
from faults.locating.engines.pairs import after_readings
from faults.locating.engines.segments import Segments
from faults.locating.engines.simulation.compare import DEFAULT_SEED
from faults.locating.engines.simulation.worlds import WORLDS
from faults.locating.engines.summary import band, feet_of
from tests.engines.locating.again_in_vain import holds_after_misses
from tests.engines.locating.likely_set import coverage
from tests.engines.locating.truth import drawn_line, is_held, observed

CASES = 1500
# Three standard errors about 0.90 at this number of cases.
WITHIN = 3 * (0.9 * 0.1 / CASES) ** 0.5


def test_a_set_that_says_ninety_percent_holds_the_truth_that_often() -> None:
    rng = np.random.default_rng(20260104)
    held = np.mean([is_held(rng) for _ in range(CASES)])
    assert held == pytest.approx(0.90, abs=WITHIN)


def test_sets_hold_on_sites_that_are_known_and_often_enough_on_sites_known_badly() -> None:
    # The full sizes and bars are in the bench of calibration; these leave room for few sites.
    seeds = range(DEFAULT_SEED, DEFAULT_SEED + 300)
    assert coverage(WORLDS["standard"], seeds) == pytest.approx(0.90, abs=0.05)
    assert coverage(WORLDS["misspecified"], seeds) >= 0.80


def test_what_is_walked_and_heard_again_and_again_in_vain_is_believed_as_it_comes_true() -> None:
    # Misses that go together; the full size is in the bench of calibration.
    seeds = range(DEFAULT_SEED, DEFAULT_SEED + 800)
    held = [each for each in map(holds_after_misses, seeds) if each is not None]
    assert len(held) > 500
    assert np.mean(held) == pytest.approx(0.90, abs=3 * (0.9 * 0.1 / len(held)) ** 0.5)


def test_the_chance_of_two_faults_comes_true_as_often_as_it_says() -> None:
    rng = np.random.default_rng(20260105)
    assumed = Assumptions(two_faults=0.30, p_water=0.0, common_share=0.0)
    said, was = [], []
    for _ in range(CASES):
        line = drawn_line(rng)
        before = prior(line, assumed)
        segments = Segments(line)
        mass = segments.masses(before)
        drawn = rng.choice(len(mass), size=2, p=mass / mass.sum())
        places = segments.place[drawn if rng.random() < 0.30 else drawn[:1]]
        tests = []
        for _test in range(3):
            box = int(rng.integers(1, len(line.boxes) + 1))
            [splice] = segments.of_splice(box)
            at = segments.place[splice]
            sides = (bool((places < at).any()), bool((places > at).any()))
            tests.append(BoxTest(box, *observed(rng, sides, assumed)))
        said.append(after_readings(before, tests, assumed).p_two)
        was.append(len(places) == 2)
    assert np.mean(said) == pytest.approx(np.mean(was), abs=3 * (0.21 / CASES) ** 0.5)
    sure = np.array(said) > 0.5
    assert np.mean(np.array(was)[sure]) == pytest.approx(np.mean(np.array(said)[sure]), abs=0.08)


def test_where_the_nearest_fault_lies_comes_true_leg_by_leg_when_two_are_possible() -> None:
    rng = np.random.default_rng(20260106)
    assumed = Assumptions(two_faults=0.30, p_water=0.0, common_share=0.0)
    gained, held = 0.0, 0.0
    for _ in range(CASES):
        line = drawn_line(rng)
        before = prior(line, assumed)
        segments = Segments(line)
        mass = segments.masses(before)
        drawn = rng.choice(len(mass), size=2, p=mass / mass.sum())
        places = np.sort(segments.place[drawn if rng.random() < 0.30 else drawn[:1]])
        tests = []
        for _test in range(2):
            box = int(rng.integers(1, len(line.boxes) + 1))
            at = 2 * box - 1
            sides = (bool((places < at).any()), bool((places > at).any()))
            tests.append(BoxTest(box, *observed(rng, sides, assumed)))
        belief = after_readings(before, tests, assumed).belief
        first = places[0]
        likeliest = int(belief.by_leg.argmax())
        gained += float(belief.by_leg[likeliest])
        held += float(first == 2 * likeliest)
    assert held / CASES == pytest.approx(gained / CASES, abs=3 * (0.25 / CASES) ** 0.5)


LINE = Line(tuple(Leg(f"leg {i}", 100) for i in range(4)), tuple(Box(f"b{i}") for i in range(3)))
BOTH_BAD = BoxTest(2, controller_bad=True, valve_bad=True)


@pytest.mark.parametrize(("pairs", "most"), [(1, 0.5), (2, 0.96), (4, 1.0)])
def test_a_box_bad_on_both_sides_leads_to_the_fault_before_it(pairs: int, most: float) -> None:
    assumed = Assumptions()
    state = after_readings(prior(LINE, assumed), [BOTH_BAD] * pairs, assumed)
    # By hand, of the pairs on both sides of the box and of one fault misread.
    assert (state.p_two > 0.5) is (pairs > 1)
    assert state.p_two < most
    beyond = state.belief.by_leg[2:].sum() + state.belief.outside[Outside.COIL]
    assert bool(beyond < 0.1) is (pairs > 1)


def test_after_a_mend_the_other_fault_is_sought_by_what_was_tested() -> None:
    assumed = Assumptions()
    state = after_readings(prior(LINE, assumed), [BOTH_BAD] * 2, assumed)
    mended = Mended(leg=0)
    assert state.share_of_second(mended) > 0.9
    left = state.after(mended)
    outside = left.belief.outside
    assert left.belief.by_leg[2:].sum() + sum(outside[each] for each in SPOILS_VALVE_SIDE) > 0.9
    assert left.p_two == pytest.approx(assumed.two_faults, abs=0.02)
    # Within a leg the conductors keep their shares.
    before = prior(LINE, assumed)
    ratio = before.of(Conductor.HOT) / before.of(Conductor.BUNDLE)
    assert left.belief.of(Conductor.HOT) / left.belief.of(Conductor.BUNDLE) == pytest.approx(ratio)


def test_a_mend_where_one_fault_explained_all_is_doubted() -> None:
    perfect = Assumptions(box_sensitivity=1.0, box_specificity=1.0, box_swapped=0.0)
    state = after_readings(prior(LINE, perfect), [BoxTest(1, True, False)], perfect)
    assert state.share_of_second(Mended(leg=0)) < 0.5
    left = state.after(Mended(leg=0)).belief
    assert left.by_leg[0] > 0.5
    assert left.by_leg[1:].sum() < 1e-9


def test_a_part_that_was_replaced_for_nothing_is_not_asked_for_again() -> None:
    assumed = Assumptions()
    wrong = Checked(Check.COIL, is_right=False)
    bad = after_readings(prior(LINE, assumed), [wrong], assumed)
    replaced = bad.after(Mended(check=Check.COIL))
    assert bad.belief.outside[Outside.COIL] > 0.7
    assert replaced.belief.outside[Outside.COIL] < 0.2
    assert replaced.belief.by_leg.sum() > 0.6


def test_tests_that_not_even_two_faults_explain_raise_the_named_error() -> None:
    perfect = Assumptions(box_sensitivity=1.0, box_specificity=1.0, box_swapped=0.0)
    tests = [BoxTest(1, controller_bad=True, valve_bad=False), BoxTest(1, False, True)]
    with pytest.raises(Contradiction):
        after_readings(prior(LINE, perfect), tests, perfect)
    # Two faults explain what one cannot: bad toward both ends.
    both = [BoxTest(1, controller_bad=True, valve_bad=True)]
    assert after_readings(prior(LINE, perfect), both, perfect).p_two == pytest.approx(1)


def test_bands_are_rounded_and_honest_at_the_ends() -> None:
    assert [band(p) for p in (0.0, 0.004, 0.03, 0.24, 0.6, 0.97)] == [0.0, 0.0, 0.02, 0.2, 0.5, 1.0]
    with pytest.raises(ValueError, match=r"0\.\.1"):
        band(1.2)


def test_feet_stand_in_order_and_on_the_wire() -> None:
    line = drawn_line(np.random.default_rng(3))
    feet = feet_of(prior(line, Assumptions()))
    assert feet is not None
    assert 0 <= feet.low <= feet.middle <= feet.high <= line.length_ft
