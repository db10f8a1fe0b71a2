"""What an experienced tracer would do: mended where a search by hand showed something silly.

Source: common practice, no source; minutes by hand from the built-in numbers.
"""

from dataclasses import replace

import pytest

from faults.locating.engines.actions import ClampAt, ListenAt, OpenBox, VoltsAt, WalkTone
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Conductor
from faults.locating.engines.box_tests import BoxTest, Listened
from faults.locating.engines.line import Box, Joint, Leg, Line
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.other_tests import AT_CONTROLLER, AT_VALVE, Checked
from faults.locating.engines.searching import Searcher
from faults.locating.engines.symptoms import Symptom
from faults.locating.engines.volts import VoltsRead

USUAL = Assumptions()


def line(joint: Joint = Joint.SPLICED, legs: int = 5) -> Line:
    feet = tuple(Leg(f"leg {i}", 200, years=0) for i in range(legs))
    return Line(feet, tuple(Box(f"box {i}", joint) for i in range(1, legs)))


def searcher(of: Line, symptom: Symptom = Symptom.OPEN, **tools: bool) -> Searcher:
    return Searcher(of, symptom, (), USUAL, Tools(**tools))


def option(options: list[Option], action: object) -> Option:
    return next(each for each in options if each.action == action)


def test_a_tone_is_fed_at_the_open_splice_before_ones_feet() -> None:
    search = replace(
        searcher(line()), readings=(BoxTest(3, False, True), BoxTest(4, True, False, runs=False))
    )
    walks = [
        each
        for each in search.plan(Stand(4, 4))
        if isinstance(each.action, WalkTone) and (each.action.start, each.action.end) == (4, 3)
    ]
    assert [each.action for each in walks] == [WalkTone(4, 3, Conductor.HOT, fed_at=4)]
    # 8 minutes to set up, and 200 ft at 4 minutes for each 100.
    assert walks[0].own_min == pytest.approx(8 + 8)


def test_volts_at_a_splice_come_before_cutting_it() -> None:
    search = searcher(line(), Symptom.LOW_VOLTAGE, volts=True)
    offered = search.plan(Stand())
    assert isinstance(offered[0].action, VoltsAt)
    box = offered[0].action.box
    assert option(offered, VoltsAt(box)).minutes < option(offered, OpenBox(box)).minutes
    # Sound up to box 2, low from box 4 on: box 3 between them is read, not cut.
    between = replace(search, readings=(VoltsRead(2, False, False), VoltsRead(4, True, True)))
    assert between.plan(Stand(4, 4))[0].action == VoltsAt(3)


def test_a_splice_that_volts_named_is_cut_out_of_the_box_that_stands_open() -> None:
    search = searcher(line(), Symptom.LOW_VOLTAGE, volts=True)
    read = (VoltsRead(2, False, False), VoltsRead(4, True, True), VoltsRead(3, False, True))
    best = replace(search, readings=read).plan(Stand(3, 3))[0]
    assert best.action == OpenBox(3)
    assert best.own_min == USUAL.repeat_min
    assert best.finds > 0.4


def test_a_splice_that_was_cut_out_of_an_open_box_is_not_to_blame_any_more() -> None:
    search = searcher(line(), Symptom.LOW_VOLTAGE, volts=True)
    read = (VoltsRead(2, False, False), VoltsRead(4, True, True), VoltsRead(3, False, True))
    cut = replace(search, readings=(*read, BoxTest(3, False, False), BoxTest(3, False, False)))
    assert OpenBox(3) not in {each.action for each in cut.plan(Stand(3, 3))}


def test_listening_pays_for_a_tone_that_nobody_feeds_yet() -> None:
    search = searcher(line(Joint.UNCUT))
    unfed = option(search.plan(Stand(2)), ListenAt(3))
    fed = option(search.plan(Stand(2, tone_from=0)), ListenAt(3))
    on_common = option(search.plan(Stand(2, tone_from=0, tone_on=Conductor.COMMON)), ListenAt(3))
    # 200 ft to box 3 and 11 minutes to open it; else 400 ft back, 8 minutes, 600 ft there.
    assert fed.own_min == pytest.approx(0.8 + 11)
    assert unfed.own_min == on_common.own_min == pytest.approx(1.6 + 8 + 2.4 + 11)


def test_listening_once_more_where_one_listened_is_worth_less() -> None:
    search = searcher(line(Joint.UNCUT))
    stand = Stand(2, 2, tone_from=0)
    heard = replace(search, readings=(Listened(2, heard=False),))
    once, again = (option(each.plan(stand), ListenAt(2)) for each in (search, heard))
    assert once.own_min == again.own_min == USUAL.repeat_min
    assert once.minutes - search.plan(Stand(2))[0].minutes < again.minutes - min(
        each.minutes for each in heard.plan(stand) if each.action != ListenAt(2)
    )


def test_a_clamp_halves_a_short_before_its_legs_are_walked() -> None:
    search = searcher(line(Joint.UNCUT, legs=9), Symptom.SHORT, clamp=True)
    sound = tuple(Checked(check, is_right=True) for check in (*AT_CONTROLLER, *AT_VALVE))
    assert isinstance(replace(search, readings=sound).plan(Stand())[0].action, ClampAt)
