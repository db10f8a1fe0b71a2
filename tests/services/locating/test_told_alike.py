"""The page and the phone say the same of a search: findings, what each test did, and why."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import translation

from faults.locating.engines.plain import stand_from
from faults.locating.services.around import about
from faults.locating.services.finding_words import finding_lines
from faults.locating.services.shown import next_lines, tried_lines
from faults.locating.services.standing import stand_plain
from faults.locating.services.states import readings_of, state_of
from faults.models import KindOfTest, Search
from faults.sheet.forms.fields import length_unit
from faults.sheet.forms.search_step import search_step
from tests import make, make_searches
from tests.engines.locating.phone_scripts import script_runner

pytestmark = pytest.mark.django_db

# As `drawSearch` puts them together, less the elements of the page.
SAYS = """(engine, [step, one, stand, minutes, unit]) => {
  const now = { readings: one.plain.readings.map(
    (each) => ({ ...each, words: each.words ?? one.said[each.id] })), plain: one.plain };
  let options = [];
  try {
    options = engine.nextActions(one.plain, stand);
  } catch (error) {
    if (error.name !== "Contradiction") throw error;
  }
  const told = engine.tell(one.plain, stand);
  const { budget_min } = one;
  told.findings.push(...engine.pastBudget({ minutes, budget_min }));
  const length = (feet) => `${Math.round(feet / unit.factor)} ${unit.unit}`;
  const place = engine.placesOf(one.plain.line, one.names, stand, step.words, length);
  const at = { told, place, now, step, one };
  const facts = engine.reasons(one.plain, stand, options);
  const effects = engine.effectLines(at);
  return {
    findings: engine.findingLines(at),
    effects: now.readings.filter((each) => !each.is_record).map((each) => effects.get(each) ?? ""),
    whys: options.map((option, i) => engine.whyOf(option, facts[i], place)),
  };
}"""


@pytest.fixture(scope="module")
def phone() -> Any:
    """Call a JavaScript function on the scripts of engine and sheet, and a value."""
    return script_runner()


def both(phone: Any, search: Search, at_point: int, minutes: float) -> tuple[Any, Any]:
    """Return what the page and the phone say, from one of the line's points."""
    fault, station = search.fault, search.station
    now = search.started_at + timedelta(minutes=minutes)
    rows = readings_of(search)
    state = state_of(fault, station, search, today=make.TODAY, rows=rows)
    stand = stand_from({"at": state.ids.points[at_point]}, state.ids)
    step = search_step(fault, list(fault.stations.all()), make.TODAY, at=now)
    found = finding_lines(state, about(fault, search, at=now, stand=stand))
    tried = {line.row.pk: line for line in tried_lines(state, rows)}
    page = {
        "findings": [
            {"words": each.words, "is_grave": each.is_grave}
            for each in found
            # The sheet says these before all else.
            if each.words not in step["cautions"]
        ],
        "effects": sorted(_effect(line) for line in tried.values()),
        "whys": [line.why for line in next_lines(state, stand)],
    }
    (one,) = step["searches"]
    unit = length_unit(fault.property)
    said = phone(SAYS, [step, one, stand_plain(stand, state), minutes, unit])
    return page, said | {"effects": sorted(said["effects"])}


def _effect(line: Any) -> str:
    if not line.chance:
        return str(line.effect)
    surprising = " (surprising)" if line.is_surprise else ""
    return f"So likely it was: {line.chance}{surprising}. {line.effect}"


def searched(*said: dict[str, Any], symptom: str = "open", **given: Any) -> Search:
    """Make a search on a line of three boxes; a number stands for a point or leg by its place."""
    way = make_searches.way(120, 180, 90.5, 150, joints="suu", **given)
    way.fault.symptom = symptom
    way.fault.save()
    search = make_searches.search(
        fault=way.fault,
        station=way.station,
        wire=way.wire,
        tools=["distance", "clamp", "insulation", "gradient", "jumper"],
    )
    for minute, each in enumerate(said):
        made = dict(each)
        for name, rows in (("point", way.points), ("to_point", way.points), ("leg", way.legs)):
            if name in made:
                made[name] = rows[made[name]].pk
        make_searches.search_reading(
            search=search,
            kind=KindOfTest(made["kind"]),
            said=made,
            taken_at=make.NOW + timedelta(minutes=minute),
        )
    return search


def box(point: int, controller_bad: bool, valve_bad: bool) -> dict[str, Any]:
    sides = {"controller_bad": controller_bad, "valve_bad": valve_bad}
    return {"kind": "box", "point": point, **sides}


def walk(point: int, to_point: int) -> dict[str, Any]:
    return {"kind": "tone walked", "point": point, "to_point": to_point, "conductor": "hot"}


CASES: dict[str, tuple[dict[str, Any], ...]] = {
    "nothing tested": (),
    "a part of a look at the valve": ({"kind": "check", "check": "coil", "is_right": True},),
    "both parts of a look": (
        {"kind": "check", "check": "output", "is_right": True},
        {"kind": "check", "check": "common", "is_right": False},
    ),
    "both sides bad": (box(2, True, True),),
    "both sides good": (box(2, False, False),),
    "in tension": (box(1, False, True), box(1, True, False), box(3, True, False)),
    "walked for nothing": (walk(0, 4), walk(4, 0), walk(0, 2), walk(0, 2)),
    "distances": (
        {"kind": "distance", "feet": 500.0, "from_valve": False},
        {"kind": "distance", "feet": 400.0, "from_valve": True},
    ),
    "mended and still dead": (
        box(2, True, False),
        {"kind": "mended", "check": "coil"},
    ),
    "a jumper works": ({"kind": "bypass", "leg": 1, "works": True},) * 2,
    "one of two coils": ({"kind": "check", "check": "coil", "is_right": False, "by_ohms": True},),
    "seen and heard": (
        {"kind": "looked", "point": 1, "joint": "spliced", "wear": "corroded"},
        {"kind": "looked", "point": 2, "joint": "passes uncut", "wear": None},
        {"kind": "listened", "point": 2, "heard": True},
    ),
}


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("symptom", ["open", "short"])
def test_page_and_phone_say_the_same(phone: Any, name: str, symptom: str) -> None:
    search = searched(*CASES[name], symptom=symptom)
    for at_point in (0, 3):
        page, said = both(phone, search, at_point, 30.0)
        assert said == page
        assert all(page["whys"]) or len(page["whys"]) > 3
        assert "%(" not in str(page)


def test_in_metres_and_in_spanish_too(phone: Any) -> None:
    search = searched(*CASES["distances"], *CASES["walked for nothing"])
    place = search.fault.property
    place.units = "metric"
    place.save()
    page, said = both(phone, search, 0, 30.0)
    assert said == page
    assert any(" m" in each["words"] for each in page["findings"])
    with translation.override("es"):
        step = search_step(search.fault, list(search.fault.stations.all()), make.TODAY, at=make.NOW)
    assert "falla" in step["telling"]["templates"]["readings in tension"][0]
