"""The line of a station's wire as the engine sees it, from what the register and history know."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.utils.translation import gettext as _

from faults.locating.engines.line import Box, Joint, Line
from faults.locating.engines.line import Leg as LegOfLine
from faults.locating.services.neighbours import Others, neighbours_of
from faults.locating.services.numbers import Assumed
from faults.models import Break, Fault, Search, SearchOutcome
from sites.ground.engines.routes import RingRefused, Step, Stretch, UnableToRoute, route
from sites.kernel.services.verbs import UnableToAct
from sites.models import (
    AtPoint,
    Leg,
    LengthSource,
    Point,
    Property,
    Station,
    Wire,
    WireAtPoint,
    Wiring,
)
from sites.register.queries.stations import controller_point, route_wire

DAYS_PER_YEAR = 365.25
NOBODY_KNOWS = -1


class NoLine(UnableToAct):
    """The wire cannot be searched by the engine; the words say why and what to do."""


@dataclass(frozen=True)
class SearchGround:
    """A line with the keys of its points and legs, and the other stations that tell of it.

    Shapes: `points` n + 2 from the controller to the valve; `legs` n + 1. Keys below 0 stand for
    a run of which only the length is registered.
    """

    line: Line
    points: tuple[int, ...]
    legs: tuple[int, ...]
    names: Mapping[int, str]
    refs: Mapping[int, str]
    steps: tuple[Step, ...]
    rows: Mapping[int, Leg]
    wire: Wire | None
    others: Others
    place: Property

    @property
    def is_surveyed(self) -> bool:
        """Whether the way of the wire is registered, and not only its length."""
        return self.points[0] != NOBODY_KNOWS

    def at(self, point: int) -> int:
        """Return the place of a point on the line, 0..n + 1.

        Raises:
            NoLine: the wire does not come there.
        """
        try:
            return self.points.index(point)
        except ValueError:
            raise NoLine(_("This wire does not come to that point.")) from None


def ground_of(station: Station, fault: Fault, assumed: Assumed, *, today: date) -> SearchGround:
    """Return the line of the station's wire.

    Raises:
        NoLine: a two-wire path, a ring, or nothing registered to search along.
    """
    if station.controller.wiring == Wiring.TWO_WIRE:
        raise NoLine(
            _(
                "This controller reaches its valves over a two-wire path: its stations share two "
                "wires, and this search is for one wire per station. Searches on two-wire paths "
                "are not offered yet: search by hand, and record the break on the fault's page."
            )
        )
    wire = route_wire(station)
    steps, rows = _route(station, wire)
    if not steps:
        return _length_only(station, fault, assumed, wire)
    if not steps[-1].to_ft:
        raise NoLine(_("The legs of this wire have no length. Enter it, then search."))
    points = (steps[0].from_point, *(step.to_point for step in steps))
    found = {p.pk: p for leg in rows.values() for p in (leg.from_point, leg.to_point)}
    legs = tuple(step.leg for step in steps)
    others = neighbours_of(station, fault, legs)
    line = _touching(
        Line(_legs(steps, rows, fault, assumed, today), _boxes(wire, points[1:-1], found, assumed)),
        others,
        assumed,
    )
    return SearchGround(
        line,
        points,
        legs,
        {pk: found[pk].name for pk in points},
        {pk: found[pk].ref for pk in points},
        tuple(steps),
        rows,
        wire,
        others,
        fault.property,
    )


def _touching(line: Line, others: Others, assumed: Assumed) -> Line:
    """Two wires touch where both lie: elsewhere only if the other station was misread.

    A box counts where both wires come to it. With no leg in common nothing in the ground is
    likelier than the rest of it.
    """
    beside = others.beside
    if not beside:
        return line
    least = assumed.tests.symptom_wrong
    legs = tuple(
        leg if i in beside else replace(leg, hazard_factor=leg.hazard_factor * least)
        for i, leg in enumerate(line.legs)
    )
    boxes = tuple(
        box if beside & {i, i + 1} else replace(box, hazard_factor=box.hazard_factor * least)
        for i, box in enumerate(line.boxes)
    )
    return replace(line, legs=legs, boxes=boxes)


def _route(station: Station, wire: Wire | None) -> tuple[list[Step], dict[int, Leg]]:
    start = controller_point(station, wire)
    if wire is None or start is None or station.valve_point_id is None:
        return [], {}
    lies = wire.lies.select_related("leg__from_point", "leg__to_point").prefetch_related(
        "leg__renewals"
    )
    legs = {one.leg_id: one.leg for one in lies}
    stretches = [
        Stretch(leg.pk, leg.from_point_id, leg.to_point_id, leg.length_ft) for leg in legs.values()
    ]
    try:
        return route(stretches, start=start.pk, end=station.valve_point_id), legs
    except RingRefused:
        raise NoLine(
            _(
                "The legs of this wire close a ring: two ways lead to the valve, so feet along it "
                "have no meaning. Correct its legs, then search."
            )
        ) from None
    except UnableToRoute:
        return [], {}


def _length_only(
    station: Station, fault: Fault, assumed: Assumed, wire: Wire | None
) -> SearchGround:
    """One leg from controller to valve: nobody has seen where it lies."""
    if not station.run_length_ft:
        raise NoLine(
            _(
                "Neither the way of this wire nor the length of its run is registered. Enter the "
                "run length of the station, or its legs, and the search can begin."
            )
        )
    others = neighbours_of(station, fault, ())
    run = LegOfLine(
        _("the whole run"),
        station.run_length_ft,
        years=assumed.ground.years_if_not_known,
        is_guessed=True,
    )
    names = {-1: station.controller.name, -2: _("valve")}
    return SearchGround(
        Line((run,)),
        (-1, -2),
        (-1,),
        names,
        {},
        (),
        {},
        wire,
        others,
        fault.property,
    )


def _legs(
    steps: Sequence[Step],
    rows: Mapping[int, Leg],
    fault: Fault,
    assumed: Assumed,
    today: date,
) -> tuple[LegOfLine, ...]:
    since = {pk: _watched_since(leg, fault) for pk, leg in rows.items()}
    struck = _struck(rows, since, fault)
    given_up = _given_up(rows, since, fault)
    made = []
    for step in steps:
        leg = rows[step.leg]
        begin = since[leg.pk]
        years = (
            assumed.ground.years_if_not_known
            if begin is None
            else max((today - begin).days / DAYS_PER_YEAR, 0.0)
        )
        made.append(
            LegOfLine(
                str(leg),
                leg.length_ft,
                years=years,
                faults=struck[leg.pk] + given_up.get(leg.pk, 0.0),
                hazard_factor=assumed.ground.hazard(leg.cover, in_conduit=bool(leg.in_conduit)),
                tone_factor=assumed.ground.tone(leg.cover),
                is_guessed=leg.length_source == LengthSource.GUESSED,
            )
        )
    return tuple(made)


def _watched_since(leg: Leg, fault: Fault) -> date | None:
    """Since when a fault here would have been written down; a renewal restarts the count."""
    days = [day for day in (fault.property.records_since, leg.observed_from) if day]
    days += [renewal.on for renewal in leg.renewals.all()]
    return max(days) if days else None


def _struck(
    rows: Mapping[int, Leg], since: Mapping[int, date | None], fault: Fault
) -> Counter[int]:
    found = Break.objects.filter(leg__in=rows).exclude(fault=fault)
    return Counter(
        leg
        for leg, on in found.values_list("leg_id", "found_on")
        if (begin := since[leg]) is None or on is None or on >= begin
    )


def _given_up(
    rows: Mapping[int, Leg], since: Mapping[int, date | None], fault: Fault
) -> dict[int, float]:
    """Shares of faults that nobody located: their last likelihood stays as their place."""
    shares: dict[int, float] = defaultdict(float)
    searches = (
        Search.objects.filter(fault__property=fault.property_id, outcome=SearchOutcome.GIVEN_UP)
        .exclude(fault=fault)
        .values_list("final", "ended_at")
    )
    for final, ended_at in searches:
        for key, share in final.get("legs", {}).items():
            pk = int(key)
            begin = since.get(pk)
            if pk in rows and (begin is None or (ended_at and ended_at.date() >= begin)):
                shares[pk] += float(share)
    return shares


def _boxes(
    wire: Wire | None, points: Sequence[int], found: Mapping[int, Point], assumed: Assumed
) -> tuple[Box, ...]:
    how = dict(
        WireAtPoint.objects.filter(wire=wire, point__in=points).values_list("point_id", "how")
    )
    joints = {AtPoint.SPLICED: Joint.SPLICED, AtPoint.PASSES: Joint.UNCUT}
    return tuple(
        Box(
            found[pk].name,
            joints.get(AtPoint(how.get(pk, AtPoint.NOT_KNOWN)), Joint.NOT_KNOWN),
            assumed.tests.open_box_min,
        )
        for pk in points
    )
