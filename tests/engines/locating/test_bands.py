"""A belief drawn: every foot once, the likeliest highest, what a tone passed hatched."""

from dataclasses import replace

import numpy as np
import pytest

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.bands import feet_unlikely, stretches_of
from faults.locating.engines.belief import prior
from faults.locating.engines.box_tests import BoxTest
from faults.locating.engines.line import Box, Leg, Line
from faults.locating.engines.other_tests import Distance
from tests.engines.locating.one_fault import after_all

ASSUMED = Assumptions()
LINE = Line(
    (Leg("1", 200.0), Leg("2", 0.0), Leg("3", 300.0), Leg("4", 101.5)),
    (Box("a"), Box("b"), Box("c")),
)


def test_every_foot_is_drawn_once() -> None:
    before = prior(LINE, ASSUMED)
    drawn = stretches_of(before, after_all(before, [Distance(260.0)], ASSUMED))
    assert drawn[0].from_ft == pytest.approx(0.0)
    assert drawn[-1].to_ft == pytest.approx(601.5)
    assert [a.to_ft for a in drawn[:-1]] == pytest.approx([b.from_ft for b in drawn[1:]])
    assert max(drawn, key=lambda each: each.height).from_ft == pytest.approx(260, abs=30)


def test_nothing_is_hatched_before_a_test() -> None:
    before = prior(LINE, ASSUMED)
    assert not any(each.is_unlikely for each in stretches_of(before, before))


def test_what_a_box_test_excludes_is_hatched() -> None:
    before = prior(LINE, ASSUMED)
    after = after_all(before, [BoxTest(1, controller_bad=False, valve_bad=True)], ASSUMED)
    assert feet_unlikely(before, after) == pytest.approx(200.0, abs=0.1)
    assert stretches_of(before, after)[0].is_unlikely


def test_a_bar_is_as_high_as_what_it_stands_for() -> None:
    # By hand: of two legs alike, 75 of 100 and 20 of 100 are 5 and 2 fifths of the likelier one.
    line = Line((Leg("a", 100.0), Leg("b", 100.0)), (Box("x"),))
    before = prior(line, ASSUMED)
    legs = np.zeros_like(before.legs)
    legs[0, :100], legs[0, 100:] = 0.75 / 100, 0.20 / 100
    drawn = stretches_of(before, replace(before, legs=legs))
    assert [each.height for each in drawn] == [5, 2]
    assert [each.to_ft for each in drawn] == pytest.approx([100, 200])


@pytest.mark.parametrize(
    ("share", "height"),
    [(0.009, 0), (0.01, 1), (0.19, 1), (0.2, 2), (0.41, 3), (0.61, 4), (0.79, 4), (0.81, 5)],
)
def test_each_fifth_is_a_step(share: float, height: int) -> None:
    line = Line((Leg("a", 100.0), Leg("b", 100.0)), (Box("x"),))
    before = prior(line, ASSUMED)
    legs = np.zeros_like(before.legs)
    one = 0.01 / (1 + share * (1 + 1e-9))
    legs[0, :100], legs[0, 100:] = one, 0.01 - one
    belief = replace(before, legs=legs, splice=np.zeros(3), outside={})
    drawn = stretches_of(before, belief)
    assert (drawn[0].height, drawn[-1].height) == (5, height)


@pytest.mark.parametrize(("in_wire", "height"), [(0.75, 4), (0.2, 2), (0.19, 1)])
def test_a_wire_that_is_hardly_to_blame_has_a_low_bar(in_wire: float, height: int) -> None:
    line = Line((Leg("a", 100.0),), ())
    before = prior(line, ASSUMED)
    legs = np.zeros_like(before.legs)
    legs[0] = in_wire * (1 + 1e-9) / 100
    drawn = stretches_of(before, replace(before, legs=legs, splice=np.zeros(2)))
    assert [each.height for each in drawn] == [height]
