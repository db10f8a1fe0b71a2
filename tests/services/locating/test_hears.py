"""What was recorded anywhere reaches the likelihood: neighbours, ohms, timers, mends, boxes."""

from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from faults.locating.engines import actions
from faults.locating.engines.belief import SPOILS_VALVE_SIDE, Conductor, Outside
from faults.locating.engines.line import Joint
from faults.locating.engines.options import Stand
from faults.locating.engines.plain import stand_from
from faults.locating.engines.plain_search import search_from
from faults.locating.services.beliefs import Believed
from faults.locating.services.doing import (
    UnableToSearch,
    finish_search,
    record_search_reading,
    start_search,
)
from faults.locating.services.payload import search_payload
from faults.locating.services.shown import tried_lines
from faults.locating.services.states import readings_of, state_of
from faults.models import ReadingKind, Search, SearchReading, WalkNote
from faults.sheet.forms.search_step import search_step
from sites.models import Station, WireKind
from tests import make, make_searches
from tests.make_searches import Way

pytestmark = pytest.mark.django_db
TODAY = make.TODAY


def state(way: Way, search: Search | None = None) -> Believed:
    return state_of(way.fault, way.station, search, today=TODAY)


def outside(way: Way, cause: Outside) -> float:
    belief = state(way).belief
    assert belief is not None
    return belief.outside[cause]


def begun(way: Way, at: datetime = make.NOW, **given: Any) -> Search:
    return start_search(fault=way.fault, station=way.station, at=at, by=None, **given)


def record(search: Search, at: datetime = make.NOW, **said: Any) -> SearchReading:
    return record_search_reading(search=search, said=said, taken_at=at, by=None, now=at)


def beside(way: Way, result: str, *, is_apart: bool = False) -> Station:
    """Another station, its wire in our trench or in one of its own, as a check-up found it."""
    other = make.station(controller=way.station.controller)
    wire = make.wire(property=way.fault.property)
    own = [make.leg(property=way.fault.property, length_ft=90)] if is_apart else way.legs
    wire.legs.set(own)
    wire.feeds.create(station=other)
    WalkNote.objects.create(station=other, seen_on=way.fault.reported_on, result=result)
    return other


def test_with_all_others_dead_common_and_controller_lead() -> None:
    way = make_searches.way(200, 300)
    for _ in range(6):
        beside(way, "does not", is_apart=True)
    believed = state(way)
    assert believed.belief is not None
    assert believed.belief.outside[Outside.COMMON_TERMINAL] > 0.9
    first = believed.options(Stand())[0].action
    assert first == actions.CheckController()


def test_with_all_others_of_our_trench_dead_the_common_and_the_whole_bundle_lead() -> None:
    way = make_searches.way(200, 300)
    for _ in range(2):
        beside(way, "does not")
    belief = state(way).belief
    assert belief is not None
    shared = belief.of(Conductor.COMMON) + belief.of(Conductor.BUNDLE)
    assert belief.outside[Outside.COMMON_TERMINAL] + shared > 0.95


def test_stations_that_nobody_tried_leave_the_common_its_share() -> None:
    way = make_searches.way(200, 300)
    alone = state(way).belief
    for _ in range(8):
        make.station(controller=way.station.controller)
    among = state(way).belief
    assert alone is not None
    assert among is not None
    assert among.of(Conductor.COMMON) == pytest.approx(alone.of(Conductor.COMMON))
    beside(way, "works")
    seen = state(way).belief
    assert seen is not None
    assert seen.of(Conductor.COMMON) < alone.of(Conductor.COMMON) / 10


def ohms(way: Way, value: float, **given: Any) -> None:
    usual = {"station": way.station, "wire": way.wire, "kind": ReadingKind.OHMS, "value": value}
    make.reading(**usual | {"taken_on": way.fault.reported_on} | given)


def coil_of(way: Way) -> Way:
    """A coil of 24 ohms on a wire of which the size is known: 18 AWG."""
    way.station.coil_ohms = 24.0
    way.station.save()
    way.wire.size = "18 AWG"
    way.wire.save()
    return way


def test_low_ohms_at_the_controller_make_the_coil_lead() -> None:
    way = coil_of(make_searches.way(80, 100))
    before = outside(way, Outside.COIL)
    # By hand: 180 ft there and back of 18 AWG are about 2.3 ohms; 7.7 leave a fifth of the coil.
    ohms(way, 7.7)
    assert outside(way, Outside.COIL) > 0.5 > before
    believed = state(way)
    assert believed.options(Stand())[0].action == actions.CheckValve()
    assert [each.words for each in believed.known] == [
        f"7.7 ohms at the controller on {way.fault.reported_on}: low"
    ]


@pytest.mark.parametrize(("days", "counts"), [(-1, False), (0, True), (1, True)])
def test_ohms_count_from_the_day_of_the_report(days: int, counts: bool) -> None:
    way = coil_of(make_searches.way(80, 100))
    ohms(way, 7.7, taken_on=way.fault.reported_on + timedelta(days=days))
    assert bool(state(way).known) is counts


def test_ohms_read_elsewhere_or_voided_do_not_count_and_the_newest_of_two_does() -> None:
    way = coil_of(make_searches.way(80, 100))
    ohms(way, 7.7, point=way.points[1])
    ohms(way, 7.7, voided_on=TODAY)
    assert state(way).known == []
    ohms(way, 7.7)
    ohms(way, 99_999.0, taken_on=way.fault.reported_on + timedelta(days=1))
    assert [each.said["ohms"] for each in state(way).known] == ["open"]


def test_a_timer_that_waters_the_station_clears_the_valve_and_its_water() -> None:
    way = make_searches.way(200, 300)
    before = outside(way, Outside.WATER)
    stopgap = make.stopgap(station=way.station, on=date(2025, 5, 2))
    assert outside(way, Outside.WATER) < before / 5
    stopgap.main_valve = "stays shut"
    stopgap.save()
    assert outside(way, Outside.WATER) == pytest.approx(before)


def test_after_hearing_the_tone_in_an_open_box_it_does_not_ask_to_cut_the_wire() -> None:
    way = make_searches.way(150, 200, 180, 160, joints="uuu")
    search = begun(way)
    record(search, kind="listened", point=way.points[1].pk, heard=True)
    believed = state(way, search)
    stand = stand_from({"at": way.points[1].pk, "open_box": way.points[1].pk}, believed.ids)
    options = believed.options(stand)
    kinds = [type(option.action) for option in options]
    assert kinds[0] is not actions.CutBox
    assert min(map(kinds.index, (actions.WalkTone, actions.ListenAt))) < kinds.index(actions.CutBox)
    cuts = [option for option in options if isinstance(option.action, actions.CutBox)]
    # A cut and its lasting splice cost 16 minutes in an open box too.
    assert min(option.own_min for option in cuts) >= 16


def test_a_box_bad_on_both_sides_is_not_asked_for_for_ever() -> None:
    way = make_searches.way(200, 300, 250, 200, joints="sss")
    search = begun(way)
    middle = way.points[2].pk
    asked = []
    for _ in range(5):
        believed = state(way, search)
        stand = stand_from({"at": middle, "open_box": middle}, believed.ids)
        asked.append(believed.options(stand)[0].action)
        record(search, kind="box", point=middle, controller_bad=True, valve_bad=True)
    assert asked[2:] != [actions.OpenBox(2)] * 3
    assert asked[3] != actions.OpenBox(2) != asked[4]
    belief = state(way, search).belief
    assert belief is not None
    assert belief.by_leg[2:].sum() < 0.05


def test_after_a_mend_a_new_search_goes_on_with_what_was_tested() -> None:
    way = make_searches.way(200, 300, 250, 200, joints="sss")
    first = begun(way)
    for _ in range(2):
        both = {"controller_bad": True, "valve_bad": True}
        record(first, kind="box", point=way.points[2].pk, **both)
    found = make.break_found(fault=way.fault, leg=way.legs[0], found_on=TODAY)
    hour = make.NOW + timedelta(hours=1)
    finish_search(search=first, outcome="found", found=found, at=hour, now=hour)
    found.mended_on = TODAY
    found.save()
    second = begun(way, at=make.NOW + timedelta(hours=2))
    believed = state(way, second)
    belief = believed.belief
    assert belief is not None
    assert belief.by_leg[2:].sum() + sum(belief.outside[each] for each in SPOILS_VALVE_SIDE) > 0.9
    assert belief.by_leg[0] < 0.05
    assert [each.said["kind"] for each in believed.known] == ["box", "box", "mended"]
    assert believed.rows == []
    assert believed.options(Stand())[0].action != actions.OpenBox(2)
    # The phone is given the same, and comes to the same.
    rows = readings_of(second)
    plain = search_from(search_payload(way.fault, way.station, second, believed, rows))
    assert list(plain.belief.by_leg) == pytest.approx(list(belief.by_leg), abs=1e-12)
    # A break of another wire in that leg says nothing of ours.
    found.wires.set([make.wire(property=way.fault.property, kind=WireKind.HOT)])
    assert [each.said["kind"] for each in state(way, second).known] == ["box", "box"]


def test_an_open_box_corrects_the_register_for_this_search() -> None:
    way = make_searches.way(200, 300, joints="u")
    search = begun(way)
    assert not any(
        isinstance(o.action, actions.OpenBox) for o in state(way, search).options(Stand())
    )
    record(search, kind="looked", point=way.points[1].pk, joint="spliced", wear="corroded")
    believed = state(way, search)
    assert believed.before.line.boxes[0].joint is Joint.SPLICED
    assert believed.belief is not None
    sound = record(search, kind="looked", point=way.points[1].pk, joint="spliced", wear="sound")
    assert sound.said["wear"] == "sound"
    after = state(way, search).belief
    assert after is not None
    assert believed.belief.splice[1] > after.splice[1] > 0


def test_a_part_replaced_for_nothing_counts_and_other_mends_are_told_where_they_belong() -> None:
    way = make_searches.way(200, 300)
    search = begun(way)
    record(search, kind="check", check="coil", is_right=False)
    with_coil = state(way, search).belief
    record(search, kind="mended", check="coil")
    without = state(way, search).belief
    assert with_coil is not None
    assert without is not None
    assert with_coil.outside[Outside.COIL] > 0.7
    assert without.outside[Outside.COIL] < 0.2
    with pytest.raises(UnableToSearch, match="recorded with its break"):
        record(search, kind="mended", leg=way.legs[0].pk)
    with pytest.raises(UnableToSearch, match="a reading of the station"):
        record(search, kind="ohms", ohms="open", joined=True)


def test_the_phone_is_told_what_counts_besides_its_own_tests() -> None:
    way = coil_of(make_searches.way(80, 100))
    ohms(way, 7.7)
    step = search_step(way.fault, list(way.fault.stations.all()), TODAY, at=make.NOW)
    [told] = step["searches"]
    assert told["counted"][0].startswith("Of no other station")
    assert told["counted"][1].startswith("7.7 ohms at the controller")
    assert [each for each in told["plain"]["readings"] if each.get("is_record")] == [
        {"kind": "ohms", "ohms": "coil low", "is_record": True, "words": told["counted"][1]}
    ]


def test_only_what_can_surprise_has_a_chance_in_the_list_of_tests() -> None:
    way = make_searches.way(200, 300, joints="u")
    search = begun(way)
    record(search, kind="looked", point=way.points[1].pk, joint="spliced")
    record(search, kind="looked", point=way.points[1].pk, wear="wet")
    record(search, kind="mended", check="coil")
    rows = readings_of(search)
    chances = {line.said: line.chance for line in tried_lines(state(way, search), rows)}
    assert [bool(chance) for chance in chances.values()] == [False, True, False]


@pytest.mark.parametrize(("days", "words"), [(-1, ["high"]), (0, ["high"]), (1, ["open", "high"])])
def test_ohms_of_a_search_are_not_counted_again_as_a_reading_of_their_day(
    days: int, words: list[str]
) -> None:
    """A reading of a later day is another one, and counts beside it."""
    way = coil_of(make_searches.way(80, 100))
    search = begun(way)
    record(search, kind="ohms", ohms="high")
    day = search.readings.get().taken_at.astimezone(ZoneInfo(way.fault.property.time_zone)).date()
    way.fault.reported_on = day - timedelta(days=2)
    way.fault.save()
    ohms(way, 99_999.0, taken_on=day + timedelta(days=days))
    assert [each.said["ohms"] for each in state(way, search).known] == words
