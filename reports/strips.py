"""The strip of a station's wire, with past breaks: register and faults on one line."""

from collections import Counter
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from faults.models import Break
from reports.queries import breaks_on
from sites.charts import strip
from sites.engines.routes import Step, Stretch, UnableToRoute, route
from sites.models import Leg, Station, User, Wire
from sites.queries import controller_point, route_wire


def strip_of(user: User, station: Station) -> dict[str, Any]:
    """Return the strip and the breaks on it, or in words why it cannot be drawn."""
    wire = route_wire(station)
    if wire is None:
        return {"no_strip": _no_wire(station)}
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
        return {"wire": wire, "no_strip": str(problem)}
    return {"wire": wire, **_draw(user, wire, steps, legs)} if steps else {"wire": wire}


def _no_wire(station: Station) -> str:
    if station.controller.wiring == "two-wire path":
        return _(
            "This controller reaches its valves over a two-wire path: stations share its wires."
        )
    return _("No wire is registered for this station.")


def _draw(user: User, wire: Wire, steps: list[Step], legs: dict[int, Leg]) -> dict[str, Any]:
    points = {leg.from_point_id: leg.from_point for leg in legs.values()}
    points |= {leg.to_point_id: leg.to_point for leg in legs.values()}
    found = breaks_on(user, [step.leg for step in steps])
    by_leg = {step.leg: step for step in steps}
    marks = [
        (
            feet_along_route(by_leg[one.leg_id], one),
            f"{one.get_cause_display()} {one.found_on or ''}".strip(),
            reverse("faults:fault", args=[one.fault.ref]) if may_open(one) else "",
        )
        for one in found
        if one.leg_id is not None and one.feet_along is not None
    ]
    drawn = strip(
        steps,
        legs=legs,
        points=points,
        how=dict(wire.at_points.values_list("point_id", "how")),
        breaks=marks,
        struck=Counter(one.leg_id for one in found if one.leg_id is not None),
    )
    return {"strip": drawn, "breaks": found}


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
