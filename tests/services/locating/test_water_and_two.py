"""Symptoms of water and of two stations: where the search begins, and what it is told."""

import pytest

from faults.locating.engines.belief import Conductor
from faults.locating.engines.options import Stand
from faults.locating.services.around import about
from faults.locating.services.beliefs import Believed
from faults.locating.services.finding_words import finding_lines
from faults.locating.services.lead_words import neighbours_words
from faults.locating.services.states import state_of
from faults.models import FaultStation
from tests import make, make_searches
from tests.make_searches import Way

pytestmark = pytest.mark.django_db


def way_of(symptom: str) -> Way:
    """A wire of three legs whose station shows so."""
    way = make_searches.way(200.0, 300.0, 200.0, joints="ss")
    way.fault.symptom = symptom
    way.fault.save()
    return way


def state(way: Way) -> Believed:
    """What is believed before anything is tested."""
    return state_of(way.fault, way.station, None, today=make.TODAY)


def beside(way: Way, *legs: int, name: str = "other") -> None:
    """Another station of the clock, whose wire lies on these legs, comes on with ours."""
    other = make.station(controller=way.station.controller, number=99)
    if legs:
        wire = make.wire(property=way.fault.property, name=name, kind="hot")
        wire.legs.set([way.legs[n] for n in legs])
        wire.feeds.create(station=other)
    way.fault.runs_with = other
    way.fault.save()


def test_wires_touch_where_both_lie() -> None:
    alone, among = way_of("runs with another"), way_of("runs with another")
    beside(among, 0, 1)
    before, after = state(alone).before, state(among).before
    assert after.total == pytest.approx(1.0)
    # By hand: the third leg counts a twentieth of before, against the first.
    ratio = (after.by_leg[2] / after.by_leg[0]) / (before.by_leg[2] / before.by_leg[0])
    assert ratio == pytest.approx(0.05)
    # Both wires come to both boxes: the second ends the second leg.
    assert after.splice[2] == pytest.approx(after.splice[1])
    assert "both wires lie on leg" in neighbours_words(state(among))


def test_a_box_beyond_which_only_ours_goes_counts_less_from_there_on() -> None:
    way = way_of("runs with another")
    beside(way, 0)
    after = state(way).before
    assert after.splice[2] / after.splice[1] == pytest.approx(0.05)


def test_where_the_other_wire_lies_is_not_known_or_nowhere_beside() -> None:
    unknown, apart = way_of("runs with another"), way_of("runs with another")
    beside(unknown)
    assert state(unknown).before.splice[1] == pytest.approx(state(unknown).before.splice[2])
    assert "not registered" in neighbours_words(state(unknown))
    far = make_searches.way(100.0, controller=apart.station.controller, number=55)
    apart.fault.runs_with = far.station
    apart.fault.save()
    assert "look at the controller" in neighbours_words(state(apart))


def test_of_a_fault_of_two_each_is_the_others_other() -> None:
    way = way_of("runs with another")
    other = make.station(controller=way.station.controller, number=42)
    FaultStation.objects.create(fault=way.fault, station=other, stage="reported")
    assert state(way).ground.others.comes_on == other
    third = make.station(controller=way.station.controller, number=43)
    FaultStation.objects.create(fault=way.fault, station=third, stage="reported")
    assert state(way).ground.others.comes_on is None
    way.fault.runs_with = way.station
    assert state(way).ground.others.comes_on is None
    way.fault.runs_with = third
    assert state(way).ground.others.comes_on == third


@pytest.mark.parametrize(("symptom", "dead"), [("stays on", 0), ("open", 1), ("several weak", 1)])
def test_what_waters_is_not_counted_as_one_that_does_not_run(symptom: str, dead: int) -> None:
    way = way_of(symptom)
    other = make.station(controller=way.station.controller, number=42)
    FaultStation.objects.create(fault=way.fault, station=other, stage="reported")
    found = state(way)
    assert found.ground.others.dead == dead
    assert found.ground.others.untried == 1 - dead


def test_several_weak_ones_of_a_fault_point_at_their_common() -> None:
    way = way_of("several weak")
    alone = state(way).before
    other = make.station(controller=way.station.controller, number=42)
    FaultStation.objects.create(fault=way.fault, station=other, stage="reported")
    together = state(way).before
    assert alone.of(Conductor.COMMON) > 0.3
    assert together.outside != alone.outside


@pytest.mark.parametrize(
    ("symptom", "words", "grave"),
    [
        ("stays on", "Shut the water first", True),
        ("runs with another", "Take this station's wire off its terminal", False),
        ("several weak", "look at what they share", False),
    ],
)
def test_what_to_do_first_stands_above_the_plan(symptom: str, words: str, *, grave: bool) -> None:
    way = way_of(symptom)
    around = about(way.fault, None, at=make.NOW, stand=Stand())
    lines = finding_lines(state(way), around)
    (line,) = [each for each in lines if words in each.words]
    assert line.is_grave is grave
    if grave:
        assert lines[0] == line
