"""Plain values of a search: what is written reads back as the same, and nonsense is named."""

import json
from typing import Any

import pytest
from hypothesis import given, settings

from faults.locating.engines import actions
from faults.locating.engines.assumptions import Assumptions, UnusableAssumptions
from faults.locating.engines.belief import Conductor, Neighbour
from faults.locating.engines.evidence import Reading, UnusableReading
from faults.locating.engines.line import Box, Joint, Leg, Line, UnusableLine
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.plain import (
    assumed_from,
    assumed_plain,
    line_from,
    line_plain,
    neighbour_from,
    neighbour_plain,
    option_plain,
    reading_from,
    stand_from,
    tools_from,
    tools_plain,
)
from faults.locating.engines.plain_search import search_from
from faults.locating.engines.plain_values import Ids, UnusablePlain
from faults.locating.engines.plain_words import ACTIONS, READINGS, STAND, read_tagged, write_tagged
from tests.engines.locating.readings import readings

IDS = Ids((70, 11, 12, 13, 71), (5, 6, 7, 8))
LINE = Line(
    tuple(Leg(f"leg {i}", ft, faults=i) for i, ft in enumerate((120.0, 0.0, 340.0, 75.0))),
    (Box("north"), Box("oak", Joint.UNCUT, 7.5), Box("gate", Joint.NOT_KNOWN)),
)


def through_json(value: object) -> Any:
    return json.loads(json.dumps(value))


def test_a_line_reads_back_as_it_was_written() -> None:
    read = line_from(through_json(line_plain(LINE, IDS)))
    assert read.line == LINE
    assert read.ids == IDS


@given(readings(LINE))
def test_every_kind_of_reading_reads_back_as_it_was_written(reading: Reading) -> None:
    soil_is_dry = getattr(reading, "soil_is_dry", False)
    plain = through_json(write_tagged(READINGS, reading, IDS, "kind"))
    assert reading_from(plain, IDS, soil_is_dry=soil_is_dry) == reading


def test_the_readings_that_are_tried_are_all_kinds_there_are() -> None:
    seen = set()

    @settings(max_examples=400, database=None)
    @given(readings(LINE))
    def collect(reading: Reading) -> None:
        seen.add(type(reading))

    collect()
    assert seen == {kind.made for kind in READINGS}


ALL_ACTIONS = (
    actions.OpenBox(1),
    actions.CutBox(2),
    actions.ListenAt(3),
    actions.WalkTone(0, 4),
    actions.WalkTone(3, 1, Conductor.COMMON, fed_at=4),
    actions.ReadDistance(from_valve=True),
    actions.ReadOhms(),
    actions.CheckController(),
    actions.CheckValve(),
    actions.ProveWire(),
    actions.MoveToSpare(),
    actions.ClampAt(1),
    actions.VoltsAt(3),
    actions.MeasureInsulation(2),
    actions.WalkGradient(4, 0),
    actions.BypassLeg(3),
    actions.OpenGround(1, 37.5),
    actions.RenewLeg(2),
    actions.RenewLeg(1, Conductor.COMMON),
)


@pytest.mark.parametrize("action", ALL_ACTIONS)
def test_every_action_and_its_figures_read_back_as_written(action: actions.Action) -> None:
    option = Option(action, 31.5, 12.25, before=0.4, beyond=0.5, finds=0.1)
    written = through_json(option_plain(option, IDS))
    assert read_tagged(ACTIONS, written.pop("action"), IDS, "action", {}) == action
    assert Option(action, **written) == option


def test_the_actions_that_are_tried_are_all_that_have_a_name() -> None:
    assert {type(each) for each in ALL_ACTIONS} == {kind.made for kind in ACTIONS}


def test_numbers_tools_neighbours_and_the_stand_read_back_as_written() -> None:
    assumed = Assumptions(p_coil=0.2, tone_detects=0.8)
    assert assumed_from(through_json(assumed_plain(assumed))) == assumed
    assert assumed_from({}) == Assumptions()
    for tools in (Tools(), Tools(spare_min=40.0, clamp=True, may_cut=False)):
        assert tools_from(through_json(tools_plain(tools))) == tools
    near = Neighbour(works=True, shares=frozenset({0, 2}), common=frozenset({0}))
    for neighbour in (near, Neighbour(works=False, is_on_ours=False)):
        assert neighbour_from(through_json(neighbour_plain(neighbour))) == neighbour
    for stand in (Stand(), Stand(2, 2, 0, Conductor.COMMON)):
        assert stand_from(through_json(STAND.write(stand, IDS)), IDS) == stand


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"kind": "dowsing"}, r"one of box, .* as kind, got 'dowsing'"),
        ({}, r"as kind, got nothing"),
        ([], r"named values as kind"),
        ({"kind": "box", "point": 99, "controller_bad": True}, r"point of this wire .* got 99"),
        ({"kind": "box", "point": 70}, r"a box of this wire as point, got an end of it, 70"),
        ({"kind": "box", "point": True}, r"point of this wire as point, got True"),
        ({"kind": "box", "point": [11]}, r"point of this wire as point"),
        ({"kind": "box", "point": 11, "valve_bad": "yes"}, r"true or false as valve_bad"),
        ({"kind": "listened", "point": 11}, r"heard in listened, got nothing"),
        ({"kind": "distance", "feet": "far"}, r"number as feet, got 'far'"),
        ({"kind": "distance", "feet": float("nan")}, r"number as feet"),
        ({"kind": "distance", "feet": True}, r"number as feet, got True"),
        ({"kind": "bypass", "leg": 11, "works": True}, r"leg of this wire as leg, got 11"),
        ({"kind": "check", "check": "mood", "is_right": True}, r"output, common, coil, water"),
        ({"kind": "tone level", "third": "loud"}, r"one of low, middle, top as third"),
        ({"kind": "tone level"}, r"level in tone level, got nothing"),
        (
            {"kind": "tone walked", "point": 11, "to_point": 12, "conductor": "blue"},
            r"one of hot, common, bundle as conductor",
        ),
    ],
)
def test_a_reading_that_makes_no_sense_is_refused_with_what_was_expected(
    said: object, words: str
) -> None:
    with pytest.raises(UnusablePlain, match=words):
        reading_from(said, IDS)


def test_marks_that_do_not_differ_are_refused_by_the_reading_itself() -> None:
    said = {"kind": "tone level", "level": 3, "at_transmitter": 5, "on_sound_wire": 5}
    with pytest.raises(UnusableReading, match="two marks that differ"):
        reading_from(said, IDS)


@pytest.mark.parametrize(
    ("change", "error", "words"),
    [
        ({"points": [70, 11, 71]}, UnusablePlain, "Expected 5 points"),
        ({"points": [70, 11, 11, 13, 71]}, UnusablePlain, "each point once"),
        ({"points": None}, UnusablePlain, "a list as points, got nothing"),
        ({"legs": [{"id": 5, "name": "a", "length_ft": -1}]}, UnusableLine, "on leg a, got -1"),
        ({"legs": [{"id": 5, "length_ft": 3}]}, UnusablePlain, "text as name of a leg"),
        ({"boxes": []}, UnusableLine, "a box between each two legs"),
    ],
)
def test_a_line_that_makes_no_sense_is_refused(
    change: dict[str, object], error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        line_from({**line_plain(LINE, IDS), **change})


def test_unknown_names_and_numbers_out_of_range_are_refused() -> None:
    with pytest.raises(UnusablePlain, match="known name in assumed, got 'luck'"):
        assumed_from({"luck": 1})
    with pytest.raises(UnusableAssumptions, match="p_coil <= 1"):
        assumed_from({"p_coil": 3})
    with pytest.raises(UnusablePlain, match="spare_min >= 0"):
        tools_from({"spare_min": -4})
    with pytest.raises(UnusablePlain, match="list of whole numbers as shares"):
        neighbour_from({"works": True, "shares": ["a"]})
    with pytest.raises(UnusableLine, match="shared with a neighbour, got 9"):
        _ = search_from(search(neighbours=[{"works": True, "shares": [9], "common": []}])).before


def search(**change: object) -> dict[str, object]:
    return {
        "id": "0b9d6f60-0000-4000-8000-000000000001",
        "symptom": "open",
        "line": line_plain(LINE, IDS),
        "neighbours": [{"works": True, "shares": [0], "common": [0]}],
        "assumed": assumed_plain(Assumptions()),
        "tools": tools_plain(Tools(spare_min=60.0)),
        "soil_is_dry": False,
        "readings": [
            {"id": "a", "by": "Kim", "voided": False, "kind": "distance", "feet": 200},
            {"id": "b", "by": "Kim", "voided": True, "kind": "distance", "feet": 20},
        ],
        **change,
    }


def test_a_whole_search_is_read_and_planned_and_voided_readings_do_not_count() -> None:
    read = search_from(through_json(search()))
    assert len(read.readings) == 1
    assert read.belief.total == pytest.approx(1)
    assert read.plan(Stand())[0].minutes > 0


def test_dry_soil_and_the_symptom_reach_the_readings_and_numbers_of_a_search() -> None:
    said = [{"kind": "tone level", "third": "low"}]
    dry = search_from(search(soil_is_dry=True, symptom="leak", readings=said))
    assert dry.belief.by_leg == pytest.approx(dry.begun.belief.by_leg)
    wet = search_from(search(readings=said))
    assert wet.belief.by_leg[0] > wet.begun.belief.by_leg[0]
    assert dry.adapted.box_sensitivity < dry.assumed.box_sensitivity
    with pytest.raises(UnusablePlain, match="as symptom, got 'odd'"):
        search_from(search(symptom="odd"))
