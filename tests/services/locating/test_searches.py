"""A search is started, tested, ended and taken up again; nothing of it is lost."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from faults.cases.engines.stages import Stage
from faults.cases.services.moves import move_stations
from faults.locating.engines.plain import ENGINE_VERSION
from faults.locating.engines.plain_search import search_from
from faults.locating.services.doing import (
    UnableToSearch,
    equip_search,
    finish_search,
    record_search_reading,
    reopen_search,
    start_search,
    void_search_reading,
)
from faults.locating.services.numbers import (
    UnableToSetNumber,
    assumed_now,
    forget_number,
    set_number,
)
from faults.locating.services.payload import search_payload
from faults.locating.services.states import readings_of, state_of
from faults.models import Search, SearchNumber, SearchOutcome, SearchReading
from sites.kernel.engines.roles import Role
from tests import make, make_searches
from tests.make_searches import Way

pytestmark = pytest.mark.django_db
LATER = make.NOW + timedelta(minutes=40)


def begun(way: Way, **given: Any) -> Search:
    return start_search(
        fault=way.fault, station=way.station, **{"at": make.NOW, "by": None, **given}
    )


def box_says(way: Way, number: int, *, controller_bad: bool, valve_bad: bool) -> dict[str, Any]:
    return {
        "kind": "box",
        "point": way.points[number].pk,
        "controller_bad": controller_bad,
        "valve_bad": valve_bad,
    }


def record(search: Search, said: dict[str, Any], **given: Any) -> SearchReading:
    usual = {"taken_at": make.NOW, "by": None, "now": make.NOW}
    return record_search_reading(search=search, said=said, **{**usual, **given})


def shares(search: Search) -> list[float]:
    state = state_of(search.fault, search.station, search, today=make.TODAY)
    assert state.belief is not None
    return [round(float(share), 4) for share in state.belief.by_leg]


def test_starting_keeps_the_wire_and_what_the_plan_promises() -> None:
    way = make_searches.way(200, 300, 100)
    search = begun(way)
    assert search.wire == way.wire
    assert search.expected_minutes is not None
    assert 5 < search.expected_minutes < 120


def test_only_one_search_of_a_station_goes_on() -> None:
    way = make_searches.way(200, 300)
    begun(way)
    with pytest.raises(UnableToSearch, match="goes on already"):
        begun(way)


def test_the_same_key_twice_is_one_search_and_one_test() -> None:
    way = make_searches.way(200, 300, joints="s")
    key, test = uuid4(), uuid4()
    search = begun(way, key=key)
    assert begun(way, key=key) == search
    said = box_says(way, 1, controller_bad=False, valve_bad=True)
    assert record(search, said, key=test) == record(search, said, key=test)
    assert search.readings.count() == 1


def test_a_station_of_another_fault_is_refused() -> None:
    with pytest.raises(UnableToSearch, match="not a station of this fault"):
        start_search(fault=make_searches.way().fault, station=make.station(), at=make.NOW, by=None)


def test_a_test_moves_the_likelihood_and_a_voided_one_moves_it_back() -> None:
    way = make_searches.way(200, 300, joints="s")
    search = begun(way)
    before = shares(search)
    reading = record(search, box_says(way, 1, controller_bad=False, valve_bad=True))
    assert shares(search)[1] > 0.7 > before[1]
    void_search_reading(reading=reading, why="wrong wire", now=make.NOW)
    assert shares(search) == before
    assert search.readings.count() == 1


def test_a_test_keeps_what_the_plan_had_shown() -> None:
    way = make_searches.way(200, 300, joints="s")
    reading = record(begun(way), box_says(way, 1, controller_bad=False, valve_bad=True))
    assert 0 < reading.shown["chance"] < 1
    assert reading.shown["option"]["minutes"] > 0
    assert reading.point == way.points[1]


@pytest.mark.parametrize(
    "said",
    [
        {"kind": "box", "point": 10**9, "controller_bad": True, "valve_bad": False},
        {"kind": "distance", "feet": float("nan")},
        {"kind": "distance"},
        {"kind": "spell"},
        {},
    ],
)
def test_a_test_that_cannot_be_is_refused_and_writes_nothing(said: dict[str, Any]) -> None:
    search = begun(make_searches.way(200, 300))
    with pytest.raises(UnableToSearch):
        record(search, said)
    assert search.readings.count() == 0


def test_a_test_in_time_to_come_is_refused() -> None:
    search = begun(make_searches.way(200))
    said = {"kind": "check", "check": "coil", "is_right": True}
    with pytest.raises(UnableToSearch, match="time to come"):
        record(search, said, taken_at=make.NOW + timedelta(hours=2))


def test_what_is_at_hand_is_offered_by_the_plan() -> None:
    search = begun(make_searches.way(200, 300))
    before = state_of(search.fault, search.station, search, today=make.TODAY).tools
    equip_search(search=search, tools=["distance", "magic"], may_cut=False, soil_is_dry=True)
    after = state_of(search.fault, search.station, search, today=make.TODAY).tools
    assert not before.distance_at_controller
    assert after.distance_at_controller
    assert not after.may_cut
    assert search.tools == ["distance"]


def test_ending_keeps_line_numbers_version_and_last_likelihood() -> None:
    way = make_searches.way(200, 300, joints="s")
    search = begun(way)
    record(search, box_says(way, 1, controller_bad=False, valve_bad=True))
    found = make.break_found(fault=way.fault, leg=way.legs[1])
    before = shares(search)
    finish_search(search=search, outcome="found", found=found, at=LATER, now=LATER)
    search.refresh_from_db()
    assert search.actual_minutes == 40
    assert search.engine_version == ENGINE_VERSION
    kept = [search.final["legs"][str(leg.pk)] for leg in way.legs]
    assert kept == pytest.approx(before, abs=1e-3)
    total = sum(sum(part.values()) for part in search.final.values())
    assert total == pytest.approx(1, abs=1e-4)
    assert [leg["length_ft"] for leg in search.line["legs"]] == [200, 300]


@pytest.mark.parametrize("outcome", ["found", "given up", "not the wire"])
def test_an_end_without_what_it_asks_for_is_refused(outcome: str) -> None:
    search = begun(make_searches.way(200))
    with pytest.raises(UnableToSearch):
        finish_search(search=search, outcome=outcome, at=LATER, now=LATER)
    search.refresh_from_db()
    assert search.ended_at is None


def test_an_ended_search_takes_no_test_until_it_is_taken_up_again() -> None:
    search = begun(make_searches.way(200))
    finish_search(search=search, outcome="given up", why="dusk", at=LATER, now=LATER)
    said = {"kind": "check", "check": "coil", "is_right": True}
    with pytest.raises(UnableToSearch, match="has ended"):
        record(search, said)
    reopen_search(search=search, why="too early")
    assert record(search, said).pk
    assert search.final == {}


def test_recording_the_break_ends_the_search_as_found() -> None:
    way = make_searches.way(200, 300)
    search = begun(way)
    found = make.break_found(fault=way.fault, leg=way.legs[0])
    move_stations(
        fault=way.fault,
        stations=list(way.fault.stations.all()),
        to=Stage.FOUND,
        on=make.TODAY,
        by=make.user(Role.OWNER),
        at=LATER,
        today=make.TODAY,
    )
    search.refresh_from_db()
    assert (search.outcome, search.found) == (SearchOutcome.FOUND, found)


def test_giving_the_station_up_ends_the_search_and_keeps_its_likelihood() -> None:
    way = make_searches.way(200, 300)
    search = begun(way)
    move_stations(
        fault=way.fault,
        stations=list(way.fault.stations.all()),
        to=Stage.GIVEN_UP,
        on=make.TODAY,
        by=make.user(Role.OWNER),
        at=LATER,
        today=make.TODAY,
        why="under the new road",
    )
    search.refresh_from_db()
    assert search.outcome == SearchOutcome.GIVEN_UP
    assert set(search.final["legs"]) == {str(leg.pk) for leg in way.legs}


def test_the_plain_search_gives_the_same_belief_and_plan() -> None:
    way = make_searches.way(200, 300, 100, joints="su")
    search = begun(way, tools=["distance"])
    record(search, box_says(way, 1, controller_bad=False, valve_bad=True))
    rows = readings_of(search)
    state = state_of(search.fault, search.station, search, today=make.TODAY, rows=rows)
    plain = search_from(search_payload(way.fault, way.station, search, state, rows))
    assert state.belief is not None
    assert list(plain.belief.by_leg) == pytest.approx(list(state.belief.by_leg), abs=1e-12)
    assert plain.useful == state.tools


def test_an_own_number_counts_until_the_built_in_one_is_taken_again() -> None:
    built_in = assumed_now().tests.walk_ft_per_min
    set_number(name="walk_ft_per_min", value=180, source="our own records")
    assert assumed_now().tests.walk_ft_per_min == 180
    forget_number(name="walk_ft_per_min")
    assert assumed_now().tests.walk_ft_per_min == built_in


@pytest.mark.parametrize(
    ("name", "value", "source"),
    [
        ("walk_ft_per_min", 0.0, "a guess"),
        ("box_sensitivity", 1.2, "a guess"),
        ("p_output", 0.95, "a guess"),
        ("hazard_road", 0.0, "a guess"),
        ("walk_ft_per_min", 180.0, " "),
        ("luck", 1.0, "a guess"),
    ],
)
def test_a_number_that_cannot_be_is_refused(name: str, value: float, source: str) -> None:
    with pytest.raises(UnableToSetNumber):
        set_number(name=name, value=value, source=source)
    assert not SearchNumber.objects.exists()
