"""What an experienced tracer would do: mended where a search by hand showed something silly.

Source: common practice, no source; minutes by hand from the built-in numbers.
"""

from dataclasses import replace

import pytest

from faults.locating.engines.actions import (
    CheckController,
    CheckValve,
    ClampAt,
    ListenAt,
    OpenBox,
    ReadOhms,
    VoltsAt,
    WalkTone,
)
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Conductor
from faults.locating.engines.box_tests import BoxTest, Listened
from faults.locating.engines.evidence import Reading
from faults.locating.engines.line import Box, Joint, Leg, Line
from faults.locating.engines.mends import Mended
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.other_tests import AT_CONTROLLER, AT_VALVE, Checked
from faults.locating.engines.plan import ALIKE
from faults.locating.engines.searching import Searcher
from faults.locating.engines.seen import Ohms, OhmsRead
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


def test_ohms_are_read_at_the_controller_before_a_splice_is_cut() -> None:
    search = searcher(line(), ohms=True)
    best, *others = search.plan(Stand())
    # Opening a box would be a little shorter by the numbers, but a splice made anew stays.
    assert best.action in (ReadOhms(), CheckController())
    cuts = [each.minutes for each in others if isinstance(each.action, OpenBox)]
    assert best.minutes <= min(cuts) * ALIKE
    assert option(search.plan(Stand()), ReadOhms()).own_min == USUAL.read_ohms_min
    # From box 2 there are 400 ft to walk back.
    away = option(search.plan(Stand(2)), ReadOhms())
    assert away.own_min == pytest.approx(USUAL.read_ohms_min + 400 / 250)


def test_ohms_are_read_once_and_again_after_a_mend() -> None:
    search = searcher(line(), ohms=True)
    read = OhmsRead(Ohms.OPEN)
    told: tuple[tuple[Reading, ...], ...] = (
        (),
        (Mended(leg=1),),
        (read, Mended(leg=1)),
    )
    for readings in told:
        assert ReadOhms() in {e.action for e in replace(search, readings=readings).plan(Stand())}
    for readings in ((read,), (Mended(leg=1), read), (read, BoxTest(2, False, True))):
        asked = {each.action for each in replace(search, readings=readings).plan(Stand())}
        assert ReadOhms() not in asked
    without = searcher(line()).plan(Stand())
    assert ReadOhms() not in {each.action for each in without}


def test_a_look_does_not_come_before_a_cut_that_ends_the_search_much_sooner() -> None:
    halved = (BoxTest(1, False, True), BoxTest(1, False, True), BoxTest(3, True, False))
    search = replace(searcher(line(), ohms=True), readings=halved)
    best, *others = search.plan(Stand(3, 3))
    looks = [e for e in others if isinstance(e.action, CheckController | CheckValve | ReadOhms)]
    assert looks
    assert all(each.minutes > best.minutes * ALIKE for each in looks)


def test_with_good_ohms_and_volts_one_goes_to_the_valve_before_a_splice_is_cut() -> None:
    good = tuple(Checked(check, is_right=True) for check in AT_CONTROLLER)
    search = replace(
        searcher(line(), Symptom.NOT_KNOWN, ohms=True),
        readings=(OhmsRead(Ohms.AS_EXPECTED), *good),
    )
    assert search.plan(Stand())[0].action == CheckValve()
