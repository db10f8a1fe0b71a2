"""Where the tone is fed is remembered: a walk from there takes no new set-up."""

from typing import Any

import pytest

from faults.locating.engines import actions
from faults.locating.engines.belief import Conductor
from faults.locating.engines.options import Stand
from faults.locating.services.shown import next_lines
from faults.locating.services.standing import last_stand, with_tone
from faults.locating.services.states import state_of
from faults.models import KindOfTest, Search
from faults.sheet.forms.search_step import search_step
from tests import make, make_searches
from tests.make_searches import Way

pytestmark = pytest.mark.django_db


@pytest.fixture
def way() -> Way:
    return make_searches.way(200, 300, 100)


@pytest.fixture
def search(way: Way) -> Search:
    return make_searches.search(fault=way.fault, station=way.station, wire=way.wire)


def walked(search: Search, way: Way, **said: Any) -> None:
    start, end = way.points[1].pk, way.points[2].pk
    told = {"kind": "tone walked", "point": start, "to_point": end, **said}
    make_searches.search_reading(search=search, kind=KindOfTest.TONE_WALKED, said=told)


def stood(search: Search) -> Stand:
    return last_stand(state_of(search.fault, search.station, search, today=make.TODAY))


def test_nothing_was_fed_before_the_first_walk(search: Search) -> None:
    assert stood(search) == Stand()


@pytest.mark.parametrize("fed", [0, 1, 3])
@pytest.mark.parametrize(("word", "on"), [("hot", Conductor.HOT), ("common", Conductor.COMMON)])
def test_the_tone_stays_where_it_was_fed(
    search: Search, way: Way, fed: int, word: str, on: Conductor
) -> None:
    walked(search, way, fed_at=way.points[0].pk)
    walked(search, way, fed_at=way.points[fed].pk, conductor=word)
    assert stood(search) == Stand(at=2, tone_from=fed, tone_on=on)
    (plain,) = search_step(way.fault, list(way.fault.stations.all()), make.TODAY, at=make.NOW)[
        "searches"
    ]
    told = {"at": way.points[2].pk, "open_box": None, "tone_on": word}
    assert plain["stand"] == {**told, "tone_from": way.points[fed].pk}


@pytest.mark.parametrize("said", [{}, {"fed_at": 999_999_999}, {"fed_at": "here"}])
def test_a_walk_that_does_not_say_where_leaves_it_unknown(
    search: Search, way: Way, said: dict[str, Any]
) -> None:
    walked(search, way, fed_at=way.points[0].pk)
    walked(search, way, **said)
    assert stood(search).tone_from is None


@pytest.mark.parametrize(("from_valve", "point"), [(False, 0), (True, 3)])
def test_a_level_is_read_with_the_tone_at_its_end(
    search: Search, way: Way, from_valve: bool, point: int
) -> None:
    walked(search, way, fed_at=way.points[1].pk)
    said = {"kind": "tone level", "third": "low", "from_valve": from_valve}
    make_searches.search_reading(search=search, kind=KindOfTest.TONE_LEVEL, said=said)
    assert stood(search).tone_from == point


def test_a_walk_from_there_is_cheaper_by_the_set_up_and_the_way(search: Search, way: Way) -> None:
    walked(search, way, fed_at=way.points[0].pk)
    state = state_of(search.fault, search.station, search, today=make.TODAY)
    here = Stand(at=1)

    def own_min(stand: Stand) -> float:
        (same,) = {
            option.own_min
            for option in state.options(stand)
            if option.action == actions.WalkTone(1, 0)
        }
        return same

    # 200 ft to the controller and back at 250 ft a minute, and 8 minutes to set up: by hand.
    saved = own_min(here) - own_min(with_tone(here, state))
    assert saved == pytest.approx(8 + 400 / 250)


def test_the_link_to_the_form_carries_where_the_tone_is_fed(search: Search) -> None:
    state = state_of(search.fault, search.station, search, today=make.TODAY)
    walks = [line for line in next_lines(state, stood(search)) if line.slug == "tone-walked"]
    assert walks
    assert all("fed_at=" in line.query for line in walks)


@pytest.mark.parametrize(
    ("kind", "said", "at"),
    [
        (KindOfTest.CHECK, {"kind": "check", "check": "coil", "is_right": True}, 3),
        (KindOfTest.CHECK, {"kind": "check", "check": "output", "is_right": True}, 0),
        (KindOfTest.MENDED, {"kind": "mended", "check": "valve splice"}, 3),
        (KindOfTest.DISTANCE, {"kind": "distance", "feet": 90.0, "from_valve": True}, 3),
        (KindOfTest.DISTANCE, {"kind": "distance", "feet": 90.0}, 0),
        (KindOfTest.TONE_LEVEL, {"kind": "tone level", "third": "low", "from_valve": True}, 3),
    ],
)
def test_one_stands_where_the_last_test_was_made(
    search: Search, way: Way, kind: KindOfTest, said: dict[str, Any], at: int
) -> None:
    walked(search, way)
    make_searches.search_reading(search=search, kind=kind, said=said)
    assert stood(search).at == at


def test_a_jumper_leaves_one_at_the_far_end_of_its_leg(search: Search, way: Way) -> None:
    said = {"kind": "bypass", "leg": way.legs[1].pk, "works": False}
    make_searches.search_reading(search=search, kind=KindOfTest.BYPASS, said=said)
    assert stood(search).at == 2


def test_a_spare_that_was_tried_leaves_one_where_one_was(search: Search, way: Way) -> None:
    walked(search, way)
    said = {"kind": "spare", "works": False}
    make_searches.search_reading(search=search, kind=KindOfTest.SPARE, said=said)
    assert stood(search).at == 2


@pytest.mark.parametrize(
    ("kind", "said", "fed"),
    [
        (KindOfTest.LISTENED, {"heard": True}, 0),
        (KindOfTest.CLAMP, {"flows": True}, None),
        (KindOfTest.VOLTS, {"controller_bad": False, "valve_bad": True}, None),
        (KindOfTest.LOOKED, {"joint": "spliced"}, None),
    ],
)
def test_a_box_stays_open_after_whatever_was_done_in_it(
    search: Search, way: Way, kind: KindOfTest, said: dict[str, Any], fed: int | None
) -> None:
    told = {"kind": kind.value, "point": way.points[1].pk, **said}
    make_searches.search_reading(search=search, kind=kind, said=told)
    # What is listened for is fed at the controller.
    assert stood(search) == Stand(at=1, open_box=1, tone_from=fed)


@pytest.mark.parametrize(
    ("kind", "said", "stand"),
    [
        # Ohms are read at the controller, a coil is looked at at the valve.
        (KindOfTest.OHMS, {"ohms": "open"}, Stand(0)),
        (KindOfTest.CHECK, {"check": "coil", "is_right": False, "by_ohms": True}, Stand(0)),
        (KindOfTest.CHECK, {"check": "coil", "is_right": False}, Stand(3)),
        # A proof feeds the tone at the valve and ends at the controller.
        (KindOfTest.CHECK, {"check": "wire", "is_right": True}, Stand(0, tone_from=3)),
    ],
)
def test_one_stands_where_the_last_test_was_read(
    search: Search, way: Way, kind: KindOfTest, said: dict[str, Any], stand: Stand
) -> None:
    walked(search, way)
    told = {"kind": kind.value, **said}
    make_searches.search_reading(search=search, kind=kind, said=told)
    assert stood(search) == stand
