"""Actions beside box and tone: clamp, megohms, probes, jumper, spare; and why one ranks so."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faults.locating.engines.actions import (
    BypassLeg,
    CheckController,
    CheckValve,
    ClampAt,
    CutBox,
    ListenAt,
    MeasureInsulation,
    MoveToSpare,
    OpenBox,
    ReadDistance,
    WalkGradient,
    WalkTone,
)
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import NUMBER_OF, Belief, Neighbour, prior
from faults.locating.engines.box_tests import BoxTest, gone_on
from faults.locating.engines.evidence import Reading
from faults.locating.engines.line import Box, Joint, Leg, Line
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.other_tests import SpareTried
from faults.locating.engines.plan import ALIKE, next_actions
from faults.locating.engines.symptoms import Symptom, for_symptom, tools_for
from faults.locating.engines.tones import ToneWalked
from faults.locating.engines.why import place_of, why
from tests.engines.locating.one_fault import after_all, update
from tests.engines.locating.readings import readings

USUAL = Assumptions()
EVERYTHING = Tools(
    distance_at_controller=True,
    distance_at_valve=True,
    spare_min=60.0,
    clamp=True,
    insulation=True,
    gradient=True,
    jumper=True,
)


def line_of(*feet: float, joint: Joint = Joint.SPLICED) -> Line:
    legs = tuple(Leg(f"leg {i}", ft, years=0) for i, ft in enumerate(feet))
    return Line(legs, tuple(Box(f"box {i}", joint) for i in range(1, len(feet))))


LINE = line_of(300, 300, 300, 300)


def offered(
    symptom: Symptom, line: Line = LINE, tools: Tools = EVERYTHING, stand: Stand | None = None
) -> list[Option]:
    assumed = for_symptom(USUAL, symptom, soil_is_dry=False)
    belief = prior(line, assumed)
    return next_actions(belief, stand or Stand(), tools_for(tools, symptom), assumed)


def kinds(options: list[Option]) -> set[type]:
    return {type(option.action) for option in options}


def test_each_symptom_brings_its_own_tests() -> None:
    only = {MeasureInsulation, WalkGradient, ClampAt, BypassLeg}
    assert kinds(offered(Symptom.OPEN)) & only == {BypassLeg}
    assert kinds(offered(Symptom.SHORT)) & only == {ClampAt}
    assert kinds(offered(Symptom.LEAK)) & only == {MeasureInsulation, WalkGradient}


def test_without_the_tool_none_of_them_is_offered() -> None:
    for symptom in Symptom:
        seen = kinds(offered(symptom, tools=Tools()))
        assert not seen & {MeasureInsulation, WalkGradient, ClampAt, BypassLeg, MoveToSpare}


def test_a_clamp_needs_no_cut_where_a_short_passes_uncut() -> None:
    line = line_of(400, 400, 400, joint=Joint.UNCUT)
    options = offered(Symptom.SHORT, line, Tools(clamp=True))
    clamp = min(o.minutes for o in options if isinstance(o.action, ClampAt))
    cut = min(o.minutes for o in options if isinstance(o.action, CutBox))
    listen = min(o.minutes for o in options if isinstance(o.action, ListenAt))
    assert clamp < min(cut, listen)


def test_probes_are_walked_over_the_likely_legs_of_a_leak() -> None:
    assumed = for_symptom(USUAL, Symptom.LEAK, soil_is_dry=False)
    belief = after_all(prior(LINE, assumed), [BoxTest(2, False, True)] * 2, assumed)
    options = next_actions(belief, Stand(2, 2), Tools(gradient=True), assumed)
    best = next(o for o in options if isinstance(o.action, WalkGradient))
    assert {best.action.start, best.action.end} <= {2, 3, 4}  # type: ignore[union-attr]
    # By hand: 10 minutes to set up and 5 for each 100 ft of both legs, or of one.
    assert best.own_min in (pytest.approx(25), pytest.approx(40))
    assert 0 < best.finds <= assumed.gradient_detects


def test_probes_that_always_find_and_take_no_time_end_a_leak_at_once() -> None:
    free = replace(
        USUAL,
        **dict.fromkeys(NUMBER_OF.values(), 0.0),
        gradient_detects=1.0,
        gradient_setup_min=1.0,
        gradient_min_per_100_ft=0.0,
    )
    best = next_actions(prior(LINE, free), Stand(), Tools(gradient=True), free)[0]
    assert isinstance(best.action, WalkGradient)
    assert best.minutes == pytest.approx(1.0)
    assert best.finds == pytest.approx(1.0)


def test_a_jumper_costs_the_way_both_boxes_and_the_wire_laid_along() -> None:
    options = [o for o in offered(Symptom.OPEN) if o.action == BypassLeg(1)]
    # By hand: 300 ft there and 300 along at 250 ft a minute, two boxes of 11, 8 for the jumper.
    assert options[0].own_min == pytest.approx(1.2 + 1.2 + 22 + 8)
    uncut = line_of(300, 300, 300, joint=Joint.UNCUT)
    kept_whole = Tools(jumper=True, may_cut=False)
    assert BypassLeg not in kinds(offered(Symptom.OPEN, uncut, kept_whole))


def test_a_jumper_round_a_leg_that_is_all_but_sure_tells_nothing() -> None:
    hot = replace(USUAL, common_share=0.0)
    belief = prior(LINE, hot)
    for reading in [BoxTest(1, False, True)] * 3 + [BoxTest(2, True, False)] * 3:
        belief = update(belief, reading, hot)
    assert belief.by_leg[1] > 0.92
    assert BypassLeg not in kinds(next_actions(belief, Stand(1, 1), Tools(jumper=True), hot))


def test_a_spare_counts_what_is_left_where_it_does_not_run() -> None:
    spare = next(o for o in offered(Symptom.OPEN) if isinstance(o.action, MoveToSpare))
    belief = prior(LINE, USUAL)
    dead = update(belief, SpareTried(works=False), USUAL)
    rest = next_actions(dead, Stand(), Tools(), USUAL)[0].minutes
    # Long searches weigh more, so that the price lies a little over the plain mean.
    mean = spare.own_min + (1 - spare.finds) * rest
    assert 0.98 * mean < spare.minutes < 1.10 * mean
    assert 0.4 < spare.finds < 0.7
    sure = update(dead, SpareTried(works=False), USUAL)
    assert MoveToSpare not in kinds(next_actions(sure, Stand(), Tools(spare_min=5.0), USUAL))


def test_megohms_at_a_box_that_is_open_take_the_test_only() -> None:
    options = offered(Symptom.LEAK, stand=Stand(2, 2))
    here = next(o for o in options if o.action == MeasureInsulation(2))
    assert here.own_min == USUAL.repeat_min


def test_a_box_whose_sides_read_good_is_not_opened_over_and_over() -> None:
    water = [Neighbour(works=True)] * 3
    said: list[Reading] = [BoxTest(2, False, False)] * 2
    belief = after_all(prior(LINE, USUAL, water), said, USUAL)
    assert belief.splice[2] > 0.08
    here = next_actions(belief, Stand(2, 2), Tools(), USUAL)
    assert OpenBox(2) not in {option.action for option in here}
    left = gone_on([*said, ToneWalked(2, 3)])
    closed = after_all(prior(LINE, USUAL, water), left, USUAL)
    assert closed.splice[2] < 0.02
    actions = {option.action for option in next_actions(closed, Stand(3), Tools(), USUAL)}
    assert OpenBox(2) not in actions
    assert CheckValve() in actions


def facts(action: object, stand: Stand, belief: Belief | None = None) -> object:
    believed = belief or prior(LINE, USUAL)
    options = next_actions(believed, stand, EVERYTHING, USUAL)
    option = next(o for o in options if o.action == action)
    return why(option, believed, stand, options)


def test_why_a_test_ranks_says_that_it_halves_and_lies_on_the_way() -> None:
    middle = facts(OpenBox(2), Stand(0))
    assert middle.halves  # type: ignore[attr-defined]
    assert not middle.is_nearest  # type: ignore[attr-defined]
    first = facts(OpenBox(1), Stand(0))
    assert (first.is_on_the_way, first.is_nearest, first.halves) == (True, True, False)  # type: ignore[attr-defined]
    beyond = facts(OpenBox(3), Stand(0))
    assert not beyond.is_on_the_way  # type: ignore[attr-defined]
    assert first.before + first.beyond + first.finds == pytest.approx(1)  # type: ignore[attr-defined]


def test_why_knows_an_open_box_from_a_place_to_walk_to() -> None:
    here = facts(OpenBox(2), Stand(2, 2))
    assert (here.is_open, here.is_here, here.is_on_the_way) == (True, True, False)  # type: ignore[attr-defined]
    shut = facts(OpenBox(2), Stand(2))
    assert (shut.is_open, shut.is_here) == (False, True)  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("action", "point"),
    [
        (OpenBox(2), 2),
        (WalkTone(3, 1), 3),
        (WalkGradient(1, 2), 1),
        (BypassLeg(2), 2),
        (CheckController(), 0),
        (CheckValve(), 4),
        (ReadDistance(), 0),
        (ReadDistance(from_valve=True), 4),
        (MoveToSpare(), None),
    ],
)
def test_every_action_has_its_place(action: object, point: int | None) -> None:
    option = Option(action, 1.0, 1.0)  # type: ignore[arg-type]
    assert place_of(option, prior(LINE, USUAL)) == point


ODD = Line(
    (Leg("a", 120), Leg("b", 0), Leg("c", 340, years=30, faults=4), Leg("d", 75)),
    (Box("x"), Box("y", Joint.UNCUT), Box("z", Joint.NOT_KNOWN)),
)


@settings(max_examples=50, deadline=None)
@given(st.lists(readings(ODD), max_size=6), st.sampled_from(list(Symptom)), st.booleans())
def test_with_every_tool_and_symptom_the_plan_stays_finite_and_sorted(
    said: list[Reading], symptom: Symptom, soil_is_dry: bool
) -> None:
    assumed = for_symptom(USUAL, symptom, soil_is_dry=soil_is_dry)
    belief = after_all(prior(ODD, assumed), said, assumed)
    options = next_actions(belief, Stand(2), tools_for(EVERYTHING, symptom), assumed)
    assert options
    for option in options:
        figures = (option.minutes, option.own_min, option.before, option.beyond, option.finds)
        assert np.isfinite(figures).all()
        assert min(figures[1:]) >= 0
        assert max(figures[2:]) <= 1 + 1e-9
        assert why(option, belief, Stand(2), options).finds == option.finds
    # Minutes that are equal but for rounding stand as they were found; a look may lead a cut.
    minutes = np.array([option.minutes for option in options])
    assert minutes[0] <= minutes.min() * ALIKE
    assert (np.diff(minutes[1:]) > -1.01e-6).all()
