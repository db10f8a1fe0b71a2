"""The phone's engine answers as the server's does: belief, order of actions and minutes."""

import gzip
import os
from collections import Counter
from collections.abc import Callable
from copy import deepcopy
from typing import Any

import numpy as np
import pytest
from django.templatetags.static import static
from django.urls import reverse
from playwright.sync_api import Page

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.plain import ENGINE_VERSION, assumed_plain
from faults.locating.engines.plain_words import ACTIONS, READINGS
from faults.locating.services.payload import search_payload
from faults.locating.services.states import readings_of, state_of
from faults.models import KindOfTest
from tests import make, make_searches
from tests.browser.locating.phone import FOLDER, answers, open_engine, start
from tests.engines.locating.phone_alike import (
    by_python,
    same_belief,
    same_plan,
    same_telling,
    told_by_python,
)
from tests.engines.locating.phone_searches import random_search, random_stand

pytestmark = pytest.mark.service

Plain = dict[str, Any]
SEED, MOST_BOXES = 20260128, 12
# A sample for each check, on long lines too: tests/engines/locating/test_phone_alike.py compares
# without a browser, on shorter lines. `.ci/long searches` compares a thousand here.
SEARCHES = int(os.environ.get("PHONE_SEARCHES", "60"))
# Fetched when a search is opened, after the first view of the sheet.
WEIGHT_BYTES = 46_000
# Fetched after those, for what is told beside the plan: findings, what each test did, and why.
TELLING = ("reasons", "telling", "telling_data", "tension")
TELLING_BYTES = 8_500


@pytest.fixture
def phone(page: Page) -> Page:
    """A page on which the engine's scripts can be imported."""
    open_engine(page)
    return page


def cases() -> list[tuple[Plain, Plain]]:
    """Return random searches and stands; short lines are more frequent, being cheap."""
    rng = np.random.default_rng(SEED)
    made = []
    for _ in range(SEARCHES):
        search = random_search(rng, int(rng.integers(0, MOST_BOXES + 1, 2).min()))
        made.append((search, random_stand(rng, search)))
    return made


def a_search() -> Plain:
    """Return one search without readings on a line of two boxes."""
    search = random_search(np.random.default_rng(3), 2)
    for leg in search["line"]["legs"]:
        leg.update(length_ft=200.0, hazard_factor=1.0)
    return {**search, "assumed": {}, "readings": [], "neighbours": []}


def test_random_searches_are_answered_alike(phone: Page) -> None:
    asked = cases()
    start(phone, asked)
    expected = [by_python(*case) for case in asked]
    told: Counter[str] = Counter()
    for case, python, from_phone in zip(asked, expected, answers(phone), strict=True):
        assert from_phone.get("error") == python.get("error"), (python, from_phone)
        if python.get("error") in (None, "Contradiction"):
            same_telling(told_by_python(*case), from_phone["told"])
        if "error" in python:
            told[python["error"]] += 1
            continue
        same_belief(python, from_phone)
        same_plan(python, from_phone)
        told.update({option["action"]["action"] for option in python["options"]})
    # Nothing counts as equal that was never compared.
    said = {reading["kind"] for search, _ in asked for reading in search["readings"]}
    assert said == {kind.tag for kind in READINGS}
    assert set(told) == {kind.tag for kind in ACTIONS} | {"Contradiction"}
    assert min(told.values()) >= SEARCHES // 200, told


def test_version_and_defaults_are_those_of_the_server(phone: Page) -> None:
    version = phone.evaluate("async () => (await import('/index.js')).ENGINE_VERSION")
    assert version == ENGINE_VERSION
    defaults = phone.evaluate("async () => (await import('/assumptions.js')).DEFAULTS")
    assert defaults == assumed_plain(Assumptions())


def _first_leg(**values: object) -> Callable[[Plain], None]:
    return lambda search: search["line"]["legs"][0].update(values)


def _all_legs(**values: object) -> Callable[[Plain], None]:
    def spoil(search: Plain) -> None:
        for leg in search["line"]["legs"]:
            leg.update(values)

    return spoil


def _reads(**said: object) -> Callable[[Plain], None]:
    return lambda search: search["readings"].append(said)


def _assumes(**assumed: float) -> Callable[[Plain], None]:
    return lambda search: search["assumed"].update(assumed)


def _contradicts(search: Plain) -> None:
    search["assumed"] = {"check_specificity": 1.0, "p_water": 0.0, "box_specificity": 1.0}
    search["readings"] = [{"kind": "check", "check": "water", "is_right": False}]


@pytest.mark.parametrize(
    ("spoil", "name"),
    [
        (_first_leg(length_ft=-1.0), "UnusableLine"),
        (_first_leg(years=-1.0), "UnusableLine"),
        (_all_legs(length_ft=0.0), "UnusableLine"),
        (lambda search: search["line"]["boxes"].pop(), "UnusableLine"),
        (lambda search: search["line"].update(legs=[], boxes=[], points=[]), "UnusableLine"),
        (lambda search: search["line"]["boxes"][0].update(open_min=0.0), "UnusableLine"),
        (
            lambda search: search["neighbours"].append({"works": True, "shares": [9]}),
            "UnusableLine",
        ),
        (lambda search: search["line"]["points"].append(99), "UnusablePlain"),
        (lambda search: search["line"]["boxes"][0].update(joint="soldered"), "UnusablePlain"),
        (lambda search: search.update(symptom="odd"), "UnusablePlain"),
        (_reads(kind="guess"), "UnusablePlain"),
        (_reads(kind="listened", point=1, heard=True), "UnusablePlain"),
        (_reads(kind="listened", point=700, heard=True), "UnusablePlain"),
        (_reads(kind="listened", point=703), "UnusablePlain"),
        (_reads(kind="clamp", point=703, flows="yes"), "UnusablePlain"),
        (_reads(kind="bypass", leg=1, works=True), "UnusablePlain"),
        (_reads(kind="distance", feet="far"), "UnusablePlain"),
        (_reads(kind="distance", feet=9.0, sd_ft=-1.0), "UnusableReading"),
        (
            _reads(kind="tone level", level=5.0, at_transmitter=8.0, on_sound_wire=8.0),
            "UnusableReading",
        ),
        (_assumes(box_sensitivity=0.2, box_specificity=0.3), "UnusableAssumptions"),
        (_assumes(p_coil=0.95), "UnusableAssumptions"),
        (_assumes(tone_detects=0.0), "UnusableAssumptions"),
        (_assumes(walk_ft_per_min=0.0), "UnusableAssumptions"),
        (_contradicts, "Contradiction"),
    ],
)
def test_what_cannot_be_searched_is_refused_by_the_same_name(
    phone: Page, spoil: Callable[[Plain], None], name: str
) -> None:
    search = a_search()
    stand = {"at": search["line"]["points"][0]}
    before = deepcopy(search)
    spoil(search)
    start(phone, [(before, stand), (search, stand)])
    fine, refused = answers(phone)
    assert "error" not in fine
    assert by_python(search, stand)["error"] == name
    assert refused["error"] == name, refused
    assert refused["words"]


def test_a_technician_who_stands_elsewhere_is_refused(phone: Page) -> None:
    search = a_search()
    start(phone, [(search, {"at": 1})])
    assert [each["error"] for each in answers(phone)] == ["UnusablePlain"]
    assert by_python(search, {"at": 1})["error"] == "UnusablePlain"


@pytest.mark.django_db
def test_a_search_of_the_register_is_answered_alike(phone: Page) -> None:
    way = make_searches.way(200, 300, 100, joints="su")
    search = make_searches.search(fault=way.fault, station=way.station, wire=way.wire)
    said = {"kind": "box", "point": way.points[1].pk, "controller_bad": False, "valve_bad": True}
    make_searches.search_reading(search=search, kind=KindOfTest.BOX, said=said)
    rows = readings_of(search)
    state = state_of(way.fault, way.station, search, today=make.TODAY, rows=rows)
    payload = search_payload(way.fault, way.station, search, state, rows)
    stand = {"at": way.points[1].pk, "open_box": way.points[1].pk}
    start(phone, [(payload, stand)])
    expected = by_python(payload, stand)
    assert expected["options"]
    same_belief(expected, answers(phone)[0])
    same_plan(expected, answers(phone)[0])


def test_the_scripts_are_light() -> None:
    weights = {path.stem: len(gzip.compress(path.read_bytes())) for path in FOLDER.glob("*.js")}
    assert sum(weights[name] for name in TELLING) < TELLING_BYTES
    assert sum(w for name, w in weights.items() if name not in ("types", *TELLING)) < WEIGHT_BYTES


def test_scripts_import_each_other_by_hashed_names(page: Page, site_url: str) -> None:
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(site_url + reverse("sites:sign_in"))
    index = static("faults/locating/index.js")
    # The sheet itself imports what refuses a distance off the wire, and what tells: the engine
    # waits for neither.
    apart = ("types", "off_the_wire", *TELLING)
    scripts = [path.name for path in FOLDER.glob("*.js") if path.stem not in apart]
    names = page.evaluate("async (url) => Object.keys(await import(url))", index)
    assert {"beliefOf", "nextActions", "Contradiction", "UnusableLine"} <= set(names)
    wanted = {site_url + static(f"faults/locating/{name}") for name in scripts}
    assert {each for each in asked if "/faults/locating/" in each} == wanted


def test_a_plan_is_worked_out_again_when_anything_of_the_search_changes(page: Page) -> None:
    open_engine(page)
    search = a_search()
    split = deepcopy(search)
    split["line"]["legs"][0]["length_ft"] /= 2
    numbers = {**search, "assumed": {"walk_ft_per_min": 20.0}}
    stand = random_stand(np.random.default_rng(3), search)
    first, again, after, slow = page.evaluate(
        """async ([searches, stand]) => {
          const plan = await import("/sheet/plan.js");
          await new Promise((then) => plan.load(then));
          return searches.map((each) => {
            const found = plan.planFor(each, stand);
            return [...found.belief.legs, ...found.options.map((option) => option.minutes)];
          });
        }""",
        [[search, search, split, numbers], stand],
    )
    assert first == again
    assert first != after
    assert first != slow
