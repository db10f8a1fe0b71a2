"""The phone's engine answers as the server's does, without a browser: differences shrink.

The scripts run in an interpreter in this process, on lines of few boxes. Chromium itself runs them
in tests/browser/locating/test_phone_engine.py, on lines of up to twelve.
"""

from dataclasses import asdict

import numpy as np
import pytest
from hypothesis import given, settings

from faults.locating.engines.assumptions import Assumptions, most_of
from faults.locating.engines.hearing import MOST_HEARD
from faults.locating.engines.line import Leg
from faults.locating.engines.plain import assumed_plain
from faults.locating.engines.shortened import MOST_LEGS
from faults.locating.engines.summary import BANDS, band
from faults.locating.services.shown import rounded
from tests.engines.locating.phone_alike import (
    Plain,
    by_python,
    same_belief,
    same_plan,
    same_telling,
    told_by_python,
)
from tests.engines.locating.phone_scripts import ANSWER, TELLING, script_runner
from tests.engines.locating.phone_searches import (
    random_search,
    random_stand,
    searches_and_stands,
)
from tests.examples import examples

MOST_BOXES = 6


@pytest.fixture(scope="module")
def phone():
    """Call a JavaScript function on the engine and a value."""
    return script_runner()


# One difference at a time: making each small takes some ten seconds.
@settings(max_examples=examples(50), report_multiple_bugs=False)
@given(searches_and_stands(MOST_BOXES))
def test_drawn_searches_are_answered_alike(phone, case: tuple[Plain, Plain]) -> None:
    search, stand = case
    python, from_phone = by_python(search, stand), phone(ANSWER, [search, stand])
    assert from_phone.get("error") == python.get("error"), from_phone
    if "error" not in python:
        same_belief(python, from_phone)
        same_plan(python, from_phone)
    # What contradicts itself is told of too; what cannot be searched at all is not.
    if python.get("error") in (None, "Contradiction"):
        same_telling(told_by_python(search, stand), phone(TELLING, [search, stand]))


def test_marks_that_cannot_be_are_refused_in_dry_soil_as_well(phone) -> None:
    line = {"points": [1, 2], "legs": [{"id": 1, **asdict(Leg("leg", 100.0))}], "boxes": []}
    marks = {"level": 5.0, "at_transmitter": 8.0, "on_sound_wire": 8.0}
    said = {"kind": "tone level", "from_valve": False, **marks}
    search = {"symptom": "open", "line": line, "soil_is_dry": True, "readings": [said]}
    assert by_python(search, {"at": 1})["error"] == "UnusableReading"
    assert phone(ANSWER, [search, {"at": 1}])["error"] == "UnusableReading"


@pytest.mark.parametrize("seed", [4, 5])
def test_a_long_line_is_answered_alike_though_fewer_actions_are_priced(phone, seed: int) -> None:
    rng = np.random.default_rng(seed)
    search = random_search(rng, 24) | {"assumed": {}, "readings": []}
    for box in search["line"]["boxes"]:
        box["joint"] = "passes uncut"
    stand = {"at": search["line"]["points"][3]}
    python, from_phone = by_python(search, stand), phone(ANSWER, [search, stand])
    same_plan(python, from_phone)
    actions = [option["action"]["action"] for option in python["options"]]
    assert actions.count("listen") == MOST_HEARD < 24


@pytest.mark.parametrize("seed", [1, 3])
def test_a_line_that_is_priced_on_fewer_legs_is_answered_alike(phone, seed: int) -> None:
    rng = np.random.default_rng(seed)
    search = random_search(rng, int(rng.integers(MOST_LEGS, 60))) | {"assumed": {}}
    stand = random_stand(rng, search)
    python, from_phone = by_python(search, stand), phone(ANSWER, [search, stand])
    assert from_phone.get("error") == python.get("error"), from_phone
    if "error" not in python:
        same_belief(python, from_phone)
        same_plan(python, from_phone)


NUMBERS = assumed_plain(Assumptions())
# Beside, at and beyond the least and the most that each number may be.
LIMITS = [
    (name, number)
    for name in NUMBERS
    for most in (most_of(name),)
    for number in (-1e-9, 0.0, np.nextafter(most, 0), most, np.nextafter(most, np.inf), most + 1)
]


def test_each_number_is_refused_beyond_the_same_limits(phone) -> None:
    line = {"points": [1, 2], "legs": [{"id": 1, **asdict(Leg("leg", 100.0))}], "boxes": []}
    search = {"symptom": "open", "line": line, "readings": []}
    searches = [{**search, "assumed": {name: float(number)}} for name, number in LIMITS]
    theirs = phone(
        f"(engine, searches) => searches.map((each) => ({ANSWER})(engine, [each, {{ at: 1 }}]))",
        searches,
    )
    refused = 0
    for each, answer in zip(searches, theirs, strict=True):
        ours = by_python(each, {"at": 1})
        assert answer.get("error") == ours.get("error"), (each["assumed"], answer, ours)
        refused += ours.get("error") == "UnusableAssumptions"
    # One number too small and two too great at least, and never those inside.
    assert 3 * len(NUMBERS) <= refused < len(LIMITS) - len(NUMBERS)


@pytest.mark.parametrize("edge", [0.0, *BANDS, 1.0])
def test_shares_are_shown_alike(phone, edge: float) -> None:
    shares = [
        share
        for middle in (edge, edge / 2, *((edge + other) / 2 for other in (*BANDS, 1.0)))
        for share in (np.nextafter(middle, 0), middle, np.nextafter(middle, 1))
    ]
    shown = phone("(engine, shares) => shares.map(engine.band)", shares)
    assert shown == [band(share) for share in shares]


def test_minutes_are_shown_alike(phone) -> None:
    minutes = [half * 2.5 + off for half in range(9) for off in (0.0, 1e-9, -1e-9)]
    shown = phone("(engine, minutes) => minutes.map(engine.rounded)", minutes)
    assert shown == [rounded(each) for each in minutes]
    assert [rounded(each) for each in (7.4, 7.5, 12.4, 12.5)] == [5, 10, 10, 15]
