"""The lines of a search's page: what to do next and why, and what each test said and did."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.utils.translation import gettext as _

from faults.engines.locating import actions
from faults.engines.locating.options import Option, Stand
from faults.models import SearchReading
from faults.services.searches.beliefs import Believed
from faults.services.searches.ground import SearchGround
from faults.services.searches.words import (
    action_words,
    effect_words,
    said_words,
    share_words,
)
from sites.services.ground.keeping import length_in_words

# Sides as even as this halve the likelihood, near enough to say so.
EVEN = 0.38
WORTH_SAYING = 0.1
ROUNDED_MIN = 5


@dataclass(frozen=True)
class NextLine:
    """One action: what to do, why, its own minutes from here, and those to the end if it is first.

    `slug` and `query` lead to the form that records its result, filled in.
    """

    words: str
    why: str
    own_min: int
    total_min: int
    slug: str
    query: str


@dataclass(frozen=True)
class TriedLine:
    """One test: what it said, how likely that was, what it changed."""

    row: SearchReading
    said: str
    chance: str
    effect: str
    is_surprise: bool


def rounded(minutes: float) -> int:
    """Return minutes as they are shown: nobody can promise a single one."""
    return max(ROUNDED_MIN, round(minutes / ROUNDED_MIN) * ROUNDED_MIN)


def next_lines(state: Believed, stand: Stand) -> list[NextLine]:
    """Return the actions from where the technician stands, the best first."""
    return [_next(option, state.ground, stand) for option in state.options(stand)]


def _next(option: Option, ground: SearchGround, stand: Stand) -> NextLine:
    slug, given = _record(option.action, ground)
    return NextLine(
        action_words(option.action, ground),
        why_words(option, ground, stand),
        rounded(option.own_min),
        rounded(option.minutes),
        slug,
        urlencode({**given, "stand": ground.points[stand.at]}),
    )


def why_words(option: Option, ground: SearchGround, stand: Stand) -> str:
    """Return why in one line: what it settles, and where it lies."""
    reasons = [_settles(option), _lies(option.action, ground, stand), _costs(option.action)]
    words = "; ".join(each for each in reasons if each)
    return words[:1].upper() + words[1:]


def _settles(option: Option) -> str:
    sides = (option.before, option.beyond)
    if min(sides) >= EVEN:
        return _("halves the likelihood")
    if max(sides) > 0:
        return _("%(a)s toward the controller, %(b)s toward the valve") % {
            "a": share_words(option.before),
            "b": share_words(option.beyond),
        }
    if isinstance(option.action, actions.MoveToSpare):
        return _("gives up this wire; the break stays where it is")
    if option.finds >= WORTH_SAYING:
        return _("finds it here: %s") % share_words(min(option.finds, 1.0))
    return _("narrows it down to some feet") if _is_distance(option.action) else ""


def _is_distance(action: Any) -> bool:
    return isinstance(action, actions.ReadDistance)


def _lies(action: Any, ground: SearchGround, stand: Stand) -> str:
    at = _point_of(action, ground)
    if at is None:
        return ""
    if at == stand.at:
        return _("you stand there")
    feet = abs(float(ground.line.point_ft[at] - ground.line.point_ft[stand.at]))
    return _("%s from where you stand") % length_in_words(feet, ground.place)


def _point_of(action: Any, ground: SearchGround) -> int | None:
    match action:
        case actions.WalkTone(start, _) | actions.WalkGradient(start, _):
            return start
        case actions.CheckController():
            return 0
        case actions.CheckValve():
            return len(ground.points) - 1
        case actions.ReadDistance(from_valve):
            return len(ground.points) - 1 if from_valve else 0
        case actions.BypassLeg(leg):
            return leg
    box: int | None = getattr(action, "box", None)
    return box


def _costs(action: Any) -> str:
    if isinstance(action, actions.CutBox):
        return _("one more splice for life")
    return ""


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
        case actions.MeasureInsulation(box):
            return "insulation", {"point": points[box]}
        case actions.WalkTone(start, end, conductor):
            return "tone-walked", {
                "point": points[start],
                "to_point": points[end],
                "conductor": "common" if conductor.value == "common" else "hot",
            }
        case actions.WalkGradient(start, end):
            return "gradient-walked", {"point": points[start], "to_point": points[end]}
        case actions.BypassLeg(leg):
            return "bypass", {"leg": ground.legs[leg]}
        case actions.ReadDistance(from_valve):
            return "distance", {"end": "valve" if from_valve else ""}
        case actions.CheckController():
            return "check", {"check": "output"}
        case actions.CheckValve():
            return "check", {"check": "coil"}
    return "spare", {}


def tried_lines(state: Believed, rows: Sequence[SearchReading]) -> list[TriedLine]:
    """Return every test, the newest first; voided ones without an effect."""
    effects = {effect.row.pk: effect for effect in state.effects}
    lines = []
    for row in reversed(rows):
        effect = effects.get(row.pk)
        lines.append(
            TriedLine(
                row,
                said_words(row.said, state.ground),
                share_words(min(effect.chance, 1.0)) if effect and _is_chance(row) else "",
                effect_words(effect, state.ground) if effect else "",
                bool(effect and _is_chance(row) and effect.chance < 0.05),
            )
        )
    return lines


def _is_chance(row: SearchReading) -> bool:
    """A distance has a likelihood per foot, which is no chance."""
    return row.kind not in ("distance", "gradient", "tone level")
