"""A distance that says the farthest place: it rules out what lies beyond, and nothing before."""

import numpy as np
import pytest

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Outside, prior
from faults.locating.engines.cases import About, Case, findings
from faults.locating.engines.line import Box, Leg, Line
from faults.locating.engines.options import Tools
from faults.locating.engines.other_tests import Distance
from faults.locating.engines.pairs import after_readings
from faults.locating.engines.searching import Searcher
from faults.locating.engines.symptoms import Symptom
from tests.engines.locating.one_fault import update

USUAL = Assumptions()
LINE = Line(tuple(Leg(f"leg {i}", 100, years=0) for i in range(4)), tuple(Box(x) for x in "abc"))


def farthest(feet: float, *, from_valve: bool = False) -> Distance:
    return Distance(feet, from_valve, sd_ft=5.0, sd_share=0.0, is_farthest=True)


def test_places_before_it_keep_their_shares_and_those_beyond_lose_theirs() -> None:
    before = prior(LINE, USUAL).by_leg
    seen = update(prior(LINE, USUAL), farthest(200.0), USUAL).by_leg
    assert seen[0] / seen[1] == pytest.approx(before[0] / before[1], rel=0.02)
    # By hand: 5 % of readings are useless, so that beyond it 0.05 is left against 1.
    assert seen[3] / seen[0] == pytest.approx(0.05, rel=0.05)
    # At the farthest place itself it is as likely as not.
    middle = farthest(200.0).likelihood(LINE, USUAL).splice[2]
    assert middle == pytest.approx((0.95 / 2 + 0.05) / 400)


def test_its_curve_is_as_wide_as_the_error_of_the_reading() -> None:
    # What it falls by from foot to foot is spread as the reading is.
    falls = -np.diff(farthest(200.0).likelihood(Line((Leg("a", 400.0),)), USUAL).legs)
    off = np.arange(1, 400) - 200.0
    assert np.average(off, weights=falls) == pytest.approx(0.0, abs=0.1)
    assert np.sqrt(np.average(off**2, weights=falls)) == pytest.approx(5.0, rel=0.02)


def test_from_the_valve_it_cuts_off_the_controllers_side() -> None:
    seen = update(prior(LINE, USUAL), farthest(200.0, from_valve=True), USUAL)
    assert seen.by_leg[0] < 0.06 * seen.by_leg[3]
    assert seen.outside[Outside.OUTPUT] < seen.outside[Outside.COIL]


def test_one_that_reaches_beyond_the_end_says_nothing() -> None:
    before = prior(LINE, USUAL)
    seen = update(before, farthest(600.0), USUAL)
    assert seen.by_leg == pytest.approx(before.by_leg, rel=1e-3)


def test_it_is_no_place_so_that_one_may_still_be_measured_and_none_is_contradicted() -> None:
    tools = Tools(distance_at_controller=True)
    said = (farthest(150.0),)
    search = Searcher(LINE, Symptom.OPEN, (), USUAL, tools, readings=said)
    assert search.useful.distance_at_controller
    placed = Searcher(LINE, Symptom.OPEN, (), USUAL, tools, readings=(Distance(150.0),))
    assert not placed.useful.distance_at_controller
    both = [farthest(390.0), Distance(100.0, from_valve=True)]
    state = after_readings(prior(LINE, USUAL), both, USUAL)
    told = [each.case for each in findings(prior(LINE, USUAL), both, USUAL, state.belief, About())]
    assert Case.DISTANCES_DISAGREE not in told
    places = [Distance(390.0), Distance(100.0, from_valve=True)]
    after = after_readings(prior(LINE, USUAL), places, USUAL).belief
    told = [each.case for each in findings(prior(LINE, USUAL), places, USUAL, after, About())]
    assert Case.DISTANCES_DISAGREE in told
