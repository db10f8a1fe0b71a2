"""A search in words: what to do next, what is likely, what a test did."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, TypeVar

from django.utils.translation import gettext as _

from faults.locating.engines import actions
from faults.locating.engines.belief import Belief, Conductor, Outside
from faults.locating.engines.effects import Kind, moved
from faults.locating.engines.seen import Ohms
from faults.locating.engines.summary import band
from faults.locating.services.beliefs import Effect
from faults.locating.services.line import SearchGround
from faults.locating.services.neighbours import Master
from sites.cells.engines.measures import LENGTH
from sites.models import Property

T = TypeVar("T")

# Likelier than this is worth a line of its own.
LEAST_SHOWN = 0.02


def length_words(length_ft: float, place: Property) -> str:
    """Return a length in whole units of the property, halves up, as the phone does."""
    unit = LENGTH.default(place.units)
    return f"{math.floor(LENGTH.from_stored(length_ft, unit) + 0.5)} {unit}"


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
        Outside.CONTROLLER_SPLICE: _("this wire's end or splice at the controller"),
        Outside.VALVE_SPLICE: _("a splice in the valve box"),
        Outside.MASTER: _("the master valve or pump"),
        Outside.WRONG_WIRE: _("another wire than this station's on its terminal"),
    }[cause]


def conductor_words(conductor: Conductor) -> str:
    """Return what is broken on a leg."""
    return {
        Conductor.HOT: _("this station's wire"),
        Conductor.COMMON: _("the common"),
        Conductor.BUNDLE: _("all wires together"),
    }[conductor]


def at_controller_words(master: Master) -> str:
    """Return what to look at there, as an instruction: the master valve only where one may be."""
    if master is Master.NONE:
        return _(
            "At the controller: volts at the terminal, the wire's end and splice, and another "
            "station on this common"
        )
    if master is Master.NOT_KNOWN:
        return _(
            "At the controller: volts at the terminal, the wire's end and splice, another station "
            "on this common, and the master valve or pump if this station depends on it (the "
            "register does not say)"
        )
    return _(
        "At the controller: volts at the terminal, the wire's end and splice, another station on "
        "this common, and the master valve or pump"
    )


def checks_of(master: Master, checks: Iterable[tuple[str, T]]) -> list[tuple[str, T]]:
    """Return the checks, or parts, that the station can have: each by its word in plain values."""
    return [
        (word, label) for word, label in checks if word != "master" or master is not Master.NONE
    ]


def ohms_words() -> str:
    """Return what to measure at the controller first, as an instruction."""
    return _(
        "At the controller: this station's wire off its terminal, read ohms from it to the common"
    )


def ohms_choices() -> list[tuple[str, str]]:
    """Return what ohms at the controller may read, each by its word in plain values.

    What they should read is wire, coil and common together.
    """
    return [
        (Ohms.OPEN.value, _("open")),
        (Ohms.HIGH.value, _("higher than it should")),
        (Ohms.AS_EXPECTED.value, _("as it should")),
        (Ohms.LOW.value, _("lower than it should")),
        (Ohms.SHORT.value, _("next to nothing: a dead short")),
    ]


def at_valve_words() -> str:
    """Return what to look at there, as an instruction."""
    return _("At the valve: its splices, ohms of the coil, and the valve opened and shut by hand")


def prove_wire_words() -> str:
    """Return how to see whether it is this wire, as an instruction."""
    return _(
        "Prove that this is the wire: feed the tone at the valve, see at the controller which wire "
        "carries it"
    )


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
        case actions.VoltsAt(box):
            words = _("Switch the station on and read volts on both sides of the splice in %s")
            return words % name(box)
        case actions.ClampAt(box):
            return _("Clamp round the wire in %s, without cutting") % name(box)
        case actions.MeasureInsulation(box):
            return _("Open %s and measure the insulation of both sides") % name(box)
        case actions.WalkTone(start, end, conductor, fed_at):
            words = _("Walk the tone from %(start)s to %(end)s, fed at %(fed)s")
            if conductor is Conductor.COMMON:
                words = _("Walk the tone on the common from %(start)s to %(end)s, fed at %(fed)s")
            return words % {"start": name(start), "end": name(end), "fed": name(fed_at)}
        case actions.OpenGround(leg, feet):
            words = _(
                "Open the ground on leg %(leg)s, %(feet)s from %(start)s, cut the wire, test both "
                "sides and set a box"
            )
            return words % {
                "leg": ground.line.legs[leg].name,
                "feet": length_words(feet, ground.place),
                "start": name(leg),
            }
        case actions.RenewLeg(leg, conductor):
            words = _("Lay a new wire in place of leg %s")
            if conductor is Conductor.COMMON:
                words = _("Lay a new common in place of leg %s")
            return words % ground.line.legs[leg].name
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
        case actions.ReadOhms():
            return ohms_words()
        case actions.CheckController():
            return at_controller_words(ground.others.master)
        case actions.CheckValve():
            return at_valve_words()
        case actions.ProveWire():
            return prove_wire_words()
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


def effect_templates() -> dict[str, str]:
    """Return what is said of what a test did, by name; the phone fills in the same."""
    return {
        "moved": _("%(place)s: from %(start)s to %(end)s."),
        "little": _("It changed little."),
        "nothing": _("After this test nothing fits any more."),
        "lost": _("Made at a place that this wire no longer has: it counts for nothing."),
    }


def effect_words(effect: Effect, ground: SearchGround) -> str:
    """Return what a test changed most, in rounded shares."""
    templates = effect_templates()
    if effect.after is None:
        return templates["nothing"]
    most = moved(effect.before, effect.after)
    start, end = share_words(most.start), share_words(most.end)
    if start == end:
        return templates["little"]
    place = places_of(ground)[most.kind.value][most.index]
    told = templates["moved"] % {"place": place, "start": start, "end": end}
    return told[:1].upper() + told[1:]


def places_of(ground: SearchGround) -> dict[str, list[str]]:
    """Return each leg, each point's splice and each cause in words, by the kind of place."""
    return {
        Kind.LEG.value: [leg_words(ground, i) for i in range(len(ground.line.legs))],
        Kind.SPLICE.value: [_("splice in %s") % ground.names[point] for point in ground.points],
        Kind.OUTSIDE.value: [outside_words(cause) for cause in Outside],
    }
