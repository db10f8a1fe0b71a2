"""What each reading did: its chance before it counted, and the share that it moved most."""

import numpy as np
import pytest

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Contradiction, Outside, prior
from faults.locating.engines.box_tests import BoxTest
from faults.locating.engines.effects import ALIKE, Kind, Moved, effects_of, likeliest, moved
from faults.locating.engines.line import Box, Joint, Leg, Line
from faults.locating.engines.mends import Mended
from faults.locating.engines.options import Stand
from faults.locating.engines.other_tests import Check, Checked
from faults.locating.engines.pairs import after_readings, begun
from faults.locating.engines.tension import cheapest_retest

USUAL = Assumptions()
PERFECT = Assumptions(box_sensitivity=1.0, box_specificity=1.0, box_swapped=0.0, two_faults=0.0)
LINE = Line(
    tuple(Leg(f"leg {i}", 200, years=0) for i in range(3)),
    (Box("box 1", Joint.SPLICED), Box("box 2", Joint.SPLICED)),
)


def test_each_reading_goes_on_from_the_one_before() -> None:
    start = begun(prior(LINE, USUAL), USUAL)
    readings = (Checked(Check.COIL, is_right=True), BoxTest(1, False, True))
    first, second = effects_of(start, readings)
    assert first.after is not None
    assert np.array_equal(second.before.by_leg, first.after.by_leg)
    assert first.chance == start.chance_of(readings[0])
    assert second.chance == start.after(readings[0]).chance_of(readings[1])


def test_it_ends_with_the_one_that_leaves_no_explanation() -> None:
    start = begun(prior(LINE, PERFECT), PERFECT)
    readings = (BoxTest(2, True, False), BoxTest(1, True, False), BoxTest(1, False, True))
    did = effects_of(start, readings)
    assert [each.after is None for each in did] == [False, False, True]
    assert did[-1].chance == 0.0


def test_the_share_that_moved_most_is_named_with_both_ends() -> None:
    start = begun(prior(LINE, USUAL), USUAL)
    (coil,) = effects_of(start, (Checked(Check.COIL, is_right=False),))
    assert coil.after is not None
    place = list(Outside).index(Outside.COIL)
    was, now = coil.before.outside[Outside.COIL], coil.after.outside[Outside.COIL]
    assert moved(coil.before, coil.after) == Moved(Kind.OUTSIDE, place, was, now)
    assert now > was
    (box,) = effects_of(start, (BoxTest(1, False, True),))
    assert box.after is not None
    # What lay before the box is all but gone, the most of it on its leg.
    lost = float(box.before.by_leg[0])
    assert moved(box.before, box.after) == Moved(Kind.LEG, 0, lost, float(box.after.by_leg[0]))


def test_of_what_is_alike_but_for_its_last_digits_the_first_is_named() -> None:
    assert likeliest([0.2, 0.4, 0.4 + ALIKE / 2]) == 1
    assert likeliest([0.2, 0.4, 0.4 + 2 * ALIKE]) == 2
    assert likeliest([0.4, 0.2, 0.4]) == 0


def test_a_test_is_named_for_repeating_though_the_others_cannot_do_without_a_mend() -> None:
    assumed = Assumptions(box_sensitivity=1.0, box_specificity=1.0, box_swapped=0.0)
    before = prior(LINE, assumed)
    bad, mended, good = BoxTest(1, True, None), Mended(leg=0), BoxTest(1, False, None)
    with pytest.raises(Contradiction):
        after_readings(before, (bad, good), assumed)
    readings = (bad, mended, good, Checked(Check.COIL, is_right=False))
    again = cheapest_retest(before, readings, assumed, Stand())
    assert again.reading in (0, 2, 3)
