"""Laws for every kind of reading: whole chances, finite beliefs, splits change nothing."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Contradiction, Outside, prior
from faults.locating.engines.box_tests import BoxTest, Clamped, InsulationTest, Listened
from faults.locating.engines.evidence import Reading
from faults.locating.engines.line import Box, Joint, Leg, Line
from faults.locating.engines.mends import Mended
from faults.locating.engines.other_tests import Bypassed, Check, Checked, Distance, SpareTried
from faults.locating.engines.symptoms import Symptom, for_symptom
from faults.locating.engines.tones import MarkedLevel, Third, ToneLevel
from tests.engines.locating.one_fault import after_all
from tests.engines.locating.readings import readings

USUAL = Assumptions()


def line_of(*feet: float) -> Line:
    legs = tuple(Leg(f"leg {i}", ft, years=0) for i, ft in enumerate(feet))
    return Line(legs, tuple(Box(f"box {i}") for i in range(1, len(feet))))


ODD = Line(
    (Leg("a", 120, hazard_factor=2), Leg("b", 0), Leg("c", 340, years=30, faults=4), Leg("d", 75)),
    (Box("x"), Box("y", Joint.UNCUT), Box("z", Joint.NOT_KNOWN)),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(readings(ODD), max_size=12), st.sampled_from(list(Symptom)), st.booleans())
def test_whatever_is_read_a_belief_is_finite_never_negative_and_sums_to_one(
    said: list[Reading], symptom: Symptom, soil_is_dry: bool
) -> None:
    assumed = for_symptom(USUAL, symptom, soil_is_dry=soil_is_dry)
    belief = after_all(prior(ODD, assumed), said, assumed)
    mass = np.concatenate([belief.legs.ravel(), belief.splice, list(belief.outside.values())])
    assert np.isfinite(mass).all()
    assert (mass >= 0).all()
    assert mass.sum() == pytest.approx(1)


BOTH = (True, False)
FAMILIES: list[list[Reading]] = [
    [kind(2, a, b, runs) for a in BOTH for b in BOTH for runs in BOTH]
    for kind in (BoxTest, InsulationTest)
]
FAMILIES += [[BoxTest(1, a, None) for a in BOTH], [InsulationTest(1, None, b) for b in BOTH]]
FAMILIES += [[Listened(3, each) for each in BOTH], [Clamped(2, each) for each in BOTH]]
FAMILIES += [[ToneLevel(third, from_valve) for third in Third] for from_valve in BOTH]
FAMILIES += [[Bypassed(2, each) for each in BOTH], [SpareTried(each) for each in BOTH]]
FAMILIES += [[Checked(check, each) for each in BOTH] for check in Check]


@pytest.mark.parametrize("results", FAMILIES)
def test_the_chances_of_all_results_of_a_test_sum_to_one_everywhere(
    results: list[Reading],
) -> None:
    chances = [each.likelihood(ODD, USUAL) for each in results]
    # At an end of the wire there is no splice, and nothing to be said of one.
    assert sum(each.legs for each in chances) == pytest.approx(np.ones_like(chances[0].legs))
    assert sum(each.splice for each in chances)[1:-1] == pytest.approx(np.ones(3))
    for cause in Outside:
        assert sum(each.outside[cause] for each in chances) == pytest.approx(1)


def test_the_densities_of_a_number_hold_one_whole_over_all_that_may_be_read() -> None:
    step = 0.25
    feet = np.arange(-400, 2 * ODD.length_ft, step)
    line, last = ODD, len(ODD.cell_ft) - 1
    for from_valve in (True, False):
        read = [Distance(ft, from_valve).likelihood(line, USUAL).legs for ft in feet.tolist()]
        whole = np.sum([each[[0, 300, last]] for each in read], axis=0) * step
        # The useless share lies on the wire; here it is counted over all that was read.
        useless = USUAL.distance_useless * (len(feet) * step / line.length_ft)
        assert whole == pytest.approx(1 - USUAL.distance_useless + useless, abs=0.002)
    shares = np.arange(-0.5, 1.5, 0.002)
    levels = [MarkedLevel(s, 0.0, 1.0).likelihood(line, USUAL).legs for s in shares.tolist()]
    whole = np.sum([each[:, [200, 300]] for each in levels], axis=0) * 0.002
    assert whole == pytest.approx(np.ones((3, 2)), abs=0.01)


PERFECT = Assumptions(
    **{
        f"{test}_{rate}": 1.0
        for test in ("box", "listen", "clamp", "insulation", "bypass", "check", "spare")
        for rate in ("sensitivity", "specificity")
    },
    box_swapped=0.0,
    tone_detects=1.0,
    gradient_detects=1.0,
)


@settings(max_examples=150, deadline=None)
@given(st.lists(readings(ODD), max_size=8))
def test_perfect_tests_either_leave_a_probability_or_raise_the_named_error(
    said: list[Reading],
) -> None:
    try:
        belief = after_all(prior(ODD, PERFECT), said, PERFECT)
    except Contradiction:
        return
    assert np.isfinite(belief.legs).all()
    assert belief.total == pytest.approx(1)


WHOLE = line_of(120, 300, 75)


def split(feet: int) -> Line:
    """The middle leg in two at a box that its wire passes uncut."""
    legs = (WHOLE.legs[0], *(Leg(n, ft, years=0) for n, ft in (("m", feet), ("n", 300 - feet))))
    return Line((*legs, WHOLE.legs[2]), (WHOLE.boxes[0], Box("new", Joint.UNCUT), WHOLE.boxes[1]))


def moved(reading: Reading) -> Reading:
    """The same reading on the line that was split: boxes and points beyond move up by one."""
    names = {"box": 2, "point": 2, "start": 2, "end": 2, "leg": 2}
    changed = {
        name: getattr(reading, name) + 1
        for name, first in names.items()
        if (getattr(reading, name, None) or -1) >= first
    }
    return replace(reading, **changed)  # type: ignore[type-var]


@settings(max_examples=150, deadline=None)
@given(st.integers(1, 299), st.lists(readings(WHOLE), max_size=6))
def test_splitting_a_leg_changes_no_probability_whatever_was_read(
    feet: int, said: list[Reading]
) -> None:
    # A jumper round the split leg would have to go round both parts: that is another reading.
    assume(not any(isinstance(each, Bypassed | Mended) and each.leg == 1 for each in said))
    before = after_all(prior(WHOLE, USUAL), said, USUAL)
    after = after_all(prior(split(feet), USUAL), [moved(each) for each in said], USUAL)
    legs, splices = after.by_leg, after.splice
    assert [legs[0], legs[1] + legs[2], legs[3]] == pytest.approx(before.by_leg.tolist())
    assert [splices[1], splices[3]] == pytest.approx([before.splice[1], before.splice[2]])
    assert splices[2] == 0
    for cause in Outside:
        assert after.outside[cause] == pytest.approx(before.outside[cause])
