"""The ground opened within a leg: where, when it is offered, and what it is priced as.

Source: common practice, no source: where no tone shows a place, a hole at a half parts what is
left. Minutes by hand from the built-in numbers.
"""

from dataclasses import replace

import numpy as np
import pytest

from faults.locating.engines.actions import CutBox, OpenGround, RenewLeg, WalkTone
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Conductor, Neighbour
from faults.locating.engines.box_tests import BoxTest, Listened
from faults.locating.engines.line import Box, Joint, Leg, Line
from faults.locating.engines.openings import half_of, moved, on_parted, parted_at, stand_on
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.other_tests import Distance
from faults.locating.engines.plan import next_actions
from faults.locating.engines.searching import Searcher
from faults.locating.engines.simulation.field import Errors
from faults.locating.engines.simulation.mixed_cases import Case, Fault
from faults.locating.engines.simulation.mixed_field import MixedField
from faults.locating.engines.simulation.set_boxes import open_ground, with_box
from faults.locating.engines.symptoms import Symptom
from faults.locating.engines.tones import ToneWalked
from faults.locating.engines.why import place_of

USUAL = Assumptions()
AT_HAND = Tools(renew=True, open_ground=True)
# By hand: both sides of a cut read alike 0.95 x 0.05 x 2 = 0.095 of the times, and are read again.
HOLE_MIN = 30 + 6 + 10 + 3 * 0.095 / 0.905


def searcher(*lengths_ft: float, tools: Tools = AT_HAND) -> Searcher:
    legs = tuple(Leg(f"leg {i}", feet, years=0) for i, feet in enumerate(lengths_ft))
    boxes = tuple(Box(f"box {i}") for i in range(1, len(legs)))
    return Searcher(Line(legs, boxes), Symptom.SHORT, (), USUAL, tools)


def holes(search: Searcher, at: int = 0) -> list[Option]:
    return [each for each in search.plan(Stand(at)) if isinstance(each.action, OpenGround)]


def legs_of(options: list[Option]) -> set[int]:
    return {each.action.leg for each in options if isinstance(each.action, OpenGround)}


def test_half_lies_where_the_readings_say_not_in_the_middle() -> None:
    search = searcher(400, 100)
    assert half_of(search.belief, 0) == pytest.approx(200)
    near = replace(search, readings=(Distance(100.0, sd_ft=10.0, sd_share=0.0),))
    assert half_of(near.belief, 0) == pytest.approx(100, abs=5)
    assert half_of(near.belief, 1) > half_of(search.belief, 1) - 1


@pytest.mark.parametrize(("spared_ft", "is_offered"), [(102.0, False), (104.0, True)])
def test_a_hole_is_offered_where_the_wire_it_spares_takes_longer(
    spared_ft: float, *, is_offered: bool
) -> None:
    # By hand: 46.3 minutes of a hole are 102.9 ft of new wire at 45 minutes for each 100.
    assert pytest.approx(102.9, abs=0.1) == 100 * HOLE_MIN / 45
    found = holes(searcher(2 * spared_ft, 50))
    assert [each.action for each in found] == [OpenGround(0, spared_ft)] * is_offered
    for each in found:
        assert each.own_min == pytest.approx(HOLE_MIN + spared_ft / 250)


def test_a_hole_needs_the_tool_leave_to_cut_and_a_leg_likely_enough() -> None:
    assert holes(searcher(400, 100))
    assert not holes(searcher(400, 100, tools=replace(AT_HAND, open_ground=False)))
    assert not holes(searcher(400, 100, tools=replace(AT_HAND, may_cut=False)))
    # Of three alike no leg has 35 of 100; of two each has.
    assert not holes(searcher(400, 400, 400))
    assert legs_of(holes(searcher(400, 400))) == {0, 1}


def test_a_hole_is_priced_as_cutting_the_box_that_it_becomes() -> None:
    search = searcher(300, 400, 100)
    known = replace(
        search, readings=(BoxTest(1, False, True, runs=False), BoxTest(2, True, False, runs=False))
    )
    (hole,) = holes(known, 2)
    # It lies within a leg, so nobody stands there.
    assert place_of(hole, known.belief) is None
    assert isinstance(hole.action, OpenGround)
    parted = parted_at(known.belief, 1, hole.action.feet, open_min=USUAL.open_ground_min)
    boxes = list(parted.line.boxes)
    boxes[1] = replace(boxes[1], joint=Joint.UNCUT)
    parted = replace(parted, line=replace(parted.line, boxes=tuple(boxes)))
    as_boxes = next_actions(parted, stand_on(Stand(2), 1), known.useful, known.adapted)
    (cut,) = [each for each in as_boxes if each.action == CutBox(2)]
    assert (hole.minutes, hole.own_min) == pytest.approx((cut.minutes, cut.own_min))
    assert (hole.before, hole.beyond) == pytest.approx((cut.before, cut.beyond))


def test_a_hole_comes_before_new_wire_where_walks_do_not_show_it_on_a_long_leg() -> None:
    boxed = (BoxTest(1, False, True, runs=False), BoxTest(2, True, False, runs=False))
    in_vain = (ToneWalked(2, 1), ToneWalked(1, 2))
    search = searcher(100, 700, 100)
    told = replace(search, readings=(*boxed, *boxed, *in_vain, *in_vain))
    best = told.plan(Stand(2))[0]
    assert isinstance(best.action, OpenGround)
    assert best.action.leg == 1
    # On a leg of 120 ft one lays it anew at once.
    short = replace(told, line=searcher(100, 120, 100).line)
    assert short.plan(Stand(2))[0].action == RenewLeg(1)
    # Before anything was walked in vain one walks.
    fresh = replace(search, readings=(*boxed, *boxed))
    assert isinstance(fresh.plan(Stand(2))[0].action, WalkTone)


def test_what_is_believed_of_no_foot_moves() -> None:
    search = searcher(150.5, 260.25, 90)
    told = replace(
        search,
        readings=(ToneWalked(1, 2), ToneWalked(2, 3), ToneWalked(0, 1), Listened(2, heard=True)),
    )
    belief = told.belief
    feet = half_of(belief, 1)
    parted = parted_at(belief, 1, feet, open_min=11.0)
    assert parted.line.length_ft == pytest.approx(belief.line.length_ft)
    assert parted.legs == pytest.approx(belief.legs)
    assert parted.line.cell_ft == pytest.approx(belief.line.cell_ft)
    assert list(parted.splice) == [*belief.splice[:2], 0.0, *belief.splice[2:]]
    assert parted.total == pytest.approx(1.0)
    both = parted.by_leg[1:3].tolist()
    assert both == pytest.approx([belief.by_leg[1] / 2] * 2, rel=0.02)
    assert [(walk.low, walk.high) for walk in parted.walked] == [(1, 3), (3, 4), (0, 1)]
    assert [each.point for each in parted.listened] == [3]


def test_points_and_legs_beyond_the_new_box_count_one_more() -> None:
    assert [moved(point, 1) for point in range(5)] == [0, 1, 3, 4, 5]
    stand = Stand(2, 2, tone_from=1, tone_on=Conductor.COMMON)
    assert stand_on(stand, 1) == Stand(3, 3, tone_from=1, tone_on=Conductor.COMMON)
    assert stand_on(Stand(), 0) == Stand()
    beside = Neighbour(True, frozenset({0, 1}), frozenset({2}))
    assert on_parted(beside, 1) == Neighbour(True, frozenset({0, 1, 2}), frozenset({3}))
    assert on_parted(beside, 2) == Neighbour(True, frozenset({0, 1}), frozenset({2, 3}))


@pytest.mark.parametrize("length_ft", [100 - 1e-12, 100 + 1e-12, 333.3, 0.3 * 1000, 207.0000001])
def test_rounding_of_a_length_loses_nothing(length_ft: float) -> None:
    belief = searcher(length_ft, 50).belief
    for share in (0.25, 0.5, 0.9):
        parted = parted_at(belief, 0, length_ft * share, open_min=11.0)
        assert parted.total == pytest.approx(1.0)
        assert np.all(parted.legs >= 0)


def test_the_field_counts_one_more_beyond_a_box_that_was_set() -> None:
    line = searcher(100, 400, 100).line
    faults = (Fault(Conductor.HOT, 150.0), Fault(splice=2, feet=500.0))
    case = Case(line, line, faults, Symptom.SHORT, ())
    sure = replace(Errors(), swapped=0.0, sp=1.0)
    field = MixedField(case, sure, np.random.default_rng(1))
    field.truth = replace(field.truth, box_sensitivity=1.0)
    field.test_box(2)
    assert [fault.feet for fault in field.left] == [150.0]
    field.left, field.never = list(faults), set()
    before_min = field.minutes
    assert open_ground(field, 1, 200.0) == (True, True)
    # By hand: 200 ft of way at 250 a minute, the hole, its cut and its splice.
    assert field.minutes - before_min == pytest.approx(200 / 250 + 30 + 6 + 10)
    assert (field.at, field.open_box, field.valve, field.opened) == (2, 2, 4, [3])
    assert [fault.splice for fault in field.left] == [None, 3]
    assert field.line.point_ft.tolist() == [0, 100, 300, 500, 600]
    # The box beyond is still the one in which that splice lies.
    assert field.test_box(3) == (True, False)
    assert [fault.feet for fault in field.left] == [150.0]


def test_what_was_read_before_a_box_was_set_is_still_read_where_it_was() -> None:
    told = replace(
        searcher(100, 400, 100),
        readings=(BoxTest(1, False, True, runs=False), BoxTest(2, True, False), ToneWalked(2, 1)),
        neighbours=(Neighbour(True, frozenset({1}), frozenset({1})),),
    )
    after = with_box(told, OpenGround(1, 200.0))
    assert after.readings == (
        BoxTest(1, False, True, runs=False),
        BoxTest(3, True, False),
        ToneWalked(3, 1),
    )
    assert after.neighbours == (Neighbour(True, frozenset({1, 2}), frozenset({1, 2})),)
    # A box more on the line may be to blame as any is, and is all that changes.
    there = after.belief.by_leg[1:3].sum() + after.belief.splice[2]
    assert there == pytest.approx(told.belief.by_leg[1], abs=0.01)
