"""The line of a search is what register and history know: legs, boxes, other stations."""

from datetime import date, timedelta

import pytest

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Neighbour
from faults.locating.engines.line import Joint
from faults.locating.engines.surroundings import Surroundings
from faults.locating.services.line import NoLine, SearchGround, ground_of
from faults.locating.services.numbers import Assumed
from faults.models import SearchOutcome, WalkNote
from sites.models import Renewal, Station, Termination, Wire, WireKind, Wiring
from tests import make, make_searches
from tests.make_searches import Way

pytestmark = pytest.mark.django_db

ASSUMED = Assumed(Assumptions(), Surroundings())


def ground(way: Way) -> SearchGround:
    return ground_of(way.station, way.fault, ASSUMED, today=make.TODAY)


def beside(way: Way, *legs: int, **given: object) -> Station:
    """Make another station of the controller whose wire lies in these legs of the way."""
    other = make.station(controller=way.station.controller, **given)
    wire = make.wire(property=way.fault.property)
    wire.legs.set([way.legs[i] for i in legs])
    wire.feeds.create(station=other)
    return other


def seen(station: Station, result: str, on: date) -> None:
    """Note what a check-up found of a station."""
    WalkNote.objects.create(station=station, seen_on=on, result=result)


def test_legs_and_boxes_stand_in_order_from_the_controller() -> None:
    way = make_searches.way(200, 300, 100, joints="us")
    line = ground(way).line
    assert [leg.length_ft for leg in line.legs] == [200, 300, 100]
    assert [box.joint for box in line.boxes] == [Joint.UNCUT, Joint.SPLICED]
    assert ground(way).points == tuple(point.pk for point in way.points)


def test_a_box_of_which_nobody_knows_is_not_known() -> None:
    assert [box.joint for box in ground(make_searches.way(10, 10)).line.boxes] == [Joint.NOT_KNOWN]


def test_past_breaks_on_a_leg_count_but_not_those_of_this_fault() -> None:
    way = make_searches.way(200, 300)
    make.break_found(fault=way.fault, leg=way.legs[0])
    for _ in range(2):
        make.break_found(fault=make.fault(property=way.fault.property), leg=way.legs[1])
    assert [leg.faults for leg in ground(way).line.legs] == [0, 2]


def test_a_renewal_starts_the_count_anew() -> None:
    way = make_searches.way(200, 300)
    old = make.fault(property=way.fault.property)
    make.break_found(fault=old, leg=way.legs[1], found_on=date(2020, 5, 1))
    Renewal.objects.create(leg=way.legs[1], on=date(2024, 6, 20), kind="new conduit")
    leg = ground(way).line.legs[1]
    assert leg.faults == 0
    assert leg.years == pytest.approx((make.TODAY - date(2024, 6, 20)).days / 365.25)


def test_the_years_begin_with_the_records() -> None:
    way = make_searches.way(200)
    way.fault.property.records_since = date(2015, 6, 20)
    assert ground(way).line.legs[0].years == pytest.approx(10, abs=0.05)


def test_a_search_given_up_leaves_its_last_likelihood_on_the_legs() -> None:
    way = make_searches.way(200, 300)
    old = make.fault(property=way.fault.property)
    make_searches.finished(
        fault=old,
        station=make.station(controller=way.station.controller),
        outcome=SearchOutcome.GIVEN_UP,
        final={"legs": {str(way.legs[0].pk): 0.25, str(way.legs[1].pk): 0.5}},
    )
    assert [leg.faults for leg in ground(way).line.legs] == [0.25, 0.5]


def test_cover_and_conduit_change_the_hazard_and_the_walk() -> None:
    way = make_searches.way(200, 300)
    way.legs[1].cover, way.legs[1].in_conduit = "planting", True
    way.legs[1].save()
    turf, planting = ground(way).line.legs
    assert (turf.hazard_factor, turf.tone_factor) == (1.0, 1.0)
    assert planting.hazard_factor == pytest.approx(2.0 * 0.3)
    assert planting.tone_factor == 1.5


def test_a_station_seen_to_run_tells_by_the_legs_it_shares() -> None:
    way = make_searches.way(200, 300, 100)
    seen(beside(way, 0, 1), "works", way.fault.reported_on)
    others = ground(way).others
    assert (others.works, others.dead, others.untried) == (1, 0, 0)
    assert others.told == (Neighbour(True, frozenset({0, 1}), frozenset({0, 1})),)


@pytest.mark.parametrize(
    ("days", "result", "told"),
    [(-1, "works", 0), (0, "works", 1), (1, "works", 1), (1, "does not", 1), (1, "on timer", 0)],
)
def test_only_what_was_seen_since_the_report_is_told(days: int, result: str, told: int) -> None:
    way = make_searches.way(200, 300)
    two = [beside(way, 0), beside(way, 1)]
    for other in two:
        seen(other, result, way.fault.reported_on + timedelta(days=days))
    others = ground(way).others
    assert len(others.told) == 2 * told
    assert others.untried == 2 - 2 * told
    assert {one.works for one in others.told} <= {result == "works"}


def test_the_last_of_two_check_ups_holds() -> None:
    way = make_searches.way(200, 300)
    other = beside(way, 0)
    for days, result in ((1, "does not"), (2, "works")):
        seen(other, result, way.fault.reported_on + timedelta(days=days))
    assert [one.works for one in ground(way).others.told] == [True]


def test_a_station_of_the_same_fault_is_dead_and_one_that_nobody_tried_tells_nothing() -> None:
    way = make_searches.way(200, 300)
    same, _untried = beside(way, 0), beside(way, 1)
    way.fault.stations.create(station=same)
    others = ground(way).others
    assert [(one.works, one.shares) for one in others.told] == [(False, {0})]
    assert (others.works, others.dead, others.untried) == (0, 1, 1)


def test_a_station_on_another_common_says_nothing_of_ours() -> None:
    way = make_searches.way(200, 300)
    other = beside(way, 0, 1)
    seen(other, "works", way.fault.reported_on)
    assert ground(way).others.told[0].is_on_ours
    for n, legs in enumerate((way.legs, way.legs)):
        common = make.wire(property=way.fault.property, kind=WireKind.COMMON, name=f"c{n}")
        common.legs.set(legs)
        Termination.objects.create(wire=common, controller=way.station.controller)
    # Both commons lie along both ways: nobody knows which is whose.
    others = ground(way).others
    assert others.elsewhere == 1
    assert others.told == (Neighbour(True, frozenset({0, 1}), frozenset(), is_on_ours=False),)
    # Each way has a common of its own: known, and another.
    mine, theirs = Wire.objects.filter(kind=WireKind.COMMON).order_by("name")
    side = make.leg(property=way.fault.property, from_point=way.points[1], length_ft=50)
    Wire.objects.get(feeds__station=other).legs.set([way.legs[0], side])
    mine.legs.set(way.legs)
    theirs.legs.set([way.legs[0], side])
    assert ground(way).others.elsewhere == 1
    theirs.terminations.all().delete()
    assert ground(way).others.elsewhere == 0


def test_a_dead_station_without_a_way_may_lie_beside_all_along() -> None:
    way = make_searches.way(200, 300)
    other = make.station(controller=way.station.controller)
    way.fault.stations.create(station=other)
    assert ground(way).others.told[0].shares == {0, 1}


def test_where_only_the_length_is_known_the_whole_run_is_one_leg() -> None:
    station = make.station(run_length_ft=640)
    told = ground_of(station, make.fault(station), ASSUMED, today=make.TODAY)
    assert told.line.length_ft == 640
    assert told.line.legs[0].is_guessed
    assert not told.is_surveyed


def test_nothing_to_search_along_is_refused_with_what_to_enter() -> None:
    station = make.station(run_length_ft=None)
    with pytest.raises(NoLine, match="run length"):
        ground_of(station, make.fault(station), ASSUMED, today=make.TODAY)


def test_a_two_wire_path_is_refused_by_name() -> None:
    way = make_searches.way(200, controller=make.controller(wiring=Wiring.TWO_WIRE))
    with pytest.raises(NoLine, match="two-wire path"):
        ground(way)


def test_a_ring_is_refused_by_name() -> None:
    way = make_searches.way(200, 300)
    third = make.leg(
        property=way.fault.property, from_point=way.points[0], to_point=way.points[2], length_ft=9
    )
    way.wire.legs.add(third)
    with pytest.raises(NoLine, match="ring"):
        ground(way)
