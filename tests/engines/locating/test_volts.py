"""Volts at a splice while the station is switched on: what they tell of a high resistance."""

from dataclasses import replace

import numpy as np
import pytest

from faults.locating.engines.actions import CutBox, OpenBox, VoltsAt
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import SPOILS_CONTROLLER_SIDE, Outside, prior
from faults.locating.engines.line import Box, Joint, Leg, Line
from faults.locating.engines.options import Stand, Tools
from faults.locating.engines.pairs import after_readings, begun
from faults.locating.engines.repeats import is_worn_out
from faults.locating.engines.searching import Searcher
from faults.locating.engines.symptoms import Symptom, for_symptom, tools_for
from faults.locating.engines.volts import VoltsRead

USUAL = Assumptions()
LINE = Line(tuple(Leg(f"leg {i}", 100, years=0) for i in range(4)), tuple(Box(x) for x in "abc"))
LOW, RIGHT = True, False


@pytest.mark.parametrize(
    ("read", "before", "here", "beyond"),
    [
        # By hand: 0.93 where something is wrong before it, else 1 - 0.95.
        (VoltsRead(2, LOW, LOW), 0.93 * 0.93, 0.05 * 0.93, 0.05 * 0.05),
        (VoltsRead(2, RIGHT, LOW), 0.07 * 0.93, 0.95 * 0.93, 0.95 * 0.05),
        (VoltsRead(2, RIGHT, RIGHT), 0.07 * 0.07, 0.95 * 0.07, 0.95 * 0.95),
        (VoltsRead(2, RIGHT), 0.07, 0.95, 0.95),
        (VoltsRead(2, valve_bad=LOW), 0.93, 0.93, 0.05),
        (VoltsRead(2, unloaded_bad=LOW), 0.93, 0.05, 0.05),
        (VoltsRead(2), 1.0, 1.0, 1.0),
    ],
)
def test_each_side_is_low_beyond_the_place(
    read: VoltsRead, before: float, here: float, beyond: float
) -> None:
    seen = read.likelihood(LINE, USUAL)
    assert seen.legs[LINE.cell_leg < 2] == pytest.approx(before)
    assert seen.legs[LINE.cell_leg >= 2] == pytest.approx(beyond)
    assert seen.splice[1:4] == pytest.approx([before, here, beyond])
    for cause in Outside:
        is_behind = cause in SPOILS_CONTROLLER_SIDE
        assert seen.outside[cause] == pytest.approx(before if is_behind else beyond)


def test_a_high_resistance_shows_under_load_and_seldom_without() -> None:
    adapted = for_symptom(USUAL, Symptom.LOW_VOLTAGE, soil_is_dry=False)
    assert adapted.volts_sensitivity == USUAL.volts_sensitivity
    assert (adapted.box_sensitivity, adapted.unloaded_sensitivity) == (0.70, 0.10)
    right = VoltsRead(2, unloaded_bad=RIGHT).likelihood(LINE, adapted).legs
    assert right.max() / right.min() < 1.1
    # Never so far down that the test would tell nothing.
    nothing = replace(USUAL, resistive_sensitivity=0.0, resistive_unloaded=0.0)
    least = for_symptom(nothing, Symptom.LOW_VOLTAGE, soil_is_dry=False)
    assert least.box_sensitivity > 1 - least.box_specificity
    assert for_symptom(USUAL, Symptom.OPEN, soil_is_dry=False) == replace(
        USUAL, leg_reads_open=0.95, leg_reads_short=0.0, leg_reads_high=0.02
    )


def test_a_splice_that_parts_its_two_sides_is_found() -> None:
    said = [VoltsRead(2, RIGHT, LOW)]
    adapted = for_symptom(USUAL, Symptom.LOW_VOLTAGE, soil_is_dry=False)
    before = prior(LINE, adapted)
    after = after_readings(before, said * 2, adapted).belief
    assert after.splice[2] > 0.8 > before.splice[2]


def test_of_two_faults_either_makes_them_low() -> None:
    state = begun(prior(LINE, USUAL), USUAL)
    after = state.after(VoltsRead(2, LOW, LOW)).two / state.two
    # Segments of the hot wire are its legs: 0 lies before the box, 2 and 3 beyond it.
    assert after[0, 3] == pytest.approx(after[0, 0])
    assert after[2, 3] == pytest.approx(after[0, 0] * (0.05 / 0.93) ** 2)
    assert np.allclose(after, after.T)


def test_they_are_asked_for_where_the_voltage_is_low_and_a_splice_is_at_hand() -> None:
    legs = tuple(Leg(f"leg {i}", 100, years=0) for i in range(10))
    long = Line(legs, tuple(Box(f"box {i}") for i in range(9)))
    search = Searcher(long, Symptom.LOW_VOLTAGE, (), USUAL, Tools(volts=True))
    assert isinstance(search.plan(Stand())[0].action, VoltsAt)
    parted = replace(search, readings=(VoltsRead(2, RIGHT, LOW),))
    assert parted.plan(Stand(2, 2))[0].action == OpenBox(2)
    # Without a load to draw its current a high resistance is sought by a cut.
    by_hand = replace(search, tools=Tools())
    kinds = {type(option.action) for option in by_hand.plan(Stand())}
    assert OpenBox in kinds
    assert VoltsAt not in kinds
    for symptom in set(Symptom) - {Symptom.LOW_VOLTAGE, Symptom.SEVERAL_WEAK}:
        assert not tools_for(Tools(volts=True), symptom).volts
    uncut = replace(LINE, boxes=tuple(Box(x, Joint.UNCUT) for x in "abc"))
    whole = Searcher(uncut, Symptom.LOW_VOLTAGE, (), USUAL, Tools(volts=True)).plan(Stand())
    assert not any(isinstance(option.action, VoltsAt) for option in whole)
    assert any(isinstance(option.action, CutBox) for option in whole)


def test_at_an_open_box_only_the_reading_takes_time_and_once_is_enough() -> None:
    search = Searcher(LINE, Symptom.LOW_VOLTAGE, (), USUAL, Tools(volts=True))
    here = {option.action: option.own_min for option in search.plan(Stand(2, 2))}
    assert here[VoltsAt(2)] == USUAL.repeat_min
    # By hand: sides that do not go together come 0.93 x 0.07 + 0.95 x 0.05 of times, then again.
    unlike = 0.93 * 0.07 + 0.95 * 0.05
    assert here[VoltsAt(1)] == pytest.approx(11 - 4 + 100 / 250 + 3 * unlike / (1 - unlike))
    assert is_worn_out(VoltsAt(2), [VoltsRead(2, RIGHT, LOW)])
    assert not is_worn_out(VoltsAt(2), [VoltsRead(2, LOW, RIGHT)])
    assert is_worn_out(VoltsAt(2), [VoltsRead(2, LOW, RIGHT)] * 2)
    assert not is_worn_out(VoltsAt(2), [VoltsRead(2, RIGHT, LOW), VoltsRead(1, RIGHT, LOW)])
