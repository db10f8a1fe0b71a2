"""What a test said, in a sentence."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from faults.locating.services.line import SearchGround
from sites.ground.services.keeping import length_in_words


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
        case "volts":
            return name("point") + ": " + _volts_words(said)
        case "tone walked":
            words = _("Tone walked from %(a)s to %(b)s, nothing found")
            if said.get("conductor") == "common":
                words = _("Tone on the common walked from %(a)s to %(b)s, nothing found")
            told = words % {"a": name("point"), "b": name("to_point")}
            return told + (_("; fed at %s") % name("fed_at") if said.get("fed_at") else "")
        case "gradient walked":
            words = _("Probes walked from %(a)s to %(b)s, nothing found")
            return words % {"a": name("point"), "b": name("to_point")}
        case "tone level":
            return _level_words(said)
        case "distance":
            words = (
                _("%s from the valve") if said.get("from_valve") else _("%s from the controller")
            )
            told = _("Distance by instrument: ") + words % feet(said["feet"])
            return told + (_(", at the farthest") if said.get("is_farthest") else "")
        case "gradient":
            return _("Leak found in the ground %s from the controller") % feet(said["feet"])
        case "bypass":
            legs = dict(zip(ground.legs, ground.line.legs, strict=True))
            leg = legs.get(said["leg"])
            return _bypass_words(said) % (leg.name if leg else "?")
        case "check":
            return _check_words(said)
        case "spare":
            return _("On a spare wire it runs") if said["works"] else _("On a spare wire: no")
        case "ohms":
            return _ohms_words(said)
        case "looked":
            return _looked_words(said, name("point"))
        case "mended":
            return _replaced_words(said)
    return str(said["kind"])


def _volts_words(said: Mapping[str, Any]) -> str:
    words = {
        "controller_bad": (_("volts before the splice too low"), _("right before the splice")),
        "valve_bad": (_("volts beyond it too low"), _("right beyond it")),
        "unloaded_bad": (_("volts without a load too low"), _("right without a load")),
    }
    read = [
        low if said[name] else right
        for name, (low, right) in words.items()
        if said.get(name) is not None
    ]
    return ", ".join(read)


def _bypass_words(said: Mapping[str, Any]) -> str:
    runs, dead = (
        _("Jumper round leg %s: the station runs"),
        _("Jumper round leg %s: it still does not run"),
    )
    if said.get("conductor") == "common":
        runs = _("Common round leg %s: the station runs")
        dead = _("Common round leg %s: it still does not run")
    if said.get("stays"):
        runs = _("New wire in place of leg %s: the station runs")
        dead = _("New wire in place of leg %s: it still does not run")
    return runs if said["works"] else dead


def _looked_words(said: Mapping[str, Any], place: str) -> str:
    joints = {"spliced": _("the wire is spliced"), "passes uncut": _("the wire passes uncut")}
    wears = {"sound": _("sound"), "wet": _("wet"), "corroded": _("corroded")}
    seen = [joints.get(said.get("joint", "")), wears.get(said.get("wear") or "")]
    return _("Seen in %(place)s: %(seen)s") % {
        "place": place,
        "seen": ", ".join(each for each in seen if each),
    }


def _ohms_words(said: Mapping[str, Any]) -> str:
    return {
        "open": _("Ohms at the controller: open"),
        "dead short": _("Ohms at the controller: a dead short"),
        "coil low": _("Ohms at the controller: lower than wire and coil"),
        "as expected": _("Ohms at the controller: as expected"),
        "high": _("Ohms at the controller: higher than wire and coil"),
    }[said["ohms"]]


def _replaced_words(said: Mapping[str, Any]) -> str:
    return {
        "output": _("The controller's output was replaced: still dead"),
        "common": _("The common at the controller was mended: still dead"),
        "coil": _("The coil was replaced: still dead"),
        "water": _("The valve was mended: still dead"),
        "controller splice": _("The wire's end at the controller was mended: still dead"),
        "valve splice": _("The splices in the valve box were made again: still dead"),
        "master": _("The master valve or pump was mended: still dead"),
        "wire": _("The station's wire was put on its terminal in place of another: still dead"),
    }[said["check"]]


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
    if said.get("by_ohms"):
        return _("Ohms at the controller: as with one of the two coils open")
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
        "controller splice": (
            _("The wire's end and splice at the controller are sound"),
            _("The wire's end or splice at the controller is bad"),
        ),
        "valve splice": (
            _("The splices in the valve box are sound"),
            _("A splice in the valve box is bad"),
        ),
        "master": (_("The master valve or pump works"), _("The master valve or pump is dead")),
        "wire": (
            _("Fed at the valve, no other wire carries the tone at the controller"),
            _("Fed at the valve, another wire carries the tone at the controller"),
        ),
    }[said["check"]]
    return right if said["is_right"] else wrong
