"""How each kind of reading and each action is named and laid out in plain values."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from faults.locating.engines import actions
from faults.locating.engines.belief import Conductor
from faults.locating.engines.box_tests import BoxTest, Clamped, InsulationTest, Listened
from faults.locating.engines.line import Joint
from faults.locating.engines.mends import Mended
from faults.locating.engines.other_tests import (
    Bypassed,
    Check,
    Checked,
    Distance,
    EarthGradient,
    GradientWalked,
    SpareTried,
)
from faults.locating.engines.plain_values import (
    Ids,
    UnusablePlain,
    enum_from,
    flag_from,
    number_from,
    object_from,
    optional,
    written,
)
from faults.locating.engines.seen import Looked, Ohms, OhmsRead, Wear
from faults.locating.engines.tones import MarkedLevel, Third, ToneLevel, ToneWalked
from faults.locating.engines.volts import VoltsRead

REQUIRED = object()


@dataclass(frozen=True)
class Part:
    """One named value: its name in plain, the attribute, its type, how it is read and written.

    The type is a word by which the phone reads the same value.
    """

    name: str
    attribute: str
    type: str
    read: Callable[[object, str, Ids], Any]
    write: Callable[[Any, Ids], Any] = lambda value, _ids: value
    default: object = REQUIRED


@dataclass(frozen=True)
class Layout:
    """The parts of one kind of object."""

    parts: tuple[Part, ...]

    def read(self, given: Mapping[str, Any], ids: Ids, what: str) -> dict[str, Any]:
        """Return the attributes."""
        values = {}
        for part in self.parts:
            if part.name not in given and part.default is REQUIRED:
                raise UnusablePlain(f"Expected {part.name} in {what}, got nothing")
            values[part.attribute] = part.read(given.get(part.name, part.default), part.name, ids)
        return values

    def write(self, value: object, ids: Ids) -> dict[str, Any]:
        """Return the plain values."""
        return {p.name: p.write(getattr(value, p.attribute), ids) for p in self.parts}


@dataclass(frozen=True)
class Kind:
    """One kind of object: its tag, its class, its layout.

    Of two kinds with one tag the first is taken only where the value `needs` is given.
    """

    tag: str
    made: type
    layout: Layout
    needs: str | None = None
    heeds_soil: bool = False

    def takes(self, given: Mapping[str, Any]) -> bool:
        """Whether this is the kind of what is given, where the tag is."""
        return self.needs is None or given.get(self.needs) is not None


def read_tagged(
    kinds: tuple[Kind, ...], plain: object, ids: Ids, tag: str, extra: Mapping[str, Any]
) -> Any:
    """Read an object by its tag."""
    given = object_from(plain, tag)
    for kind in kinds:
        if kind.tag == given.get(tag) and kind.takes(given):
            values = kind.layout.read(given, ids, kind.tag)
            return kind.made(**values, **(extra if kind.heeds_soil else {}))
    words = ", ".join(dict.fromkeys(kind.tag for kind in kinds))
    raise UnusablePlain(f"Expected one of {words} as {tag}, got {written(given.get(tag))}")


def write_tagged(kinds: tuple[Kind, ...], value: object, ids: Ids, tag: str) -> dict[str, Any]:
    """Write an object with its tag."""
    for kind in kinds:
        if type(value) is kind.made:
            return {tag: kind.tag, **kind.layout.write(value, ids)}
    raise UnusablePlain(f"Expected something that has a {tag}, got {written(value)}")


def _plain(read: Callable[[object, str], Any]) -> Callable[[object, str, Ids], Any]:
    return lambda value, name, _ids: read(value, name)


def _point(name: str, attribute: str, default: object = REQUIRED) -> Part:
    def read(value: object, label: str, ids: Ids) -> int | None:
        return None if value is None and default is None else ids.point_at(value, label)

    def write(value: int | None, ids: Ids) -> Any:
        return None if value is None else ids.points[value]

    return Part(name, attribute, "point", read, write, default)


def _box(name: str, attribute: str) -> Part:
    return Part(
        name,
        attribute,
        "box",
        lambda value, label, ids: ids.box_at(value, label),
        lambda at, ids: ids.points[at],
    )


_LEG = Part(
    "leg",
    "leg",
    "leg",
    lambda value, label, ids: ids.leg_at(value, label),
    lambda at, ids: ids.legs[at],
)


def _flag(name: str, attribute: str | None = None, default: object = REQUIRED) -> Part:
    return Part(name, attribute or name, "flag", _plain(flag_from), default=default)


def _maybe_flag(name: str) -> Part:
    return Part(name, name, "flag", _plain(optional(flag_from)), default=None)


def _number(name: str) -> Part:
    return Part(name, name, "number", _plain(number_from))


def _maybe_number(name: str) -> Part:
    return Part(name, name, "number", _plain(optional(number_from)), default=None)


def _maybe(part: Part) -> Part:
    """The same part where it need not be given."""
    return replace(
        part,
        read=lambda value, name, ids: None if value is None else part.read(value, name, ids),
        write=lambda value, ids: None if value is None else part.write(value, ids),
        default=None,
    )


class ConductorWord(StrEnum):
    """The conductors by their short names."""

    HOT = "hot"
    COMMON = "common"
    BUNDLE = "bundle"


class CheckWord(StrEnum):
    """The checks by their short names."""

    OUTPUT = "output"
    COMMON = "common"
    COIL = "coil"
    WATER = "water"
    CONTROLLER_SPLICE = "controller splice"
    VALVE_SPLICE = "valve splice"
    MASTER = "master"
    WIRE = "wire"


_CONDUCTOR = Part(
    "conductor",
    "conductor",
    "conductor",
    lambda value, name, _ids: Conductor[enum_from(ConductorWord)(value, name).name],
    lambda conductor, _ids: ConductorWord[conductor.name].value,
    "hot",
)
_CHECK = Part(
    "check",
    "check",
    "check",
    lambda value, name, _ids: Check[enum_from(CheckWord)(value, name).name],
    lambda check, _ids: CheckWord[check.name].value,
)
_THIRD = Part("third", "third", "third", _plain(enum_from(Third)), lambda third, _ids: third.value)
_JOINT = Part(
    "joint",
    "joint",
    "joint",
    _plain(enum_from(Joint)),
    lambda joint, _ids: joint.value,
    Joint.NOT_KNOWN.value,
)
_WEAR = _maybe(Part("wear", "wear", "wear", _plain(enum_from(Wear)), lambda wear, _ids: wear.value))
_OHMS = Part("ohms", "ohms", "ohms", _plain(enum_from(Ohms)), lambda ohms, _ids: ohms.value)
_SIDES = (_maybe_flag("controller_bad"), _maybe_flag("valve_bad"), _maybe_flag("runs"))
_VOLTS = tuple(_maybe_flag(name) for name in ("controller_bad", "valve_bad", "unloaded_bad"))
_FROM_VALVE = _flag("from_valve", default=False)
_WAY = (_point("point", "start"), _point("to_point", "end"))

READINGS = (
    Kind("box", BoxTest, Layout((_box("point", "box"), *_SIDES))),
    Kind("listened", Listened, Layout((_box("point", "box"), _flag("heard")))),
    Kind("tone walked", ToneWalked, Layout((*_WAY, _CONDUCTOR))),
    Kind("tone level", ToneLevel, Layout((_THIRD, _FROM_VALVE)), needs="third", heeds_soil=True),
    Kind(
        "tone level",
        MarkedLevel,
        Layout(
            (_number("level"), _number("at_transmitter"), _number("on_sound_wire"), _FROM_VALVE)
        ),
        heeds_soil=True,
    ),
    Kind(
        "distance",
        Distance,
        Layout(
            (
                *(_number("feet"), _FROM_VALVE, _maybe_number("sd_ft"), _maybe_number("sd_share")),
                _flag("is_farthest", default=False),
            )
        ),
    ),
    Kind(
        "bypass",
        Bypassed,
        Layout((_LEG, _flag("works"), _CONDUCTOR, _flag("stays", default=False))),
    ),
    Kind("check", Checked, Layout((_CHECK, _flag("is_right"), _flag("by_ohms", default=False)))),
    Kind("gradient", EarthGradient, Layout((_number("feet"),))),
    Kind("gradient walked", GradientWalked, Layout(_WAY)),
    Kind("clamp", Clamped, Layout((_point("point", "point"), _flag("flows")))),
    Kind("volts", VoltsRead, Layout((_box("point", "box"), *_VOLTS))),
    Kind("insulation", InsulationTest, Layout((_box("point", "box"), *_SIDES))),
    Kind("spare", SpareTried, Layout((_flag("works"),))),
    Kind("looked", Looked, Layout((_box("point", "box"), _JOINT, _WEAR))),
    Kind("ohms", OhmsRead, Layout((_OHMS, _flag("joined", default=False)))),
    Kind("mended", Mended, Layout((_maybe(_LEG), _maybe(_box("point", "box")), _maybe(_CHECK)))),
)

ACTIONS = (
    Kind("open box", actions.OpenBox, Layout((_box("point", "box"),))),
    Kind("cut box", actions.CutBox, Layout((_box("point", "box"),))),
    Kind("listen", actions.ListenAt, Layout((_box("point", "box"),))),
    Kind(
        "walk tone",
        actions.WalkTone,
        Layout((*_WAY, _CONDUCTOR, _point("fed_at", "fed_at"))),
    ),
    Kind("read distance", actions.ReadDistance, Layout((_FROM_VALVE,))),
    Kind("read ohms", actions.ReadOhms, Layout(())),
    Kind("check controller", actions.CheckController, Layout(())),
    Kind("check valve", actions.CheckValve, Layout(())),
    Kind("prove wire", actions.ProveWire, Layout(())),
    Kind("move to spare", actions.MoveToSpare, Layout(())),
    Kind("clamp", actions.ClampAt, Layout((_box("point", "box"),))),
    Kind("read volts", actions.VoltsAt, Layout((_box("point", "box"),))),
    Kind("measure insulation", actions.MeasureInsulation, Layout((_box("point", "box"),))),
    Kind("walk gradient", actions.WalkGradient, Layout(_WAY)),
    Kind("bypass", actions.BypassLeg, Layout((_LEG,))),
    Kind("open ground", actions.OpenGround, Layout((_LEG, _number("feet")))),
    Kind("renew leg", actions.RenewLeg, Layout((_LEG, _CONDUCTOR))),
)

STAND = Layout(
    (
        _point("at", "at"),
        _point("open_box", "open_box", None),
        _point("tone_from", "tone_from", None),
        replace(_CONDUCTOR, name="tone_on", attribute="tone_on"),
    )
)
