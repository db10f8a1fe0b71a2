"""What is believed of a fault: each row of exact cases, checked by direct arithmetic.

Source: the exact cases were computed independently of this code and by hand where said.
"""

import numpy as np
import pytest

from faults.locating.engines.assumptions import Assumptions, UnusableAssumptions
from faults.locating.engines.belief import (
    NUMBER_OF,
    Belief,
    Conductor,
    Contradiction,
    Neighbour,
    Outside,
    leg_rates,
    prior,
)
from faults.locating.engines.box_tests import BoxTest
from faults.locating.engines.line import Box, Joint, Leg, Line, UnusableLine
from faults.locating.engines.other_tests import Check, Checked
from tests.engines.locating.one_fault import chance_of, update

FEET = (200.0, 300.0, 100.0, 400.0)
NO_OUTSIDE = dict.fromkeys(NUMBER_OF.values(), 0.0)


def line_of(*feet: float, years: float = 0.0, faults: tuple[int, ...] = ()) -> Line:
    struck = faults or (0,) * len(feet)
    legs = tuple(
        Leg(f"leg {i}", ft, years=years, faults=n)
        for i, (ft, n) in enumerate(zip(feet, struck, strict=True))
    )
    return Line(legs, tuple(Box(f"box {i}") for i in range(1, len(feet))))


def assumed(**given: float) -> Assumptions:
    return Assumptions(**({**NO_OUTSIDE, "common_share": 0.0, "splice_counts_as_ft": 0.0} | given))


def test_past_faults_raise_a_leg_and_its_length_shrinks_it() -> None:
    line = line_of(*FEET, years=10, faults=(0, 2, 0, 0))
    rates = leg_rates(line, assumed())
    assert rates == pytest.approx([8.333333e-5, 2.307692e-4, 9.090909e-5, 7.142857e-5], rel=1e-6)
    assert prior(line, assumed()).by_leg == pytest.approx(
        [0.134887, 0.560302, 0.073575, 0.231236], abs=1e-6
    )


@pytest.mark.parametrize(
    ("works", "expected"),
    [
        (True, [0.168868, 0.253302, 0.115566, 0.462264]),
        (False, [0.373684, 0.560526, 0.013158, 0.052632]),
    ],
)
def test_another_station_on_two_legs_tells_where_a_bundle_may_be_cut(
    works: bool, expected: list[float]
) -> None:
    neighbour = Neighbour(works=works, shares=frozenset({0, 1}))
    believed = prior(line_of(*FEET), assumed(bundle_share=0.3), [neighbour])
    assert believed.by_leg == pytest.approx(expected, abs=1e-6)


def test_one_box_test_moves_the_mass_as_direct_arithmetic_says() -> None:
    numbers = assumed(
        splice_counts_as_ft=20,
        p_output=0.05,
        p_common_terminal=0.03,
        p_coil=0.12,
        box_sensitivity=0.95,
        box_specificity=0.90,
        box_swapped=0.02,
    )
    before = prior(line_of(*FEET), numbers)
    said = BoxTest(2, controller_bad=True, valve_bad=False)
    assert chance_of(before, said, numbers) == pytest.approx(0.408548, abs=1e-6)
    after = update(before, said, numbers)
    assert after.by_leg == pytest.approx([0.309610, 0.464415, 0.004064, 0.016256], abs=1e-6)
    assert after.splice[1:4] == pytest.approx([0.030961, 0.003325, 0.000813], abs=1e-6)
    assert after.outside[Outside.OUTPUT] == pytest.approx(0.102558, abs=1e-6)
    assert after.outside[Outside.COMMON_TERMINAL] == pytest.approx(0.061535, abs=1e-6)
    assert after.outside[Outside.COIL] == pytest.approx(0.006462, abs=1e-6)


def test_a_common_broken_on_a_leg_stops_every_station_beyond_it() -> None:
    line = line_of(100, 200, 300)
    numbers = assumed(bundle_share=0.0, common_share=1.0)
    seen = [
        Neighbour(works=end == 0, common=frozenset(range(end + 1)))
        for end in range(3)
        for _ in "ab"
    ]
    believed = prior(line, numbers, seen)
    assert believed.by_leg == pytest.approx([0.000208, 0.999168, 0.000624], abs=1e-6)
    assert believed.of(Conductor.COMMON) == pytest.approx(1.0)


def test_a_splice_is_only_where_one_exists() -> None:
    legs = tuple(Leg(f"leg {i}", 100) for i in range(3))
    boxes = (Box("passing", Joint.UNCUT), Box("spliced", Joint.SPLICED))
    believed = prior(Line(legs, boxes), Assumptions())
    assert believed.splice[1] == 0
    assert believed.splice[2] > 0


def test_splitting_a_leg_changes_no_probability() -> None:
    # Without past faults on record, feet alone decide.
    whole = prior(line_of(200, 300), assumed(p_coil=0.1))
    legs = (Leg("a", 200, years=0), Leg("b1", 120, years=0), Leg("b2", 180, years=0))
    parts = Line(legs, (Box("x"), Box("new", Joint.UNCUT)))
    split = prior(parts, assumed(p_coil=0.1))
    assert split.by_leg[0] == pytest.approx(whole.by_leg[0])
    assert split.by_leg[1:].sum() == pytest.approx(whole.by_leg[1])


def test_perfect_tests_that_contradict_each_other_leave_nothing() -> None:
    numbers = assumed(box_sensitivity=1.0, box_specificity=1.0, box_swapped=0.0)
    belief: Belief = prior(line_of(100, 100, 100), numbers)
    belief = update(belief, BoxTest(1, controller_bad=True, valve_bad=False), numbers)
    with pytest.raises(Contradiction):
        update(belief, BoxTest(2, controller_bad=False, valve_bad=True), numbers)


def test_a_box_that_is_not_on_the_wire_is_refused() -> None:
    with pytest.raises(UnusableLine, match=r"1\.\.2"):
        update(prior(line_of(1, 2, 3), assumed()), BoxTest(3, True, False), assumed())


@pytest.mark.parametrize("feet", [-1.0, float("nan"), float("inf")])
def test_a_length_that_is_none_is_refused_by_the_name_of_its_leg(feet: float) -> None:
    with pytest.raises(UnusableLine, match="leg 0"):
        line_of(feet, 10)


def test_a_line_without_length_is_refused() -> None:
    with pytest.raises(UnusableLine):
        line_of(0, 0)
    with pytest.raises(UnusableLine):
        Line(())


def test_a_leg_without_length_is_allowed_and_has_no_mass() -> None:
    assert prior(line_of(100, 0, 100), assumed()).by_leg[1] == 0


@pytest.mark.parametrize(
    "given",
    [
        {"tone_detects": 0},
        {"box_sensitivity": 0.5, "box_specificity": 0.5},
        {"repeat_min": -1},
        {"p_coil": 0.95},
        {"bundle_share": 1.2},
    ],
)
def test_numbers_that_make_no_sense_are_refused(given: dict[str, float]) -> None:
    with pytest.raises(UnusableAssumptions):
        Assumptions(**given)


def test_a_coil_that_reads_right_leaves_the_wire() -> None:
    before = prior(line_of(*FEET), Assumptions())
    after = update(before, Checked(Check.COIL, is_right=True), Assumptions())
    assert after.outside[Outside.COIL] < before.outside[Outside.COIL] / 10
    assert after.in_the_wire > before.in_the_wire
    assert np.isclose(after.total, 1)
