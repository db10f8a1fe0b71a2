"""The lines of a search's page: what to do next and why, and what each test said and did."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from django.utils.translation import gettext as _

from faults.locating.engines import actions
from faults.locating.engines.belief import Conductor
from faults.locating.engines.options import Option, Stand
from faults.locating.engines.why import Why, why
from faults.locating.services.beliefs import Believed
from faults.locating.services.line import SearchGround
from faults.locating.services.said import said_words
from faults.locating.services.words import action_words, effect_words, share_words
from faults.models import SearchReading
from sites.cells.engines.units import FT_PER_M
from sites.ground.services.keeping import length_in_words
from sites.models import Units

WORTH_SAYING = 0.1
# Walked so often for nothing, a way is walked once more for a reason of its own.
MOST_WALKED = 2
ROUNDED_MIN = 5


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
    reasons = [_settles(option, facts), _lies(facts, ground, stand)]
    if isinstance(option.action, actions.CutBox):
        reasons.append(_("one more splice for life"))
    if isinstance(option.action, actions.OpenGround | actions.RenewLeg):
        reasons.append(_("have buried lines marked before you dig"))
    words = "; ".join(each for each in reasons if each)
    return words[:1].upper() + words[1:]


def _settles(option: Option, facts: Why) -> str:
    if facts.halves:
        return _("halves the likelihood")
    if max(facts.before, facts.beyond) > 0:
        return _("%(a)s toward the controller, %(b)s toward the valve") % {
            "a": _split_words(facts.before),
            "b": _split_words(facts.beyond),
        }
    if isinstance(option.action, actions.RenewLeg):
        return _("ends the search wherever on this leg it lies: %s") % share_words(facts.finds)
    if isinstance(option.action, actions.MoveToSpare):
        return _("gives up this wire; the break stays where it is")
    if facts.walked_in_vain >= MOST_WALKED:
        # What is left is mostly what no walk shows; it leads because it takes so little.
        words = _(
            "walked %(times)d times for nothing, yet once more finds it: %(share)s, in %(own)d min "
            "of the %(all)d to the end"
        )
        return words % {
            "times": facts.walked_in_vain,
            "share": share_words(facts.finds),
            "own": rounded(option.own_min),
            "all": rounded(option.minutes),
        }
    if isinstance(option.action, actions.ProveWire):
        return _("each test of another wire reads good: %s") % share_words(facts.finds)
    if facts.finds >= WORTH_SAYING:
        return _("finds it there: %s") % share_words(min(facts.finds, 1.0))
    if isinstance(option.action, actions.ReadOhms):
        return _("tells a broken wire, a bad coil and what lies outside both apart")
    if isinstance(option.action, actions.ReadDistance):
        return _("narrows it down to some feet")
    return ""


def _lies(facts: Why, ground: SearchGround, stand: Stand) -> str:
    if facts.point is None:
        return ""
    if facts.is_open:
        return _("the box is still open")
    if facts.is_here:
        return _("you stand there")
    name = ground.names[ground.points[facts.point]]
    if facts.is_on_the_way:
        return _("%s is on the way") % name
    if facts.is_nearest:
        return _("%s is the nearest") % name
    feet = abs(float(ground.line.point_ft[facts.point] - ground.line.point_ft[stand.at]))
    return _("%s from where you stand") % length_in_words(round(feet), ground.place)


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
                bool(effect and _is_chance(row) and effect.chance < 0.05),
            )
        )
    return lines


def _no_effect(is_lost: bool) -> str:
    if not is_lost:
        return ""
    return _("Made at a place that this wire no longer has: it counts for nothing.")


def _is_chance(row: SearchReading) -> bool:
    """A distance has a likelihood per foot, no chance; a mend and a wire seen have none."""
    if row.kind == "looked":
        return bool(row.said.get("wear"))
    return row.kind not in ("distance", "gradient", "tone level", "mended")
