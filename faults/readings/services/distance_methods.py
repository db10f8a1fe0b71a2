"""The distance methods: what each finds, how it is hooked up, and what it asks for."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from faults.readings.engines import distance as engine
from faults.readings.engines.distance import Distance, Piece
from sites.kernel.services.verbs import UnableToAct
from sites.wires.engines.copper import WireSize
from sites.wires.engines.sizes import size_from_words
from sites.wires.services.expected import GROUND_C

Values = Mapping[str, float]


class UnableToMeasure(UnableToAct):
    """The values give no distance on this wire; the message says what to check."""


@dataclass(frozen=True)
class Asked:
    """One value that a method asks for; `is_length` where it is written in the place's units."""

    name: str
    label: Any
    unit: str = ""
    help: Any = ""
    may_be_0: bool = False
    is_length: bool = False


@dataclass(frozen=True)
class WireOfStation:
    """What a method needs to know of the wire: its length, and ohms per 1000 ft of each part.

    A common whose size nobody wrote down is taken as the hot.
    """

    length_ft: float
    hot_words: str
    common_words: str
    ground_c: float = GROUND_C

    @property
    def hot(self) -> WireSize:
        """The hot wire's size."""
        size = size_from_words(self.hot_words)
        if size is None:
            raise UnableToMeasure(
                gettext(
                    "The size of this station's wire is not registered, and this method computes "
                    "with its ohms: enter it with the wire, or with the station's wire size."
                )
            )
        return size

    @property
    def common(self) -> WireSize:
        """The common's size."""
        return size_from_words(self.common_words) or self.hot

    @property
    def is_common_known(self) -> bool:
        """Whether the common's size is registered."""
        return size_from_words(self.common_words) is not None

    @property
    def hot_piece(self) -> Piece:
        """The hot wire alone."""
        return Piece(self.length_ft, self.hot.ohms_per_kft(self.ground_c))

    @property
    def common_piece(self) -> Piece:
        """The common alone."""
        return Piece(self.length_ft, self.common.ohms_per_kft(self.ground_c))

    @property
    def pair(self) -> Piece:
        """Both together, per foot of run."""
        together = self.hot.ohms_per_kft(self.ground_c) + self.common.ohms_per_kft(self.ground_c)
        return Piece(self.length_ft, together)


@dataclass(frozen=True)
class Method:
    """One way to measure a distance."""

    key: str
    name: Any
    finds: Any
    how: Any
    asks: tuple[Asked, ...]
    compute: Callable[[WireOfStation, Values], Distance]
    # Whether it computes with the ohms of the wire: then its size and its warmth count.
    by_ohms: bool = True


_SOUND_ARM = Asked("sound_arm", _("Arm on the sound wire, P"), "Ω")
_FAULTY_ARM = Asked("faulty_arm", _("Arm on the faulty wire, Q"), "Ω")
_LOOP = Asked(
    "loop_ohms", _("Loop of the sound pair"), "Ω", _("both wires, joined at the valve, no coil")
)

METHODS: tuple[Method, ...] = (
    Method(
        "murray",
        _("Murray loop"),
        _("a wire shorted or leaking to earth"),
        _(
            "Free both ends. Join the faulty wire to a sound one at the valve; balance the bridge "
            "against earth."
        ),
        (_SOUND_ARM, _FAULTY_ARM),
        lambda wire, v: engine.murray(
            faulty=[wire.hot_piece],
            sound=[wire.common_piece],
            sound_arm=v["sound_arm"],
            faulty_arm=v["faulty_arm"],
        ),
    ),
    Method(
        "varley",
        _("Varley loop"),
        _("a wire shorted or leaking to earth, with fixed arms"),
        _("As for the Murray loop, with a dial in the sound wire; first measure the loop."),
        (
            _LOOP,
            _SOUND_ARM,
            _FAULTY_ARM,
            Asked("dial_ohms", _("Dial at balance, S"), "Ω", may_be_0=True),
        ),
        lambda wire, v: engine.varley(
            faulty=[wire.hot_piece],
            loop_ohms=v["loop_ohms"],
            sound_arm=v["sound_arm"],
            faulty_arm=v["faulty_arm"],
            dial_ohms=v["dial_ohms"],
        ),
    ),
    Method(
        "short",
        _("Loop from one end"),
        _("hot and common shorted together, dead"),
        _("Free both wires at the controller; an ohmmeter across them."),
        (Asked("ohms", _("Reading"), "Ω", may_be_0=True),),
        lambda wire, v: engine.dead_short(pair=[wire.pair], ohms=v["ohms"]),
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
        lambda wire, v: engine.short_from_both_ends(
            pair=[wire.pair],
            near_ohms=v["near_ohms"],
            far_ohms=v["far_ohms"],
            loop_ohms=v["loop_ohms"],
        ),
    ),
    Method(
        "blavier",
        _("One end, twice"),
        _("hot and common shorted, when only the controller's end can be measured"),
        _("At the controller: once with the valve's end open, once with the wires joined there."),
        (
            Asked("open_ohms", _("Far end open"), "Ω", may_be_0=True),
            Asked("joined_ohms", _("Far end joined"), "Ω", may_be_0=True),
            _LOOP,
        ),
        lambda wire, v: engine.blavier(
            pair=[wire.pair],
            open_ohms=v["open_ohms"],
            joined_ohms=v["joined_ohms"],
            loop_ohms=v["loop_ohms"],
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
            length_ft=wire.length_ft, broken_nf=v["broken_nf"], sound_nf=v["sound_nf"]
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
            length_ft=wire.length_ft, near_nf=v["near_nf"], far_nf=v["far_nf"]
        ),
        by_ohms=False,
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
            length_ft=wire.length_ft,
        ),
        by_ohms=False,
    ),
)

BY_KEY = {method.key: method for method in METHODS}
