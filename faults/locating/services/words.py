"""A search in words: what to do next and why, what is likely, what a test said and did."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from faults.locating.engines import actions
from faults.locating.engines.belief import Belief, Conductor, Outside
from faults.locating.engines.summary import band
from faults.locating.services.beliefs import Effect
from faults.locating.services.line import SearchGround
from sites.ground.services.keeping import length_in_words

# Likelier than this is worth a line of its own.
LEAST_SHOWN = 0.02


def share_words(probability: float) -> str:
    """Return a likelihood in rounded words: nobody reads 23.7 %."""
    rounded = band(probability)
    if rounded == 0:
        return _("under 1 %")
    if rounded == 1:
        return _("over 95 %")
    return _("about %d %%") % round(rounded * 100)


def outside_words(cause: Outside) -> str:
    """Return a cause outside the wire."""
    return {
        Outside.OUTPUT: _("the controller's output"),
        Outside.COMMON_TERMINAL: _("the common at the controller"),
        Outside.COIL: _("the coil or its lead"),
        Outside.WATER: _("the valve or the water"),
    }[cause]


def conductor_words(conductor: Conductor) -> str:
    """Return what is broken on a leg."""
    return {
        Conductor.HOT: _("this station's wire"),
        Conductor.COMMON: _("the common"),
        Conductor.BUNDLE: _("all wires together"),
    }[conductor]


def action_words(action: Any, ground: SearchGround) -> str:
    """Return what to do, as an instruction."""

    def name(point: int) -> str:
        return ground.names[ground.points[point]]

    match action:
        case actions.OpenBox(box):
            return _("Open %s, cut its splice and test both sides") % name(box)
        case actions.CutBox(box):
            return _("Open %s, cut the wire there and test both sides") % name(box)
        case actions.ListenAt(box):
            return _("Open %s and listen for the tone, without cutting") % name(box)
        case actions.ClampAt(box):
            return _("Clamp round the wire in %s, without cutting") % name(box)
        case actions.MeasureInsulation(box):
            return _("Open %s and measure the insulation of both sides") % name(box)
        case actions.WalkTone(start, end, conductor):
            words = _("Feed the tone at %(start)s and walk it to %(end)s")
            if conductor is Conductor.COMMON:
                words = _("Feed the tone into the common at %(start)s and walk it to %(end)s")
            return words % {"start": name(start), "end": name(end)}
        case actions.WalkGradient(start, end):
            return _("Walk the two probes from %(start)s to %(end)s") % {
                "start": name(start),
                "end": name(end),
            }
        case actions.BypassLeg(leg):
            return _("Lay a jumper round leg %s and run the station") % ground.line.legs[leg].name
        case actions.ReadDistance(from_valve):
            return (
                _("Measure the distance to the fault from the valve")
                if from_valve
                else _("Measure the distance to the fault from the controller")
            )
        case actions.CheckController():
            return _("At the controller: volts at the terminal, and another station on this common")
        case actions.CheckValve():
            return _("At the valve: ohms of the coil, and the valve opened by hand")
        case actions.MoveToSpare():
            return _("Move the station to a spare wire and try it")
    raise TypeError(f"Expected an action of the plan, got {action!r}")


@dataclass(frozen=True)
class PlaceLine:
    """One place or cause in the list: what it is, how likely in words, and the leg or point."""

    words: str
    share: str
    probability: float
    leg: int | None = None
    point: int | None = None


def place_lines(belief: Belief, ground: SearchGround) -> tuple[list[PlaceLine], float]:
    """Return the likely places, the likeliest first, and how much the rest has together."""
    found = []
    for i, probability in enumerate(belief.by_leg):
        found.append(_leg_line(belief, ground, i, float(probability)))
    for i, probability in enumerate(belief.splice):
        words = _("splice in %s") % ground.names[ground.points[i]]
        found.append(_line(words, float(probability), point=ground.points[i]))
    for cause, probability in belief.outside.items():
        found.append(_line(outside_words(cause), probability))
    found.sort(key=lambda each: -each.probability)
    shown = [each for each in found if each.probability >= LEAST_SHOWN] or found[:1]
    return shown, sum(each.probability for each in found[len(shown) :])


def _line(words: str, probability: float, **where: int | None) -> PlaceLine:
    return PlaceLine(words, share_words(probability), probability, **where)


def leg_words(ground: SearchGround, i: int) -> str:
    """Return a leg by its name and the points at its ends."""
    if not ground.is_surveyed:
        return ground.line.legs[i].name
    return _("leg %(leg)s, %(start)s to %(end)s") % {
        "leg": ground.line.legs[i].name,
        "start": ground.names[ground.points[i]],
        "end": ground.names[ground.points[i + 1]],
    }


def _leg_line(belief: Belief, ground: SearchGround, i: int, probability: float) -> PlaceLine:
    words = leg_words(ground, i)
    cells = belief.legs[:, belief.line.cell_leg == i].sum(axis=1)
    likeliest = list(Conductor)[int(cells.argmax())]
    if likeliest is not Conductor.HOT and cells.max() > probability / 2:
        words += _(" (%s)") % conductor_words(likeliest)
    return _line(words, probability, leg=ground.legs[i])


def said_words(said: Mapping[str, Any], ground: SearchGround) -> str:
    """Return what a test said, in a sentence. `said` has been read by the engine before."""

    def name(key: str) -> str:
        return str(ground.names.get(said[key], "?"))

    def feet(value: float) -> str:
        return length_in_words(value, ground.place)

    match said["kind"]:
        case "box" | "insulation":
            words = _("%(point)s: controller side %(a)s, valve side %(b)s")
            if said["kind"] == "insulation":
                words = _("%(point)s, insulation: controller side %(a)s, valve side %(b)s")
            sides = {"a": _side(said.get("controller_bad")), "b": _side(said.get("valve_bad"))}
            told = words % {"point": name("point"), **sides}
            if said.get("runs") is None:
                return told
            return told + (_("; spliced again it runs") if said["runs"] else _("; it does not run"))
        case "listened":
            words = _("%s: tone heard") if said["heard"] else _("%s: no tone")
            return words % name("point")
        case "clamp":
            words = _("%s: the current flows on") if said["flows"] else _("%s: no current")
            return words % name("point")
        case "tone walked":
            words = _("Tone walked from %(a)s to %(b)s, nothing found")
            if said.get("conductor") == "common":
                words = _("Tone on the common walked from %(a)s to %(b)s, nothing found")
            return words % {"a": name("point"), "b": name("to_point")}
        case "gradient walked":
            words = _("Probes walked from %(a)s to %(b)s, nothing found")
            return words % {"a": name("point"), "b": name("to_point")}
        case "tone level":
            return _level_words(said)
        case "distance":
            words = (
                _("%s from the valve") if said.get("from_valve") else _("%s from the controller")
            )
            return _("Distance by instrument: ") + words % feet(said["feet"])
        case "gradient":
            return _("Leak found in the ground %s from the controller") % feet(said["feet"])
        case "bypass":
            legs = dict(zip(ground.legs, ground.line.legs, strict=True))
            leg = legs.get(said["leg"])
            words = _("Jumper round leg %s: the station runs")
            if not said["works"]:
                words = _("Jumper round leg %s: it still does not run")
            return words % (leg.name if leg else "?")
        case "check":
            return _check_words(said)
        case "spare":
            return _("On a spare wire it runs") if said["works"] else _("On a spare wire: no")
    return str(said["kind"])


def _side(is_bad: bool | None) -> str:
    if is_bad is None:
        return _("not tested")
    return _("bad") if is_bad else _("good")


def _level_words(said: Mapping[str, Any]) -> str:
    where = _("at the valve") if said.get("from_valve") else _("at the controller")
    if said.get("third"):
        thirds = {"low": _("low"), "middle": _("middle"), "top": _("full")}
        return _("Level of the tone %(where)s: %(third)s") % {
            "where": where,
            "third": thirds.get(said["third"], "?"),
        }
    return _("Level of the tone %(where)s: %(level)g, on a sound wire %(sound)g") % {
        "where": where,
        "level": said["level"],
        "sound": said["on_sound_wire"],
    }


def _check_words(said: Mapping[str, Any]) -> str:
    right, wrong = {
        "output": (_("The controller's terminal gives its volts"), _("No volts at the terminal")),
        "common": (
            _("Another station on this common runs"),
            _("Other stations on this common do not run"),
        ),
        "coil": (_("The coil's ohms are right"), _("The coil's ohms are wrong")),
        "water": (
            _("Opened by hand, the valve gives water"),
            _("Opened by hand, the valve gives no water"),
        ),
    }[said["check"]]
    return right if said["is_right"] else wrong


def effect_words(effect: Effect, ground: SearchGround) -> str:
    """Return what a test changed most, in rounded shares."""
    if effect.after is None:
        return _("After this test nothing fits any more.")
    lines = {line.words: line for line in _all(effect.after, ground)}
    was = {line.words: line.probability for line in _all(effect.before, ground)}
    moved = max(lines.values(), key=lambda each: abs(each.probability - was.get(each.words, 0)))
    start, end = share_words(was.get(moved.words, 0.0)), moved.share
    if start == end:
        return _("It changed little.")
    return _("%(place)s: from %(start)s to %(end)s.") % {
        "place": moved.words,
        "start": start,
        "end": end,
    }


def _all(belief: Belief, ground: SearchGround) -> list[PlaceLine]:
    legs = [
        _line(leg_words(ground, i), float(p), leg=ground.legs[i])
        for i, p in enumerate(belief.by_leg)
    ]
    outside = [_line(outside_words(cause), p) for cause, p in belief.outside.items()]
    splices = [
        _line(_("splice in %s") % ground.names[ground.points[i]], float(p))
        for i, p in enumerate(belief.splice)
        if p > 0
    ]
    return legs + splices + outside
