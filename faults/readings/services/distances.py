"""How far away the fault is, and where on the station's route that lies."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from faults.readings.engines.placing import (
    Check,
    Distance,
    ImpossibleDistance,
    is_another_loop,
)
from faults.readings.services.distance_methods import Method, Values
from faults.readings.services.wire_of_station import UnableToMeasure, WireOfStation
from sites.ground.engines.routes import Step, Stretch, UnableToRoute, route
from sites.models import Leg, Station, Wire
from sites.register.queries.stations import controller_point, route_wire

# Less is rounding, and not worth a sentence.
LEAST_BEYOND_FT = 0.5

CHECKS = {
    Check.VALUES: _("Each value must be above 0: look at what was typed."),
    Check.ARMS: _("The arms may be the wrong way round: P is the one on the sound wire."),
    Check.SWITCH: _("Check the switch's position and the arms, and measure the loop again."),
    Check.SHORT: _(
        "The fault itself has resistance, or it is not a short: measure from both ends instead."
    ),
    Check.LOOP: _(
        "The two readings are together less than the loop: measure the loop again, and see that "
        "the far end was open."
    ),
    Check.NO_LOOP: _(
        "The loop reads no more than the meter's own error, so it sets no scale: measure it again."
    ),
    Check.ENDS: _("Check which reading belongs to which end, and the run's length."),
    Check.ORDER: _(
        "With the far end joined it must read less than with it open, and less than the loop: "
        "check which reading is which."
    ),
    Check.READINGS: _("Check the three readings, and the run's length."),
    Check.SOUND_WIRE: _(
        "The sound wire may be of another kind, or this wire is not cut: measure its ohms."
    ),
    Check.SPEED: _("The pulse would be faster than light: check the length and the time."),
    Check.ECHO: _("The echo may be a second one, or the sound wire's length is wrong."),
}


@dataclass(frozen=True)
class PlaceOnRoute:
    """Where feet along a route lie: which leg, how far along it, between which points."""

    leg: Leg
    feet_along: float
    from_name: str
    to_name: str


@dataclass(frozen=True)
class Way:
    """What is registered of a station's wire: sizes, run, and its legs in order."""

    hot_words: str
    common_words: str
    length_ft: float | None
    steps: Sequence[Step]
    legs: Mapping[int, Leg]

    def place(self, feet: float) -> PlaceOnRoute | None:
        """Return where that is, or None where no route is registered or it ends before."""
        for step in self.steps:
            # Half a foot: what is left of rounding at the far end of the route.
            if feet <= step.to_ft + 0.5:
                leg = self.legs[step.leg]
                names = {p.pk: p.name for p in (leg.from_point, leg.to_point)}
                along = min(max(feet - step.from_ft, 0.0), step.length_ft)
                return PlaceOnRoute(leg, along, names[step.from_point], names[step.to_point])
        return None


@dataclass(frozen=True)
class OtherLoop:
    """A loop that was measured, and what the register makes of the same one."""

    measured_ohms: float
    registered_ohms: float


@dataclass(frozen=True)
class Answer:
    """A distance, where on the station's route that is, and what it was computed with.

    `loop_ohms` is the measured loop that set the scale, `other_loop` is there where the registered
    one differs from it by more than both errors explain.
    """

    found: Distance
    place: PlaceOnRoute | None
    wire: WireOfStation
    run_ft: float
    is_bridge: bool = False
    loop_ohms: float | None = None
    other_loop: OtherLoop | None = None

    @property
    def from_controller_ft(self) -> float:
        """The same place in feet from the controller."""
        feet = self.found.feet
        return max(self.run_ft - feet, 0.0) if self.wire.is_from_valve else feet

    @property
    def beyond_ft(self) -> float:
        """How far past an end of the wire the readings put it, within their error."""
        return abs(self.found.beyond_ft)

    @property
    def is_beyond(self) -> bool:
        """Whether they put it past an end by more than a rounding."""
        return self.beyond_ft >= LEAST_BEYOND_FT

    @property
    def is_at_valve(self) -> bool:
        """Whether that end is the valve's."""
        return (self.found.beyond_ft > 0) != self.wire.is_from_valve

    @property
    def is_by_size(self) -> bool:
        """Whether the wires' sizes had a part in it, beside or in place of a measured loop."""
        is_scaled = self.loop_ohms is not None and self.found.run_ft is None
        return self.is_bridge or not is_scaled or self.wire.changes_at_ft is not None


def measure(method: Method, way: Way, values: Values, wire: WireOfStation) -> Answer:
    """Return how far away the fault is.

    Raises:
        UnableToMeasure: the values give a place that cannot be, or the wire's size is not known.
    """
    try:
        found = method.compute(wire, values)
        loop = method.loop(values)
    except ImpossibleDistance as refusal:
        raise UnableToMeasure(_refused(refusal.check)) from refusal
    run_ft = wire.length_ft if found.run_ft is None else found.run_ft
    assert run_ft is not None
    answer = Answer(
        found,
        None,
        wire,
        run_ft,
        is_bridge=method.is_bridge,
        loop_ohms=loop[0] if loop else None,
        other_loop=_other_loop(method, wire, *loop) if loop else None,
    )
    # From the valve the route is walked back from its own end, whatever length was typed.
    back_ft = (way.steps[-1].to_ft if way.steps else run_ft) - found.feet
    feet = max(back_ft, 0.0) if wire.is_from_valve else found.feet
    return replace(answer, place=way.place(feet))


def _other_loop(
    method: Method, wire: WireOfStation, loop_ohms: float, error_ohms: float
) -> OtherLoop | None:
    registered = wire.loop_ohms(is_bridge=method.is_bridge)
    if registered is None or not is_another_loop(loop_ohms, registered, error_ohms=error_ohms):
        return None
    return OtherLoop(loop_ohms, registered)


def _refused(check: Check) -> str:
    if check is Check.VALUES:
        return str(CHECKS[check])
    return gettext("No place on this wire gives these values. %s") % CHECKS[check]


def way_of(station: Station) -> Way:
    """Return what is registered of the station's wire, and of the way it goes."""
    wire = route_wire(station)
    common = (
        station.controller.terminations.open()
        .filter(wire__kind="common")
        .order_by("pk")
        .values_list("wire__size", flat=True)
        .first()
    )
    steps, legs = _route(station, wire)
    return Way(
        (wire.size if wire else "") or station.wire_size,
        common or "",
        steps[-1].to_ft if steps else station.run_length_ft,
        steps,
        legs,
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
