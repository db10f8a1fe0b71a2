"""The lines of a search's page: what to do next and why, and what each test said and did."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from faults.locating.engines import actions
from faults.locating.engines.belief import Conductor
from faults.locating.engines.options import Option, Stand
from faults.locating.engines.why import Why, why
from faults.locating.services.beliefs import Believed
from faults.locating.services.line import SearchGround
from faults.locating.services.reason_words import reason_words
from faults.locating.services.said import said_words
from faults.locating.services.words import (
    action_words,
    effect_templates,
    effect_words,
    length_words,
    share_words,
)
from faults.models import SearchReading
from sites.cells.engines.units import FT_PER_M
from sites.models import Units

WORTH_SAYING = 0.1
# Walked so often for nothing, a way is walked once more for a reason of its own.
MOST_WALKED = 2
ROUNDED_MIN = 5
# A result less likely than this is called surprising.
SURPRISE = 0.05
# Kinds of tests whose results have no chance to be told.
NO_CHANCE = ("distance", "gradient", "tone level", "mended")


@dataclass(frozen=True)
class NextLine:
    """One action: what to do, why, its own minutes from here, and those to the end if it is first.

    `slug` and `query` lead to the form that records its result, filled in. `split` is the leg that
    a box set in the ground is entered on first, where it is registered: no slug before that.
    """

    words: str
    why: str
    own_min: int
    total_min: int
    slug: str
    query: str
    is_walk: bool = False
    split: str = ""


@dataclass(frozen=True)
class TriedLine:
    """One test: what it said, how likely that was, what it changed."""

    row: SearchReading
    said: str
    chance: str
    effect: str
    is_surprise: bool


def rounded(minutes: float) -> int:
    """Return minutes as they are shown, halves up: nobody can promise a single one."""
    return max(ROUNDED_MIN, math.floor(minutes / ROUNDED_MIN + 0.5) * ROUNDED_MIN)


def next_lines(state: Believed, stand: Stand) -> list[NextLine]:
    """Return the actions from where the technician stands, the best first."""
    offered = state.options(stand)
    if state.belief is None:
        return []
    lines = []
    for option in offered:
        facts = why(option, state.belief, stand, offered)
        slug, given = _record(option.action, state.ground)
        lines.append(
            NextLine(
                action_words(option.action, state.ground),
                why_words(option, facts, state.ground, stand),
                rounded(option.own_min),
                rounded(option.minutes),
                slug,
                urlencode({**given, "stand": state.ground.points[stand.at]}),
                isinstance(option.action, actions.WalkTone | actions.WalkGradient),
                _split(option.action, state.ground),
            )
        )
    return lines


def first_and_others(
    lines: Sequence[NextLine], *, most: int = 5
) -> tuple[list[NextLine], list[NextLine]]:
    """Return the best line of each kind of action, then all others.

    Ten walks that differ by a box are one idea: who cannot walk wants another kind of test.
    """
    best: dict[str, NextLine] = {}
    for line in lines:
        best.setdefault(line.slug or line.words, line)
    first = list(best.values())[:most]
    return first, [line for line in lines if line not in first]


def why_words(option: Option, facts: Why, ground: SearchGround, stand: Stand) -> str:
    """Return why in one line: what it settles, where it lies, what it costs for good."""
    words = reason_words()
    reasons = [_settles(option, facts, words), _lies(facts, ground, stand, words)]
    if isinstance(option.action, actions.CutBox):
        reasons.append(words["why_splice"])
    if isinstance(option.action, actions.OpenGround | actions.RenewLeg):
        reasons.append(words["why_marked"])
    line = "; ".join(each for each in reasons if each)
    return line[:1].upper() + line[1:]


def _settles(option: Option, facts: Why, words: Mapping[str, str]) -> str:
    if facts.halves:
        return words["why_halves"]
    if max(facts.before, facts.beyond) > 0:
        sides = {"a": _split_words(facts.before), "b": _split_words(facts.beyond)}
        return words["why_sides"] % sides
    likely = share_words(min(facts.finds, 1.0))
    if isinstance(option.action, actions.RenewLeg):
        return words["why_renew"] % likely
    if isinstance(option.action, actions.MoveToSpare):
        return words["why_spare"]
    if facts.walked_in_vain >= MOST_WALKED:
        # What is left is mostly what no walk shows; it leads because it takes so little.
        return words["why_again"] % {
            "times": facts.walked_in_vain,
            "share": likely,
            "own": rounded(option.own_min),
            "all": rounded(option.minutes),
        }
    if isinstance(option.action, actions.ProveWire):
        return words["why_prove"] % likely
    if facts.finds >= WORTH_SAYING:
        return words["why_finds"] % likely
    if isinstance(option.action, actions.ReadOhms):
        return words["why_ohms"]
    return words["why_distance"] if isinstance(option.action, actions.ReadDistance) else ""


def _lies(facts: Why, ground: SearchGround, stand: Stand, words: Mapping[str, str]) -> str:
    if facts.point is None:
        return ""
    if facts.is_open:
        return words["why_open"]
    if facts.is_here:
        return words["why_here"]
    name = ground.names[ground.points[facts.point]]
    if facts.is_on_the_way:
        return words["why_on_way"] % name
    if facts.is_nearest:
        return words["why_nearest"] % name
    feet = abs(float(ground.line.point_ft[facts.point] - ground.line.point_ft[stand.at]))
    return words["why_away"] % length_words(feet, ground.place)


def _split_words(share: float) -> str:
    """Sides of one test, rounded so that they still add up."""
    return f"{round(share * 20) * 5} %"


def _split(action: Any, ground: SearchGround) -> str:
    if not isinstance(action, actions.OpenGround) or not ground.is_surveyed:
        return ""
    return str(ground.rows[ground.legs[action.leg]].ref)


def _record(action: Any, ground: SearchGround) -> tuple[str, dict[str, Any]]:
    """Return the form that records the result of an action, and what it starts with."""
    points = ground.points
    match action:
        case actions.OpenBox(box) | actions.CutBox(box):
            return "box", {"point": points[box]}
        case actions.ListenAt(box):
            return "listened", {"point": points[box]}
        case actions.ClampAt(box):
            return "clamp", {"point": points[box]}
        case actions.VoltsAt(box):
            return "volts", {"point": points[box]}
        case actions.MeasureInsulation(box):
            return "insulation", {"point": points[box]}
        case actions.WalkTone(start, end, conductor, fed):
            return "tone-walked", {
                "point": points[start],
                "to_point": points[end],
                "conductor": "common" if conductor.value == "common" else "hot",
                "fed_at": points[fed],
            }
        case actions.WalkGradient(start, end):
            return "gradient-walked", {"point": points[start], "to_point": points[end]}
        case actions.BypassLeg(leg):
            return "bypass", {"leg": ground.legs[leg]}
        case actions.RenewLeg(leg, conductor):
            word = "common" if conductor is Conductor.COMMON else "hot"
            return "bypass", {"leg": ground.legs[leg], "conductor": word, "stays": "yes"}
        case actions.ReadDistance(from_valve):
            return "distance", {"end": "valve" if from_valve else ""}
        case actions.ReadOhms():
            return "ohms", {}
        case actions.OpenGround(leg, feet):
            row = ground.rows.get(ground.legs[leg])
            is_first = row is None or row.from_point_id == points[leg]
            per_unit = float(FT_PER_M) if ground.place.units == Units.METRIC else 1.0
            where: dict[str, Any] = {} if is_first else {"from_second": "yes"}
            return "", {"feet": round(feet / per_unit), **where}
        case actions.CheckController():
            return "check", {"check": "output"}
        case actions.CheckValve():
            return "check", {"check": "coil"}
        case actions.ProveWire():
            return "check", {"check": "wire"}
    return "spare", {}


def tried_lines(state: Believed, rows: Sequence[SearchReading]) -> list[TriedLine]:
    """Return every test, the newest first; voided ones without an effect."""
    effects = {each.known.row.pk: each for each in state.effects if each.known.row}
    lost = {row.pk for row in state.lost}
    # A test at a box that is off this wire by now still says where it was made.
    there = {row.point.pk: row.point.name for row in rows if row.point}
    ground = replace(state.ground, names={**there, **state.ground.names})
    lines = []
    for row in reversed(rows):
        effect = effects.get(row.pk)
        lines.append(
            TriedLine(
                row,
                said_words(row.said, ground),
                share_words(min(effect.chance, 1.0)) if effect and _is_chance(row) else "",
                effect_words(effect, ground) if effect else _no_effect(row.pk in lost),
                bool(effect and _is_chance(row) and effect.chance < SURPRISE),
            )
        )
    return lines


def _no_effect(is_lost: bool) -> str:
    return effect_templates()["lost"] if is_lost else ""


def _is_chance(row: SearchReading) -> bool:
    """A distance has a likelihood per foot, no chance; a mend and a wire seen have none."""
    if row.kind == "looked":
        return bool(row.said.get("wear"))
    return row.kind not in NO_CHANCE
