"""The distance methods as forms see them: what each asks for, and where the answer lies.

A method turns typed values and the station's own wire into feet from the controller; the
route says which leg that is, and how far along it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext_lazy as _

from faults.engines import distance as engine
from faults.engines.distance import Distance, ImpossibleDistance, Piece
from sites.engines.routes import Step, Stretch, UnableToRoute, route
from sites.engines.wire.copper import WireSize
from sites.engines.wire.sizes import size_from_words
from sites.models import Leg, Station, Wire
from sites.queries import controller_point, route_wire

Values = Mapping[str, float]


@dataclass(frozen=True)
class Asked:
    """One value that a method asks for."""

    name: str
    label: Any
    unit: str
    help: Any = ""
    initial: float | None = None


@dataclass(frozen=True)
class WireOfStation:
    """What a method needs to know of the wire: its length, and ohms per 1000 ft of each part."""

    length_ft: float
    hot: WireSize
    common: WireSize
    ground_c: float = 20.0

    @classmethod
    def with_length(cls, wire: "WireOfStation | None", length_ft: float) -> "WireOfStation":
        """Return the wire with a length that somebody measured; unknown sizes are refused."""
        if wire is None:
            raise ImpossibleDistance(
                "The sizes of this station's wires are not registered: enter them with the wire, "
                "or as the station's size."
            )
        return replace(wire, length_ft=length_ft)

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
        (_LOOP, _SOUND_ARM, _FAULTY_ARM, Asked("dial_ohms", _("Dial at balance, S"), "Ω")),
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
        (Asked("ohms", _("Reading"), "Ω"),),
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
            Asked("near_ohms", _("Reading at the controller"), "Ω"),
            Asked("far_ohms", _("Reading at the valve"), "Ω"),
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
            Asked("open_ohms", _("Far end open"), "Ω"),
            Asked("joined_ohms", _("Far end joined"), "Ω"),
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
            Asked("sound_ft", _("Sound wire's length"), "ft"),
            Asked("sound_us", _("Echo of the sound wire's end"), "µs"),
            Asked("fault_us", _("Echo of the fault"), "µs"),
        ),
        lambda wire, v: engine.reflection(
            velocity=engine.velocity_factor(length_ft=v["sound_ft"], seconds=v["sound_us"] * 1e-6),
            seconds=v["fault_us"] * 1e-6,
            length_ft=wire.length_ft,
        ),
    ),
)

BY_KEY = {method.key: method for method in METHODS}


@dataclass(frozen=True)
class PlaceOnRoute:
    """Where feet along a route lie: which leg, how far along it, between which points."""

    leg: Leg
    feet_along: float
    from_name: str
    to_name: str


def place_on_route(
    feet: float, steps: Sequence[Step], legs: Mapping[int, Leg], names: Mapping[int, str]
) -> PlaceOnRoute | None:
    """Return the place, or None where no route is registered."""
    for step in steps:
        if feet <= step.to_ft or step is steps[-1]:
            along = min(max(feet - step.from_ft, 0.0), step.length_ft)
            return PlaceOnRoute(legs[step.leg], along, names[step.from_point], names[step.to_point])
    return None


Route = tuple[WireOfStation | None, list[Step], dict[int, Leg], dict[int, str]]


def wire_of(station: Station) -> Route:
    """Return the station's wire, and its route where one is registered."""
    wire = route_wire(station)
    common = (
        station.controller.terminations.open()
        .filter(wire__kind="common")
        .order_by("pk")
        .values_list("wire__size", flat=True)
        .first()
    )
    hot = size_from_words(wire.size if wire else station.wire_size)
    steps, legs = _route(station, wire)
    length_ft = steps[-1].to_ft if steps else station.run_length_ft
    names = {leg.from_point_id: leg.from_point.name for leg in legs.values()}
    names |= {leg.to_point_id: leg.to_point.name for leg in legs.values()}
    if hot is None:
        return None, steps, legs, names
    return (
        WireOfStation(length_ft or 1.0, hot, size_from_words(common or "") or hot),
        steps,
        legs,
        names,
    )


def _route(station: Station, wire: Wire | None) -> tuple[list[Step], dict[int, Leg]]:
    start = controller_point(station, wire)
    if wire is None or start is None or station.valve_point is None:
        return [], {}
    lies = wire.lies.select_related("leg__from_point", "leg__to_point")
    legs = {one.leg_id: one.leg for one in lies}
    stretches = [
        Stretch(leg.pk, leg.from_point_id, leg.to_point_id, leg.length_ft) for leg in legs.values()
    ]
    try:
        return route(stretches, start=start.pk, end=station.valve_point.pk), legs
    except UnableToRoute:
        return [], {}
