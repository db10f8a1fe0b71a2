"""What once more tells, what comes first after two in vain, and where a tone is fed."""

from dataclasses import replace

import numpy as np
import pytest

from faults.locating.engines import actions
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Conductor, Outside, prior
from faults.locating.engines.box_tests import BoxTest, Clamped, Listened
from faults.locating.engines.evidence import Reading
from faults.locating.engines.feeding import cheapest_feed
from faults.locating.engines.line import Box, Joint, Leg, Line
from faults.locating.engines.mends import Mended
from faults.locating.engines.misses import missed_after
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.other_tests import (
    AT_CONTROLLER,
    AT_VALVE,
    Bypassed,
    Check,
    Checked,
    GradientWalked,
)
from faults.locating.engines.pairs import after_readings
from faults.locating.engines.repeats import is_worn_out, most_running
from faults.locating.engines.searching import Searcher
from faults.locating.engines.seen import Looked, Ohms, OhmsRead, Wear
from faults.locating.engines.symptoms import Symptom
from faults.locating.engines.tones import ToneWalked
from faults.locating.engines.why import why
from faults.locating.engines.worked import as_cut, as_seen

USUAL = Assumptions()
LINE = Line(tuple(Leg(f"leg {i}", 100) for i in range(3)), (Box("a"), Box("b", Joint.UNCUT)))


def test_the_next_walk_misses_more_of_what_walks_have_missed() -> None:
    # By hand, 0.6 found at first, half of the rest hidden: 0.2 hidden, 0.75 of the others found.
    # Missed by one: 0.4; by two: 0.2 + 0.8 x 0.0625 = 0.25; by three: 0.2 + 0.8 / 64 = 0.2125.
    times = np.array([0, 1, 2])
    assert missed_after(times, 0.6, 0.5) == pytest.approx([0.4, 0.25 / 0.4, 0.2125 / 0.25])
    # Nothing hidden: each walk tells as much. Everything: the second tells nothing.
    assert missed_after(times, 0.6, 0.0) == pytest.approx([0.4, 0.4, 0.4])
    assert missed_after(times, 0.6, 1.0) == pytest.approx([0.4, 1.0, 1.0])
    assert missed_after(times, 1.0, 0.5) == pytest.approx([0.0, 0.0, 0.0])


@pytest.mark.parametrize(
    ("action", "reading"),
    [
        (actions.OpenBox(1), BoxTest(1, True, True)),
        (actions.ListenAt(2), Listened(2, heard=True)),
        (actions.WalkTone(0, 1), ToneWalked(0, 1)),
    ],
)
def test_what_was_asked_twice_running_is_worn_out(action: actions.Action, reading: Reading) -> None:
    other = ToneWalked(2, 1)
    assert not is_worn_out(action, [reading])
    assert is_worn_out(action, [reading] * 2)
    assert is_worn_out(action, [other, reading, reading])
    assert not is_worn_out(action, [reading, reading, other])
    assert not is_worn_out(action, [reading, other, reading])


def test_a_walk_back_is_the_same_walk() -> None:
    there, back = ToneWalked(0, 1), ToneWalked(1, 0)
    assert is_worn_out(actions.WalkTone(0, 1), [there, back])
    assert not is_worn_out(actions.WalkTone(0, 1, Conductor.COMMON), [there, back])
    probes = [GradientWalked(0, 1), GradientWalked(1, 0)]
    assert is_worn_out(actions.WalkGradient(0, 1), probes)
    assert not is_worn_out(actions.WalkGradient(0, 2), probes)


def test_what_was_asked_running_is_counted_whichever_way_it_was_walked() -> None:
    walk, back = actions.WalkTone(0, 1), actions.WalkTone(1, 0, fed_at=3)
    other = actions.OpenBox(1)
    assert most_running([]) == 0
    assert most_running([walk, back, other, walk, back, walk]) == 3
    assert most_running([other, other, walk]) == 2


def test_listening_and_a_clamp_may_not_take_turns_in_one_box() -> None:
    heard, flows = Listened(2, heard=True), Clamped(2, flows=True)
    assert is_worn_out(actions.ListenAt(2), [heard, flows, heard, flows])
    assert is_worn_out(actions.ClampAt(2), [heard, flows, heard, flows])
    assert not is_worn_out(actions.ClampAt(2), [heard, flows, heard])
    assert not is_worn_out(actions.ListenAt(2), [heard, Clamped(1, flows=True), heard])
    assert not is_worn_out(actions.ListenAt(2), [heard, BoxTest(2, True, False), heard])


def test_what_ended_in_a_mend_was_asked_as_well() -> None:
    assert is_worn_out(actions.OpenBox(1), [Mended(box=1), BoxTest(1, True, True)])
    assert not is_worn_out(actions.OpenBox(1), [Mended(box=2), BoxTest(1, True, True)])
    assert is_worn_out(actions.WalkTone(2, 0), [Mended(leg=1), ToneWalked(2, 0)])
    assert not is_worn_out(actions.WalkTone(2, 0), [Mended(leg=2), ToneWalked(2, 0)])
    halves = [Checked(Check.COIL, False), Mended(check=Check.COIL), Checked(Check.WATER, True)]
    assert is_worn_out(actions.CheckValve(), halves * 2)
    assert not is_worn_out(actions.CheckValve(), halves)


@pytest.mark.parametrize(
    ("action", "parts"),
    [(actions.CheckValve(), AT_VALVE), (actions.CheckController(), AT_CONTROLLER)],
)
def test_a_look_that_told_of_every_part_is_not_asked_again_at_once(
    action: actions.Action, parts: tuple[Check, ...]
) -> None:
    # Common practice, no source: who has just looked at all of it looks elsewhere first.
    told: list[Reading] = [Checked(part, True) for part in parts]
    assert is_worn_out(action, told)
    assert is_worn_out(action, [ToneWalked(0, 1), *reversed(told)])
    # One part is still open, or the look was before another test.
    for part in range(len(told)):
        assert not is_worn_out(action, told[:part] + told[part + 1 :])
    assert not is_worn_out(action, [*told, ToneWalked(0, 1)])


def test_a_part_that_a_station_does_not_have_is_not_waited_for() -> None:
    # Common practice, no source: without a master valve there is none to look at.
    told: list[Reading] = [Checked(part, True) for part in AT_CONTROLLER if part != Check.MASTER]
    look = actions.CheckController()
    assert not is_worn_out(look, told)
    assert is_worn_out(look, told, frozenset({Check.MASTER}))
    assert not is_worn_out(look, told[1:], frozenset({Check.MASTER}))
    # Held by the searcher, where the numbers leave such a part no chance at all.
    rough = replace(USUAL, check_sensitivity=0.6, p_output=0.4)
    usual = Searcher(LINE, Symptom.OPEN, (), rough, Tools(), readings=tuple(told))
    without = replace(usual, assumed=replace(rough, p_master=0.0))
    asked = [{each.action for each in search.plan(Stand())} for search in (usual, without)]
    assert [look in each for each in asked] == [True, False]


def test_a_leg_is_not_laid_anew_twice() -> None:
    new = Bypassed(1, works=False, stays=True)
    assert is_worn_out(actions.RenewLeg(1), [new, ToneWalked(0, 1)])
    assert not is_worn_out(actions.RenewLeg(1, Conductor.COMMON), [new])
    assert not is_worn_out(actions.RenewLeg(0), [new])
    # A jumper in vain may be so for another fault: a new wire can still be the way out.
    assert not is_worn_out(actions.RenewLeg(1), [Bypassed(1, works=False)])


def test_a_look_at_an_end_has_two_halves() -> None:
    halves = [Checked(Check.COIL, True), Checked(Check.WATER, True)]
    assert not is_worn_out(actions.CheckValve(), [*halves, halves[0]])
    assert is_worn_out(actions.CheckValve(), halves * 2)
    assert not is_worn_out(actions.CheckController(), halves * 2)


@pytest.mark.parametrize(
    ("fed", "here", "start", "end", "feed", "minutes"),
    [
        # Nothing fed: at the controller where one stands; from box 2 at the valve, one step on.
        (None, 0, 0, 1, 0, 8.0),
        (None, 2, 2, 1, 3, 10.0),
        # Fed already: only the way, also from the very end of the stretch, not from within it.
        (0, 0, 1, 2, 0, 1.0),
        (2, 0, 0, 2, 2, 0.0),
        (1, 0, 0, 2, 0, 8.0),
    ],
)
def test_a_tone_is_fed_where_it_takes_least(
    fed: int | None, here: int, start: int, end: int, feed: int, minutes: float
) -> None:
    found = cheapest_feed(
        here=here,
        start=start,
        end=end,
        valve=3,
        fed=fed,
        setup_min=8.0,
        walk_min=lambda a, b: float(abs(a - b)),
        reach_min=lambda _point: 11.0,
    )
    assert found == (feed, minutes)


def test_open_boxes_and_cuts_change_the_line_and_the_last_look_holds() -> None:
    looks = [Looked(1, Joint.UNCUT), Looked(1, Joint.SPLICED), Looked(2, wear=Wear.WET)]
    assert [box.joint for box in as_seen(LINE, looks).boxes] == [Joint.SPLICED, Joint.UNCUT]
    assert [box.joint for box in as_seen(LINE, looks[:1]).boxes] == [Joint.UNCUT, Joint.UNCUT]
    cut = as_cut(LINE, [BoxTest(2, True, False)])
    assert [box.joint for box in cut.boxes] == [Joint.SPLICED, Joint.SPLICED]


def test_a_worn_splice_is_likelier_and_ohms_speak_by_what_is_wrong() -> None:
    before = prior(LINE, USUAL)

    def after(reading: Reading) -> tuple[float, float, float]:
        belief = after_readings(before, [reading], USUAL).belief
        return float(belief.splice[1]), belief.of(Conductor.HOT), belief.outside[Outside.COIL]

    sound, wet = (after(Looked(1, wear=wear))[0] for wear in (Wear.SOUND, Wear.WET))
    assert wet > before.splice[1] > sound
    assert after(OhmsRead(Ohms.LOW))[2] > 0.6 > before.outside[Outside.COIL]
    assert after(OhmsRead(Ohms.HIGH))[1] > before.of(Conductor.HOT)
    assert after(OhmsRead(Ohms.AS_EXPECTED))[1] < before.of(Conductor.HOT) / 2


def test_a_walk_says_how_often_all_of_its_way_was_walked_for_nothing() -> None:
    line = Line(tuple(Leg(f"leg {i}", 200, years=0) for i in range(3)), (Box("a"), Box("b")))
    walked = (ToneWalked(0, 3), ToneWalked(2, 1), ToneWalked(1, 2, Conductor.COMMON))
    search = Searcher(line, Symptom.SHORT, (), Assumptions(), Tools(), readings=walked)
    belief = search.belief

    def times(action: actions.Action) -> int:
        return why(Option(action, 50.0, 10.0), belief, Stand(), []).walked_in_vain

    assert times(actions.WalkTone(1, 2)) == times(actions.WalkTone(2, 1)) == 2
    assert times(actions.WalkTone(1, 3)) == times(actions.WalkTone(0, 3)) == 1
    assert times(actions.WalkTone(1, 2, Conductor.COMMON)) == 1
    assert times(actions.WalkTone(0, 2, Conductor.COMMON)) == 0
    assert times(actions.WalkGradient(1, 2)) == times(actions.CheckValve()) == 0


def test_a_coil_that_ohms_blame_was_not_looked_at_and_its_ohms_are_read() -> None:
    blamed = Checked(Check.COIL, is_right=False, by_ohms=True)
    look = [Checked(check, is_right=True) for check in AT_VALVE if check is not Check.COIL]
    assert is_worn_out(actions.CheckValve(), [*look, replace(blamed, by_ohms=False)])
    assert not is_worn_out(actions.CheckValve(), [*look, blamed])
    search = Searcher(LINE, Symptom.OPEN, (), USUAL, Tools(ohms=True), readings=(blamed,))
    assert not search.useful.ohms
    assert replace(search, readings=(blamed, Mended(check=Check.COIL))).useful.ohms
    assert replace(search, readings=(replace(blamed, by_ohms=False),)).useful.ohms
    assert search.plan(Stand())[0].action == actions.CheckValve()
