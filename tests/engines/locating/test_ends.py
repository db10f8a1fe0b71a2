"""What is wrong at the ends of the wire: their splices, and the master valve before them."""

from collections.abc import Iterable

import pytest

from faults.locating.engines.actions import CheckController, CheckValve
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import (
    BEHIND,
    END_SPLICES,
    IN_VALVE_BOX,
    NUMBER_OF,
    Neighbour,
    Outside,
    prior,
)
from faults.locating.engines.box_tests import BoxTest, Clamped, Listened
from faults.locating.engines.evidence import Reading
from faults.locating.engines.line import Box, Leg, Line
from faults.locating.engines.mends import Mended
from faults.locating.engines.options import Stand, Tools
from faults.locating.engines.other_tests import (
    AT_CONTROLLER,
    AT_VALVE,
    CHECKS,
    Check,
    Checked,
    Distance,
    SpareTried,
)
from faults.locating.engines.pairs import after_readings
from faults.locating.engines.plan import next_actions
from faults.locating.engines.seen import Ohms, OhmsRead
from faults.locating.engines.tones import MarkedLevel

USUAL = Assumptions()
LINE = Line(tuple(Leg(f"leg {i}", 100, years=0) for i in range(3)), (Box("a"), Box("b")))


def chances(reading: Reading, causes: Iterable[Outside]) -> list[float]:
    outside = reading.likelihood(LINE, USUAL).outside
    return [outside[cause] for cause in causes]


def test_every_cause_has_a_number_an_end_and_a_check() -> None:
    before = prior(LINE, USUAL)
    for cause, name in NUMBER_OF.items():
        assert before.outside[cause] == pytest.approx(getattr(USUAL, name))
    assert USUAL.p_outside == pytest.approx(sum(before.outside.values()))
    # Another wire shows at neither end alone.
    ends = {*BEHIND, *IN_VALVE_BOX, Outside.WRONG_WIRE}
    assert ends == set(Outside) == set(CHECKS.values())
    assert [CHECKS[check] in BEHIND for check in AT_CONTROLLER] == [True] * len(AT_CONTROLLER)
    assert [CHECKS[check] in IN_VALVE_BOX for check in AT_VALVE] == [True] * len(AT_VALVE)


@pytest.mark.parametrize(
    ("reading", "as_what"),
    [
        # A box test cannot tell the splice at an end from what is wrong behind it.
        (BoxTest(1, True, False), (Outside.OUTPUT, Outside.COIL)),
        (BoxTest(2, False, True), (Outside.OUTPUT, Outside.COIL)),
        (Distance(0.0, sd_ft=5.0, sd_share=0.0), (Outside.OUTPUT, Outside.COIL)),
        (Distance(0.0, from_valve=True, sd_ft=5.0, sd_share=0.0), (Outside.OUTPUT, Outside.COIL)),
    ],
)
def test_the_splices_at_the_ends_are_tested_from_boxes_as_what_lies_behind_them(
    reading: Reading, as_what: tuple[Outside, Outside]
) -> None:
    assert chances(reading, END_SPLICES) == pytest.approx(chances(reading, as_what))


def test_ohms_and_a_spare_speak_of_them_as_of_the_wire() -> None:
    for reading in (OhmsRead(Ohms.OPEN), OhmsRead(Ohms.AS_EXPECTED), SpareTried(works=True)):
        seen = reading.likelihood(LINE, USUAL)
        assert chances(reading, END_SPLICES) == pytest.approx([float(seen.splice[1])] * 2)
    # Neither tells of the master valve what it does not tell of missing water.
    for reading in (OhmsRead(Ohms.AS_EXPECTED), SpareTried(works=True), BoxTest(1, True, True)):
        master, water = chances(reading, (Outside.MASTER, Outside.WATER))
        assert master == water


def test_a_bad_splice_at_the_controller_lets_nothing_pass_and_leaves_nothing_to_radiate() -> None:
    for quiet in (Listened(1, heard=False), Clamped(2, flows=False)):
        start, end = chances(quiet, END_SPLICES)
        assert start > 0.8 > 0.2 > end
    start, end = chances(MarkedLevel(1.0, at_transmitter=1.0, on_sound_wire=9.0), END_SPLICES)
    assert start > 10 * end


def test_a_master_valve_explains_that_those_behind_it_stand_still() -> None:
    dead = [Neighbour(works=False)] * 3
    before, seen = prior(LINE, USUAL), prior(LINE, USUAL, dead)

    def ratio(belief: object, cause: Outside) -> float:
        return belief.outside[cause] / belief.outside[Outside.COIL]  # type: ignore[attr-defined]

    # By hand: each is dead at 0.98 by its master valve or its common, at 0.02 by itself.
    grown = (0.98 / 0.02) ** 3
    for cause in (Outside.MASTER, Outside.COMMON_TERMINAL):
        assert ratio(seen, cause) == pytest.approx(grown * ratio(before, cause))
    elsewhere = prior(LINE, USUAL, [Neighbour(works=False, is_on_master=False)])
    assert ratio(elsewhere, Outside.MASTER) == pytest.approx(ratio(before, Outside.MASTER))
    runs = prior(LINE, USUAL, [Neighbour(works=True)])
    assert ratio(runs, Outside.MASTER) == pytest.approx(ratio(before, Outside.MASTER) * 0.02 / 0.98)


@pytest.mark.parametrize(
    ("check", "action"),
    [(Check.VALVE_SPLICE, CheckValve()), (Check.MASTER, CheckController())],
)
def test_each_end_is_looked_at_where_its_causes_lead(check: Check, action: object) -> None:
    belief = after_readings(prior(LINE, USUAL), [Checked(check, is_right=False)], USUAL).belief
    assert belief.outside[CHECKS[check]] > 0.2
    best = next_actions(belief, Stand(), Tools(), USUAL)[0]
    assert best.action == action
    sound = after_readings(prior(LINE, USUAL), [Checked(check, is_right=True)], USUAL).belief
    assert sound.outside[CHECKS[check]] < 0.005


def test_a_splice_made_again_for_nothing_is_sought_no_more() -> None:
    said = [Checked(Check.VALVE_SPLICE, is_right=False), Mended(check=Check.VALVE_SPLICE)]
    left = after_readings(prior(LINE, USUAL), said, USUAL).belief
    assert left.outside[Outside.VALVE_SPLICE] < 0.15
    assert left.by_leg.sum() > 0.4
