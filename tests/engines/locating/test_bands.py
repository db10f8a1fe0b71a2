"""A belief drawn: every foot once, the likeliest highest, what a tone passed hatched."""

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
