"""Each number, action and test has words; minutes and shares are rounded."""

from dataclasses import replace

import pytest

from faults.locating.engines.actions import WalkTone
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.why import why
from faults.locating.services.beliefs import Believed
from faults.locating.services.evidence import CAUSES
from faults.locating.services.number_words import number_words
from faults.locating.services.numbers import OF_GROUND, OF_TESTS
from faults.locating.services.said import said_words
from faults.locating.services.shown import next_lines, why_words
from faults.locating.services.states import state_of
from faults.locating.services.words import share_words
from tests import make, make_searches


@pytest.mark.parametrize("name", OF_TESTS + OF_GROUND)
def test_each_number_has_words(name: str) -> None:
    assert str(number_words(name).words) != name


@pytest.mark.parametrize(
    ("probability", "words"),
    [(0.001, "under 1 %"), (0.237, "about 20 %"), (0.99, "over 95 %")],
)
def test_nobody_reads_a_probability_to_a_tenth(probability: float, words: str) -> None:
    assert share_words(probability) == words


def believed_of(*lengths: float, joints: str = "", symptom: str = "open") -> Believed:
    way = make_searches.way(*lengths, joints=joints)
    way.fault.symptom = symptom
    way.fault.save()
    search = make_searches.search(
        fault=way.fault,
        station=way.station,
        tools=["distance", "clamp", "insulation", "gradient", "jumper"],
    )
    return state_of(way.fault, way.station, search, today=make.TODAY)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "symptom", ["open", "short", "leak to earth", "low voltage", "comes and goes"]
)
def test_each_action_is_told_with_its_reason_and_rounded_minutes(symptom: str) -> None:
    state = believed_of(200, 300, 150, joints="su", symptom=symptom)
    lines = next_lines(state, Stand())
    assert len(lines) > 3
    assert all(line.words and line.slug for line in lines)
    assert {line.total_min % 5 for line in lines} == {0}
    assert all("%(" not in line.words + line.why for line in lines)
    assert state.tools != Tools()


# Each part at an end: looked at, found right or wrong; replaced.
ENDS: tuple[tuple[str, dict[str, bool]], ...] = (
    ("check", {"is_right": True}),
    ("check", {"is_right": False}),
    ("mended", {}),
)


@pytest.mark.django_db
def test_each_kind_of_test_is_told_in_a_sentence() -> None:
    ground = believed_of(200, 300, joints="s").ground
    start, box, end = ground.points
    told = [
        said_words(said, ground)
        for said in (
            {"kind": "box", "point": box, "controller_bad": True, "valve_bad": None},
            {"kind": "insulation", "point": box, "controller_bad": False, "valve_bad": True},
            {"kind": "listened", "point": box, "heard": True},
            {"kind": "clamp", "point": box, "flows": False},
            {"kind": "tone walked", "point": start, "to_point": end, "conductor": "hot"},
            {"kind": "gradient walked", "point": start, "to_point": box},
            {"kind": "tone level", "third": "low", "from_valve": False},
            {"kind": "tone level", "level": 4, "at_transmitter": 0, "on_sound_wire": 9},
            {"kind": "distance", "feet": 212.0, "from_valve": True},
            {"kind": "gradient", "feet": 80.0},
            {"kind": "distance", "feet": 212.0, "from_valve": True, "is_farthest": True},
            {"kind": "volts", "point": box, "controller_bad": False, "valve_bad": True},
            {"kind": "volts", "point": box, "unloaded_bad": False},
            {"kind": "bypass", "leg": ground.legs[1], "works": True},
            {"kind": "bypass", "leg": ground.legs[1], "works": True, "stays": True},
            {"kind": "bypass", "leg": ground.legs[1], "works": False, "stays": True},
            *({"kind": kind, "check": check, **more} for kind, more in ENDS for check in CAUSES),
            {"kind": "spare", "works": True},
        )
    ]
    assert len(set(told)) == len(told)
    assert told[0].endswith("controller side bad, valve side not tested")
    assert "212 ft from the valve" in told[8]
    assert any(each.endswith("right before the splice, volts beyond it too low") for each in told)


@pytest.mark.django_db
@pytest.mark.parametrize(("times", "is_told"), [(0, False), (1, False), (2, True), (3, True)])
def test_a_way_walked_twice_for_nothing_says_why_it_is_walked_again(
    times: int, is_told: bool
) -> None:
    state = believed_of(200, 300, 150, joints="su", symptom="short")
    assert state.belief is not None
    option = Option(WalkTone(0, 1), 101.0, 6.0, finds=0.05)
    facts = replace(why(option, state.belief, Stand(), []), walked_in_vain=times)
    words = why_words(option, facts, state.ground, Stand())
    again = (
        f"Walked {times} times for nothing, yet once more finds it: about 5 %, in 5 min of the 100 "
        "to the end"
    )
    assert words.startswith(again) is is_told
