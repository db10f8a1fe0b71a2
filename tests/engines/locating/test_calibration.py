"""What is said agrees with what is so: coverage of likely sets, and the chance of two faults."""

import numpy as np
import pytest

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Conductor, Contradiction, Outside, prior
from faults.locating.engines.box_tests import BoxTest
from faults.locating.engines.line import Box, Leg, Line
from faults.locating.engines.second import (
    after_repair,
    belief_after_repair,
    segments_of,
    two_faults,
)
from faults.locating.engines.simulation.compare import DEFAULT_SEED
from faults.locating.engines.simulation.worlds import WORLDS
from faults.locating.engines.summary import band, feet_of
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


def test_the_chance_of_two_faults_comes_true_as_often_as_it_says() -> None:
    rng = np.random.default_rng(20260105)
    assumed = Assumptions(two_faults=0.30, p_water=0.0, common_share=0.0)
    said, was = [], []
    for _ in range(CASES):
        segments = segments_of(prior(drawn_line(rng), assumed))
        places = rng.choice(len(segments.mass), size=2, p=segments.mass)
        places = places if rng.random() < 0.30 else places[:1]
        boxes = (len(segments.mass) - 3) // 2
        tests = []
        for _test in range(3):
            box = int(rng.integers(1, boxes + 1))
            at = segments.splice(box)
            sides = (bool((places < at).any()), bool((places > at).any()))
            tests.append(BoxTest(box, *observed(rng, sides, assumed)))
        said.append(two_faults(segments, tests, assumed).p_two)
        was.append(len(places) == 2)
    assert np.mean(said) == pytest.approx(np.mean(was), abs=3 * (0.21 / CASES) ** 0.5)
    sure = np.array(said) > 0.5
    assert np.mean(np.array(was)[sure]) == pytest.approx(np.mean(np.array(said)[sure]), abs=0.08)


def test_after_a_mend_the_other_fault_is_sought_by_what_was_tested() -> None:
    assumed = Assumptions(two_faults=0.06)
    line = Line(
        tuple(Leg(f"leg {i}", 100) for i in range(4)), tuple(Box(f"b{i}") for i in range(3))
    )
    segments = segments_of(prior(line, assumed))
    both_bad = BoxTest(2, controller_bad=True, valve_bad=True)
    assert two_faults(segments, [both_bad], assumed).p_two > 0.2
    other = after_repair(segments, [both_bad], segments.leg(0), assumed)
    assert other is not None
    beyond = other[segments.splice(2) + 1 :].sum()
    assert beyond > 0.8


def test_no_second_fault_is_named_where_none_fits() -> None:
    perfect = Assumptions(box_sensitivity=1.0, box_specificity=1.0, box_swapped=0.0)
    line = Line(tuple(Leg(f"leg {i}", 100) for i in range(3)), (Box("a"), Box("b")))
    segments = segments_of(prior(line, perfect))
    tests = [BoxTest(1, controller_bad=True, valve_bad=False), BoxTest(1, False, False)]
    assert after_repair(segments, tests, segments.leg(0), perfect) is None
    assert belief_after_repair(prior(line, perfect), tests, segments.leg(0), perfect) is None


def test_the_search_goes_on_with_the_other_fault_place_by_place() -> None:
    assumed = Assumptions()
    line = Line(
        tuple(Leg(f"leg {i}", 100) for i in range(4)), tuple(Box(f"b{i}") for i in range(3))
    )
    before = prior(line, assumed)
    segments, tests = segments_of(before), [BoxTest(2, controller_bad=True, valve_bad=True)]
    other = after_repair(segments, tests, segments.leg(0), assumed)
    goes_on = belief_after_repair(before, tests, segments.leg(0), assumed)
    assert other is not None
    assert goes_on is not None
    # Water is no segment: what it keeps is taken off all others alike.
    rest = 1 - goes_on.outside[Outside.WATER]
    for leg in range(4):
        assert goes_on.by_leg[leg] / rest == pytest.approx(other[segments.leg(leg)])
    assert goes_on.splice[3] / rest == pytest.approx(other[segments.splice(3)])
    # Within a leg the conductors keep their shares.
    ratio = before.of(Conductor.HOT) / before.of(Conductor.BUNDLE)
    assert goes_on.of(Conductor.HOT) / goes_on.of(Conductor.BUNDLE) == pytest.approx(ratio)


def test_tests_that_not_even_two_faults_explain_raise_the_named_error() -> None:
    perfect = Assumptions(box_sensitivity=1.0, box_specificity=1.0, box_swapped=0.0)
    line = Line(tuple(Leg(f"leg {i}", 100) for i in range(3)), (Box("a"), Box("b")))
    tests = [BoxTest(1, controller_bad=True, valve_bad=False), BoxTest(1, False, True)]
    with pytest.raises(Contradiction):
        two_faults(segments_of(prior(line, perfect)), tests, perfect)


def test_bands_are_rounded_and_honest_at_the_ends() -> None:
    assert [band(p) for p in (0.0, 0.004, 0.03, 0.24, 0.6, 0.97)] == [0.0, 0.0, 0.02, 0.2, 0.5, 1.0]
    with pytest.raises(ValueError, match=r"0\.\.1"):
        band(1.2)


def test_feet_stand_in_order_and_on_the_wire() -> None:
    line = drawn_line(np.random.default_rng(3))
    feet = feet_of(prior(line, Assumptions()))
    assert feet is not None
    assert 0 <= feet.low <= feet.middle <= feet.high <= line.length_ft
