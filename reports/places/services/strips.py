"""The strip of a station's wire, with past breaks: register and faults on one line."""

from collections import Counter

from django.urls import reverse
from django.utils.translation import gettext as _

from faults.models import Break
from reports.off_central.queries import breaks_on
from sites.ground.charts.strip import PastBreak, strip
from sites.ground.engines.routes import RingRefused, Step, Stretch, UnableToRoute, route
from sites.models import Leg, Point, PointKind, Property, Station, User, Wire, Wiring
from sites.register.queries.stations import controller_point, route_wire
from sites.templatetags.register import depth


def strip_of(user: User, station: Station) -> dict[str, object]:
    """Return the strip and the breaks on it, or in words why it cannot be drawn."""
    wire = route_wire(station)
    if wire is None:
        return _without_wire(station)
    start = controller_point(station, wire)
    legs = {
        lies.leg_id: lies.leg
        for lies in wire.lies.select_related("leg__from_point", "leg__to_point")
    }
    if start is None or station.valve_point is None or not legs:
        words = _(
            "The wire's way is not registered: its legs, or the point of the valve, are missing."
        )
        return {"wire": wire, "no_strip": words}
    try:
        steps = route(
            [
                Stretch(leg.pk, leg.from_point_id, leg.to_point_id, leg.length_ft)
                for leg in legs.values()
            ],
            start=start.pk,
            end=station.valve_point.pk,
        )
    except UnableToRoute as problem:
        return {"wire": wire, "no_strip": _refusal(problem)}
    drawn = _draw(user, station, wire, steps, legs) if steps else {}
    return {"wire": wire, "size_words": _size_words(wire, station), **drawn}


def _refusal(problem: UnableToRoute) -> str:
    if isinstance(problem, RingRefused):
        return _(
            "The legs of this wire close a ring: two ways lead to the valve, so feet along the "
            "wire have no meaning. Its legs are on the site plan."
        )
    return _("The legs of this wire do not lead from the controller to the valve.")


def _without_wire(station: Station) -> dict[str, object]:
    """Draw the run where its length is all that is known; nobody has seen where it lies."""
    if station.controller.wiring == Wiring.TWO_WIRE:
        words = _(
            "This controller reaches its valves over a two-wire path: stations share its wires."
        )
        return {"no_strip": words}
    words = _("No wire is registered for this station.")
    if not station.run_length_ft:
        return {"no_strip": words}
    start = Point(pk=-1, name=station.controller.name, kind=PointKind.CONTROLLER)
    end = Point(pk=-2, name=_("valve"), kind=PointKind.VALVE_BOX)
    run = Leg(
        pk=-1,
        label=_("the whole run"),
        from_point=start,
        to_point=end,
        length_ft=station.run_length_ft,
        is_surveyed=False,
    )
    drawn = strip(
        [Step(-1, -1, -2, 0.0, station.run_length_ft, True)],
        legs={-1: run},
        points={-1: start, -2: end},
        how={},
        breaks=[],
        struck={},
    )
    return {"strip": drawn, "strip_note": words}


def _size_words(wire: Wire, station: Station) -> str:
    """Say the wire's size, and where the station's own entry disagrees with it."""
    if wire.size and station.wire_size and wire.size != station.wire_size:
        return _("The wire is registered as %(wire)s, the station's run as %(run)s.") % {
            "wire": wire.size,
            "run": station.wire_size,
        }
    size = wire.size or station.wire_size
    return _("%s all along, as registered.") % size if size else ""


def _draw(
    user: User, station: Station, wire: Wire, steps: list[Step], legs: dict[int, Leg]
) -> dict[str, object]:
    points = {leg.from_point_id: leg.from_point for leg in legs.values()}
    points |= {leg.to_point_id: leg.to_point for leg in legs.values()}
    found = breaks_on(user, [step.leg for step in steps])
    place = station.controller.property
    drawn = strip(
        steps,
        legs=legs,
        points=points,
        how=dict(wire.at_points.values_list("point_id", "how")),
        breaks=_marks(found, {step.leg: step for step in steps}),
        struck=Counter(one.leg_id for one in found if one.leg_id is not None),
        words={step.leg: _along(legs[step.leg], place) for step in steps},
    )
    return {"strip": drawn, "breaks": list(enumerate(found, start=1))}


def _marks(found: list[Break], by_leg: dict[int, Step]) -> list[PastBreak]:
    return [
        PastBreak(
            feet_along_route(by_leg[one.leg_id], one),
            f"{one.get_cause_display()} {one.found_on or ''}".strip(),
            reverse("faults:fault", args=[one.fault.ref]) if may_open(one) else "",
            number,
        )
        for number, one in enumerate(found, start=1)
        if one.leg_id is not None and one.feet_along is not None
    ]


def _along(leg: Leg, place: Property) -> list[str]:
    """Return what may be written along a leg, the fullest first."""
    deep = depth(leg.depth_in, place)
    cover = leg.get_cover_display() if leg.cover else ""
    pipe = _("in conduit") if leg.in_conduit else ""
    lines = [[cover, deep, pipe], [cover, deep], [deep]]
    return [", ".join(filter(None, line)) for line in lines if any(line)]


def may_open(one: Break) -> bool:
    """Return whether the user may open the fault behind a break, as the query said."""
    return bool(getattr(one, "may_open", False))


def feet_along_route(step: Step, one: Break) -> float:
    """Return where a break lies on a route, whichever end its feet were taken from."""
    feet = one.feet_along or 0.0
    leg = one.leg
    if leg is not None and one.from_point_id == leg.to_point_id:
        feet = leg.length_ft - feet
    return step.feet_along_route(feet)
