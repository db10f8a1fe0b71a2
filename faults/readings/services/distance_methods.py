"""The distance methods: what each finds, how it is hooked up, and what it asks for."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from faults.readings.engines import distance as engine
from faults.readings.engines import distance_loops as loops
from faults.readings.engines.placing import METER_ERROR_OHMS, Distance
from faults.readings.services.wire_of_station import WireOfStation

Values = Mapping[str, Any]


@dataclass(frozen=True)
class Asked:
    """One value that a method asks for; `is_length` where it is written in the place's units.

    `may_be_empty` where the method does without it.
    """

    name: str
    label: Any
    unit: str = ""
    help: Any = ""
    may_be_0: bool = False
    is_length: bool = False
    may_be_empty: bool = False


def _typed_loop(values: Values) -> tuple[float, float] | None:
    typed: float | None = values.get("loop_ohms")
    return None if typed is None else (typed, METER_ERROR_OHMS)


@dataclass(frozen=True)
class Method:
    """One way to measure a distance."""

    key: str
    name: object
    finds: object
    how: object
    asks: tuple[Asked, ...]
    compute: Callable[[WireOfStation, Values], Distance]
    # Whether it computes with the ohms of the wire: then its size and its warmth count.
    by_ohms: bool = True
    # Whether the loop goes out along the faulty wire and back along a sound one.
    is_bridge: bool = False
    # Whether the readings of both ends are asked for: then it is told from the controller.
    from_both_ends: bool = False
    needs_length: bool = True
    # The loop that was measured, which then sets the scale, and its standard error.
    loop: Callable[[Values], tuple[float, float] | None] = _typed_loop

    @property
    def is_of_pair(self) -> bool:
        """Whether it measures the hot and the common against each other."""
        return self.by_ohms and not self.is_bridge


_SOUND_ARM = Asked("sound_arm", _("Arm on the sound wire, P"), "Ω")
_FAULTY_ARM = Asked("faulty_arm", _("Arm on the faulty wire, Q"), "Ω")
_LOOP = Asked(
    "loop_ohms", _("Loop of the sound pair"), "Ω", _("both wires, joined at the far end, no coil")
)
_DIAL = Asked("dial_ohms", _("Dial at balance, S"), "Ω", may_be_0=True)
_OPEN = Asked("open_ohms", _("Far end open"), "Ω", may_be_0=True)
_JOINED = Asked("joined_ohms", _("Far end joined"), "Ω", may_be_0=True)

METHODS: tuple[Method, ...] = (
    Method(
        "murray",
        _("Murray loop"),
        _("a wire shorted or leaking to earth"),
        _(
            "Free both ends. Join the faulty wire to a sound one at the far end; balance the "
            "bridge against earth."
        ),
        (_SOUND_ARM, _FAULTY_ARM),
        lambda wire, v: engine.murray(
            faulty=wire.hot_pieces,
            sound=wire.sound_pieces,
            sound_arm=v["sound_arm"],
            faulty_arm=v["faulty_arm"],
        ),
        is_bridge=True,
    ),
    Method(
        "varley",
        _("Varley loop"),
        _("a wire shorted or leaking to earth, with fixed arms"),
        _("As for the Murray loop, with a dial in the faulty wire; first measure the loop."),
        (_LOOP, _SOUND_ARM, _FAULTY_ARM, _DIAL),
        lambda wire, v: engine.varley(
            faulty=wire.hot_pieces,
            sound=wire.sound_pieces,
            loop_ohms=v["loop_ohms"],
            sound_arm=v["sound_arm"],
            faulty_arm=v["faulty_arm"],
            dial_ohms=v["dial_ohms"],
        ),
        is_bridge=True,
    ),
    Method(
        "varley-twice",
        _("Varley loop, balanced twice"),
        _("a wire shorted or leaking to earth, with fixed arms and no other meter"),
        _(
            "As for the Varley loop: balance first with the switch on the loop, then with the "
            "switch on earth."
        ),
        (
            _SOUND_ARM,
            _FAULTY_ARM,
            Asked("loop_dial_ohms", _("Dial at the loop's balance, S1"), "Ω"),
            Asked("dial_ohms", _("Dial at the fault's balance, S2"), "Ω", may_be_0=True),
        ),
        lambda wire, v: engine.varley_balanced_twice(
            faulty=wire.hot_pieces,
            sound=wire.sound_pieces,
            sound_arm=v["sound_arm"],
            faulty_arm=v["faulty_arm"],
            loop_dial_ohms=v["loop_dial_ohms"],
            dial_ohms=v["dial_ohms"],
        ),
        is_bridge=True,
        loop=lambda v: engine.loop_by_dial(
            loop_dial_ohms=v["loop_dial_ohms"],
            sound_arm=v["sound_arm"],
            faulty_arm=v["faulty_arm"],
        ),
    ),
    Method(
        "short",
        _("Loop from one end"),
        _("hot and common shorted together, dead"),
        _("Free both wires at the controller; an ohmmeter across them."),
        (
            Asked("ohms", _("Reading"), "Ω", may_be_0=True),
            Asked(
                "loop_ohms",
                _("A sound loop of this run, if one was measured"),
                "Ω",
                _("same wires, same meter, joined at the far end; it then sets the scale"),
                may_be_empty=True,
            ),
        ),
        lambda wire, v: loops.dead_short(
            pair=wire.pair_to_scale if v.get("loop_ohms") else wire.pair,
            ohms=v["ohms"],
            loop_ohms=v.get("loop_ohms"),
        ),
    ),
    Method(
        "both-ends",
        _("Loop from both ends"),
        _("hot and common shorted, with resistance in the fault"),
        _(
            "Free both wires at both ends; an ohmmeter across them at the controller, then at the "
            "valve."
        ),
        (
            Asked("near_ohms", _("Reading at the controller"), "Ω", may_be_0=True),
            Asked("far_ohms", _("Reading at the valve"), "Ω", may_be_0=True),
            _LOOP,
        ),
        lambda wire, v: loops.short_from_both_ends(
            pair=wire.pair_to_scale,
            near_ohms=v["near_ohms"],
            far_ohms=v["far_ohms"],
            loop_ohms=v["loop_ohms"],
        ),
        from_both_ends=True,
    ),
    Method(
        "blavier",
        _("One end, twice"),
        _("hot and common shorted, when only one end can be measured"),
        _("At one end: once with the far end open, once with the wires joined there."),
        (_OPEN, _JOINED, _LOOP),
        lambda wire, v: loops.blavier(
            pair=wire.pair_to_scale,
            open_ohms=v["open_ohms"],
            joined_ohms=v["joined_ohms"],
            loop_ohms=v["loop_ohms"],
        ),
    ),
    Method(
        "three-readings",
        _("Three readings, loop not known"),
        _("hot and common shorted, on a run whose loop or even length nobody knows"),
        _(
            "At the controller: once with the valve's end open, once with the wires joined there. "
            "At the valve: once with the controller's end open."
        ),
        (
            _OPEN,
            _JOINED,
            Asked("far_ohms", _("Reading at the valve"), "Ω", may_be_0=True),
        ),
        lambda wire, v: loops.short_by_three_readings(
            pair=wire.foot_of_pair if wire.length_ft is None else wire.pair_to_scale,
            is_length_known=wire.length_ft is not None,
            open_ohms=v["open_ohms"],
            joined_ohms=v["joined_ohms"],
            far_ohms=v["far_ohms"],
        ),
        from_both_ends=True,
        needs_length=False,
        loop=lambda v: loops.loop_by_three_readings(
            open_ohms=v["open_ohms"], joined_ohms=v["joined_ohms"], far_ohms=v["far_ohms"]
        ),
    ),
    Method(
        "capacitance",
        _("Capacitance from one end"),
        _("a wire cut through, against a sound one of the same kind"),
        _(
            "Free both ends and the coil. Measure the cut wire, then the sound one, to the same "
            "other wire, equally wet."
        ),
        (
            Asked("broken_nf", _("Cut wire"), "nF"),
            Asked("sound_nf", _("Sound wire"), "nF"),
        ),
        lambda wire, v: engine.open_by_capacitance(
            length_ft=wire.run_ft, broken_nf=v["broken_nf"], sound_nf=v["sound_nf"]
        ),
        by_ohms=False,
    ),
    Method(
        "capacitance-both-ends",
        _("Capacitance from both ends"),
        _("a wire cut through"),
        _(
            "Free both ends and the coil. Measure the cut wire from the controller, then from the "
            "valve."
        ),
        (
            Asked("near_nf", _("From the controller"), "nF"),
            Asked("far_nf", _("From the valve"), "nF"),
        ),
        lambda wire, v: engine.open_by_capacitance_from_both_ends(
            length_ft=wire.run_ft, near_nf=v["near_nf"], far_nf=v["far_nf"]
        ),
        by_ohms=False,
        from_both_ends=True,
    ),
    Method(
        "reflection",
        _("Reflection time"),
        _("a wire cut or shorted; a pulse comes back from the fault"),
        _(
            "Loose single wires have no fixed speed: calibrate on a sound wire of known length in "
            "the same ground first."
        ),
        (
            Asked("sound_ft", _("Sound wire's length"), is_length=True),
            Asked("sound_us", _("Echo of the sound wire's end"), "µs"),
            Asked("fault_us", _("Echo of the fault"), "µs"),
        ),
        lambda wire, v: engine.reflection(
            velocity=engine.velocity_factor(length_ft=v["sound_ft"], seconds=v["sound_us"] * 1e-6),
            seconds=v["fault_us"] * 1e-6,
            length_ft=wire.run_ft,
        ),
        by_ohms=False,
    ),
)

BY_KEY = {method.key: method for method in METHODS}
