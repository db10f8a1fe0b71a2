"""Recording a break, correcting it, its photo, and our own warranty near it."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from faults.cases.engines.stages import Stage
from faults.cases.queries import claims_of, legs_to_choose
from faults.cases.services.break_rules import BreakFacts, UnableToRecordBreak
from faults.cases.services.breaks import Shot, correct_break, record_break
from faults.cases.services.told import UnableToMove
from faults.models import Break, Fault
from sites.kernel.services.verb_days import UnableToCorrect, UnableToUseDay
from sites.models import Feed, Leg, WireLeg
from tests import make
from tests.services.cases.scene import TODAY, Scene, move, reported

pytestmark = pytest.mark.django_db


@pytest.fixture
def leg(scene: Scene) -> Leg:
    """120 ft, with one wire in it."""
    made = make.leg(property=scene.place, label="B-04", length_ft=120.0)
    WireLeg.objects.create(leg=made, wire=make.wire(property=scene.place, name="B-7 hot"))
    return made


def record(scene: Scene, fault: Fault, facts: BreakFacts, **given: Any) -> Break:
    """Record a break as the technician does."""
    how = {"by": scene.technician, "at": make.NOW, "today": TODAY, **given}
    return record_break(fault=fault, facts=facts, **how)


def test_a_break_is_kept_with_its_place_and_its_wires(scene: Scene, leg: Leg) -> None:
    wires = list(leg.wires.all())
    facts = BreakFacts(leg, 64.0, leg.to_point, TODAY, 15.0, "shovel", "cut", wires)
    one = record(scene, reported(scene), facts)
    assert (one.leg, one.feet_along, one.from_point) == (leg, 64.0, leg.to_point)
    assert list(one.wires.all()) == wires
    assert (one.running_number, one.history.count()) == (1, 1)


def test_breaks_of_a_fault_are_numbered(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    numbers = [record(scene, fault, BreakFacts(leg)).running_number for _ in range(3)]
    assert numbers == [1, 2, 3]


def test_recording_moves_the_stations_to_found_at_once(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    record(scene, fault, BreakFacts(leg, found_on=TODAY), found=list(fault.stations.all()))
    fault.refresh_from_db()
    assert (fault.stage, fault.cause_side) == ("found", "wire")


def test_a_break_found_before_the_last_step_still_moves_the_stations(
    scene: Scene, leg: Leg
) -> None:
    fault = reported(scene, on=TODAY)
    facts = BreakFacts(leg, found_on=TODAY - timedelta(days=3))
    record(scene, fault, facts, found=list(fault.stations.all()))
    fault.refresh_from_db()
    assert fault.stage == "found"


def test_nothing_is_kept_when_the_stations_cannot_move(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    move(scene, fault, Stage.FOUND)
    with pytest.raises(UnableToMove):
        record(scene, fault, BreakFacts(leg), found=list(fault.stations.all()))
    assert fault.breaks.count() == 0


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"feet_along": 121.0}, "feet_along"),
        ({"feet_along": -1.0}, "feet_along"),
        ({"leg": None, "feet_along": 5.0}, "leg"),
        ({"mended_on": TODAY - timedelta(days=9), "found_on": TODAY}, "mended_on"),
        ({"how_mended": "spliced"}, "mended_on"),
        ({"warranty_until": TODAY}, "warranty_until"),
        ({"depth_in": 999.0}, "depth_in"),
        ({"latitude": 33.0}, "latitude"),
        ({"latitude": 99.0, "longitude": 1.0}, "latitude"),
    ],
)
def test_facts_that_contradict_each_other_are_refused(
    scene: Scene, leg: Leg, given: dict[str, Any], field: str
) -> None:
    with pytest.raises(UnableToRecordBreak) as no:
        record(scene, reported(scene), replace(BreakFacts(leg), **given))
    assert no.value.field == field


def test_an_end_that_is_no_end_of_the_leg_is_refused(scene: Scene, leg: Leg) -> None:
    facts = BreakFacts(leg, 5.0, make.point(property=scene.place))
    with pytest.raises(UnableToRecordBreak, match="Choose an end of this leg"):
        record(scene, reported(scene), facts)


def test_another_propertys_leg_is_refused(scene: Scene) -> None:
    with pytest.raises(UnableToRecordBreak, match="another property's"):
        record(scene, reported(scene), BreakFacts(make.leg()))


def test_a_wire_that_lies_elsewhere_is_refused(scene: Scene, leg: Leg) -> None:
    stray = make.wire(property=scene.place, name="stray")
    with pytest.raises(UnableToRecordBreak, match="do not lie in leg B-04: stray"):
        record(scene, reported(scene), BreakFacts(leg, wires=[stray]))


def test_a_day_that_has_not_come_is_refused(scene: Scene, leg: Leg) -> None:
    with pytest.raises(UnableToUseDay):
        record(scene, reported(scene), BreakFacts(leg, found_on=TODAY + timedelta(days=1)))


def test_a_withdrawn_fault_takes_no_break(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    move(scene, fault, Stage.WITHDRAWN, why="runs")
    with pytest.raises(UnableToRecordBreak, match="Open it again first"):
        record(scene, fault, BreakFacts(leg))


def test_valve_or_water_needs_no_leg_and_leaves_the_wire(scene: Scene) -> None:
    fault = reported(scene)
    record(scene, fault, BreakFacts(cause="valve or water"))
    fault.refresh_from_db()
    assert fault.is_outside_the_wire()


def test_a_mended_break_gets_the_warranty_agreed_for_the_property(scene: Scene, leg: Leg) -> None:
    one = record(scene, reported(scene), BreakFacts(leg, mended_on=TODAY, how_mended="spliced"))
    assert one.warranty_until == TODAY + timedelta(days=365)


def test_a_photo_comes_with_the_break_and_gives_its_position(scene: Scene, leg: Leg) -> None:
    shot = Shot(make.prepared_photo(latitude=33.5, longitude=-113.9), "before")
    one = record(scene, reported(scene), BreakFacts(leg), shot=shot)
    photo = one.photos.get()
    assert (photo.shows, photo.added_by, photo.fault) == ("before", scene.technician, one.fault)
    assert (one.latitude, one.longitude) == (33.5, -113.9)


def test_a_correction_keeps_the_old_values_and_the_old_wires(scene: Scene, leg: Leg) -> None:
    wires = list(leg.wires.all())
    one = record(scene, reported(scene), BreakFacts(leg, 64.0, wires=wires))
    correct_break(one=one, facts=BreakFacts(leg, 46.0), why="digits swapped", today=TODAY)
    newest, before = one.history.order_by("-history_id")[:2]
    assert newest.history_change_reason == "was wrong: digits swapped (wires were: B-7 hot)"
    assert (before.feet_along, one.feet_along, one.wires.count()) == (64.0, 46.0, 0)


def test_a_correction_without_words_is_refused(scene: Scene, leg: Leg) -> None:
    one = record(scene, reported(scene), BreakFacts(leg))
    with pytest.raises(UnableToCorrect):
        correct_break(one=one, facts=BreakFacts(leg), why="", today=TODAY)


def test_the_legs_of_the_stations_wires_come_first(scene: Scene, leg: Leg) -> None:
    other = make.leg(property=scene.place, label="A-01")
    wire = leg.wires.get()
    Feed.objects.create(wire=wire, station=scene.stations[0])
    assert legs_to_choose(reported(scene)) == ([leg], [other])


def _mended_before(scene: Scene, leg: Leg, feet: float, **given: Any) -> Break:
    day = date(2025, 1, 10)
    old = make.fault(scene.stations[0], stage="returned", key="F-0001")
    kept = {"leg": leg, "feet_along": feet, "found_on": day, "mended_on": day, **given}
    return make.break_found(fault=old, **kept)


def test_a_break_near_our_own_mend_is_ours_within_the_warranty(scene: Scene, leg: Leg) -> None:
    earlier = _mended_before(scene, leg, 60.0)
    facts = BreakFacts(leg, 62.0, leg.to_point, found_on=TODAY)
    one = record(scene, reported(scene), facts)
    (claim,) = claims_of([one], scene.place)
    assert (claim.new, claim.earlier, claim.until) == (one, earlier, date(2026, 1, 10))


@pytest.mark.parametrize(
    ("feet", "given"),
    [(80.0, {}), (60.0, {"warranty_until": date(2025, 2, 1)}), (60.0, {"mended_on": None})],
)
def test_far_off_or_out_of_warranty_it_is_not_ours(
    scene: Scene, leg: Leg, feet: float, given: dict[str, Any]
) -> None:
    _mended_before(scene, leg, 60.0, **given)
    one = record(scene, reported(scene), BreakFacts(leg, feet, found_on=TODAY))
    assert claims_of([one], scene.place) == []
