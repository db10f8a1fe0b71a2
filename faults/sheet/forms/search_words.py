"""What the search on a phone says: each action, the results that one tap records, and shares."""

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from faults.locating.engines.belief import Outside
from faults.locating.services.neighbours import Master
from faults.locating.services.ohms_words import said_of
from faults.locating.services.reading_words import BEFORE_START, BEYOND_END
from faults.locating.services.reason_words import reason_words
from faults.locating.services.words import (
    at_controller_words,
    at_valve_words,
    ohms_choices,
    ohms_words,
    outside_words,
    prove_wire_words,
)
from faults.sheet.forms.fields import Plain, number

Result = tuple[str, dict[str, Any]]


def actions_plain() -> dict[str, Plain]:
    """Return by the name of each action its words and the results that can be tapped.

    Words take `%(point)s`, `%(to_point)s` and `%(leg)s`; a result without a kind leads to "found".
    """
    return {
        "open box": _act(
            _("Open %(point)s, cut its splice and test both sides"), [*_sides("box"), *_anew()]
        ),
        "cut box": _act(_("Open %(point)s, cut the wire there and test both sides"), _sides("box")),
        "listen": _act(
            _("Open %(point)s and listen for the tone, without cutting"),
            _yes_no("listened", "heard", _("tone heard"), _("no tone")),
        ),
        "clamp": _act(
            _("Clamp round the wire in %(point)s, without cutting"),
            _yes_no("clamp", "flows", _("current flows on"), _("no current")),
        ),
        "read volts": _act(
            _("Switch the station on and read volts on both sides of the splice in %(point)s"),
            [
                (_("low on both sides"), _volts(True, True)),
                (_("low beyond the splice alone"), _volts(False, True)),
                (_("right on both sides"), _volts(False, False)),
            ],
        ),
        "measure insulation": _act(
            _("Open %(point)s and measure the insulation of both sides"), _sides("insulation")
        ),
        "walk tone": _act(
            _("Walk the tone from %(point)s to %(to_point)s"),
            _walked("tone walked"),
            fed=_("Walk the tone from %(point)s to %(to_point)s, fed at %(fed)s"),
            common=_("Walk the tone on the common from %(point)s to %(to_point)s, fed at %(fed)s"),
        ),
        "open ground": _act(
            _(
                "Open the ground on leg %(leg)s, %(feet)s from %(start)s, cut the wire, test both "
                "sides and set a box. Have buried lines marked before you dig. Enter the box on "
                "the leg's page: the plan goes on from it"
            ),
            [(_("the fault lies bare"), {})],
        ),
        "renew leg": _act(
            _("Lay a new wire in place of leg %(leg)s"),
            [
                (_("it runs"), {}),
                (_("it does not run"), {"kind": "bypass", "works": False, "stays": True}),
            ],
            common=_("Lay a new common in place of leg %(leg)s"),
        ),
        "test one side": _act(_("Open %(point)s and test one side alone"), _one_side("box")),
        "insulation of one side": _act(
            _("Open %(point)s and measure the insulation of one side alone"),
            _one_side("insulation"),
        ),
        "level": _level(_("The level of the tone, fed at the controller"), from_valve=False),
        "level from valve": _level(_("The level of the tone, fed at the valve"), from_valve=True),
        "walk gradient": _act(
            _("Walk the two probes from %(point)s to %(to_point)s"), _walked("gradient walked")
        ),
        "bypass": _act(
            _("Lay a jumper round leg %(leg)s and run the station"),
            _yes_no("bypass", "works", _("it runs"), _("it does not run")),
        ),
        "read ohms": read_ohms(ohms_choices()),
        "read distance": _act(_("Measure the distance to the fault"), [], number="distance"),
        "check valve": _act(
            at_valve_words(),
            [
                *_check("coil", _("coil is right"), _("coil is wrong")),
                *_check("water", _("gives water"), _("no water")),
                *_check("valve splice", _("splices are sound"), _("a splice is bad")),
            ],
        ),
        "prove wire": _act(
            prove_wire_words(),
            _check("wire", _("this wire, or none"), _("another wire")),
        ),
        "move to spare": _act(
            _("Move the station to a spare wire and try it"),
            _yes_no("spare", "works", _("it runs"), _("it does not run")),
        ),
        "look": _act(
            _("Look at the splice in %(point)s"),
            [
                (_("spliced, sound"), _seen("spliced", "sound")),
                (_("spliced, wet"), _seen("spliced", "wet")),
                (_("spliced, corroded"), _seen("spliced", "corroded")),
                (_("passes uncut"), _seen("passes uncut", None)),
            ],
        ),
        **actions_by_master(Master.NONE),
    }


def read_ohms(choices: Sequence[tuple[str, str]]) -> Plain:
    """Return the action by which ohms are read at the controller, a tap for each choice."""
    return _act(ohms_words(), [(label, said_of(word)) for word, label in choices])


def actions_by_master(master: Master) -> dict[str, Plain]:
    """Return the actions that differ by whether the station has a master valve or pump."""
    at_controller = [
        *_check("output", _("volts are right"), _("no volts")),
        *_check("common", _("another one runs"), _("others do not run")),
        *_check("controller splice", _("its end is sound"), _("its end is bad")),
    ]
    replaced = [
        (_("coil replaced, still dead"), _replaced("coil")),
        (_("output replaced, still dead"), _replaced("output")),
        (_("common at the controller mended, still dead"), _replaced("common")),
        (_("valve mended, still dead"), _replaced("water")),
        (_("splices at the valve made again, still dead"), _replaced("valve splice")),
        (_("end at the controller mended, still dead"), _replaced("controller splice")),
        (_("the right wire put on, still dead"), _replaced("wire")),
    ]
    if master is not Master.NONE:
        at_controller += _check("master", _("master works"), _("master is dead"))
        replaced.append((_("master mended, still dead"), _replaced("master")))
    return {
        "check controller": _act(at_controller_words(master), at_controller),
        "replace": _act(
            _("Replace a part and try the station again"), [*replaced, (_("it runs"), {})]
        ),
    }


def _seen(joint: str, wear: str | None) -> dict[str, Any]:
    return {"kind": "looked", "joint": joint, "wear": wear}


def _volts(controller_bad: bool, valve_bad: bool) -> dict[str, Any]:
    return {"kind": "volts", "controller_bad": controller_bad, "valve_bad": valve_bad}


def _replaced(check: str) -> dict[str, Any]:
    return {"kind": "mended", "check": check}


def _act(words: str, results: list[Result], **more: Any) -> Plain:
    return {"words": words, "results": [[label, said] for label, said in results], **more}


def _sides(kind: str) -> list[Result]:
    def said(controller_bad: bool, valve_bad: bool) -> dict[str, Any]:
        return {"kind": kind, "controller_bad": controller_bad, "valve_bad": valve_bad}

    return [
        (_("bad toward the controller"), said(True, False)),
        (_("bad toward the valve"), said(False, True)),
        (_("both good"), said(False, False)),
        (_("both bad"), said(True, True)),
    ]


def _one_side(kind: str) -> list[Result]:
    """Only one side was tested: of the other nothing is known."""

    def said(controller_bad: bool | None, valve_bad: bool | None) -> dict[str, Any]:
        return {"kind": kind, "controller_bad": controller_bad, "valve_bad": valve_bad}

    return [
        (_("toward the controller good"), said(False, None)),
        (_("toward the controller bad"), said(True, None)),
        (_("toward the valve good"), said(None, False)),
        (_("toward the valve bad"), said(None, True)),
    ]


def _level(words: str, *, from_valve: bool) -> Plain:
    """The level in thirds, or the receiver's own number between two marks of it."""
    said = {"kind": "tone level", "from_valve": from_valve}
    thirds = [("low", _("low")), ("middle", _("middle")), ("top", _("full"))]
    fields = [
        number("level", _("Or the receiver's number on this wire"), required=True),
        number("on_sound_wire", _("Its number on a sound wire of the same run"), required=True),
        number("at_transmitter", _("Its number with nothing connected"), value=0, required=True),
    ]
    results = [(label, {**said, "third": third}) for third, label in thirds]
    return _act(words, results, fields=fields, said=said)


def _anew() -> list[Result]:
    """Both sides are good, and the box was respliced: that cured it, or did not."""
    said = {"kind": "box", "controller_bad": False, "valve_bad": False}
    return [
        (_("both good, spliced again it runs"), {**said, "runs": True}),
        (_("both good, spliced again still dead"), {**said, "runs": False}),
    ]


def _yes_no(kind: str, name: str, yes: str, no: str) -> list[Result]:
    return [(yes, {"kind": kind, name: True}), (no, {"kind": kind, name: False})]


def _walked(kind: str) -> list[Result]:
    return [(_("nothing found"), {"kind": kind}), (_("found it"), {})]


def _check(check: str, right: str, wrong: str) -> list[Result]:
    return [
        (right, {"kind": "check", "check": check, "is_right": True}),
        (wrong, {"kind": "check", "check": check, "is_right": False}),
    ]


def outside_plain() -> dict[str, str]:
    """Return the causes outside the wire, by the engine's names."""
    return {cause.value: outside_words(cause) for cause in Outside}


def search_words() -> dict[str, str]:
    """Return what the script of the search says, by name."""
    return {
        "no_plan": _(
            "No plan without signal yet. Record what you test: it is kept, and counts later."
        ),
        "do_next": _("Do this next"),
        "own_minutes": _("about %s minutes for this"),
        "most_minutes": _("at most about %s minutes for this"),
        "all_minutes": _("about %s minutes to the end"),
        "other_ways": _("Other ways"),
        "another_test": _("Another test"),
        "you_stand": _("You stand at"),
        "where": _("Where"),
        "from_where": _("From"),
        "to_where": _("To"),
        "on_leg": _("Leg"),
        "from_valve": _("measured from the valve"),
        "distance": _("Distance to the fault"),
        "give_or_take": _("Give or take"),
        "farthest": _("It can be nearer: this is the farthest"),
        "beyond": _(
            "%(feet)s lies beyond the end of this wire (%(all)s). Check the number and its unit; "
            "press again to keep it as it is."
        ),
        "before_start": str(BEFORE_START),
        "off_the_wire": str(BEYOND_END),
        "keep_test": _("Keep this test"),
        "same_marks": _(
            "The receiver shows the same on a sound wire as with nothing connected: then its "
            "level says nothing. Measure both once more."
        ),
        "likely": _("Where it is likely"),
        "leg_line": _("leg %(name)s: %(share)s"),
        "splice_line": _("splice in %(name)s: %(share)s"),
        "line": _("%(name)s: %(share)s"),
        "under": _("under 1 %"),
        "over": _("over 95 %"),
        "about": _("about %s %%"),
        "ruled_out": _(
            "Ruled out so far, all but for errors of the tests: %(out)s of %(all)s. Likeliest now: "
            "%(best)s."
        ),
        "nothing_out": _("Nothing is ruled out yet: %(all)s to search. Likeliest now: %(best)s."),
        "strip": _("From the controller to the valve, likelihood by leg"),
        "key": _("High bands are likely; hatched legs are all but ruled out."),
        "counted": _("Counted besides the tests of this search"),
        "tests": _("Tests of this search"),
        "so_likely": _("So likely it was"),
        "surprising": _("surprising"),
        "nothing_more": _("Nothing more can be told from here: see what stands above."),
        "no_tests": _("No test is recorded yet."),
        "contradiction": _(
            "The tests contradict each other. Repeat the last one, or take a wrong one back."
        ),
        "which_station": _("Station"),
        "at_hand": _("At hand besides transmitter and receiver"),
        "at_hand_title": _("Before the first test"),
        "may_cut": _("A wire that passes a box uncut may be cut and spliced"),
        "soil_is_dry": _("The soil is dry (the level of a tone then says nothing)"),
        "start_search": _("Start the search"),
        **reason_words(),
    }
