"""What the pages of points, legs and wires tell."""

import re
from dataclasses import dataclass

from django.db.models import Prefetch, Q, QuerySet
from django.utils.translation import gettext as _

from sites.models import (
    AtPoint,
    Feed,
    Leg,
    Point,
    PointKind,
    Property,
    Station,
    Termination,
    Wire,
    WireAtPoint,
    WireLeg,
)
from sites.register.queries.stations import controller_point, route_wire
from sites.wires.services.doubling import doubling_of
from sites.wires.services.serving import Ends, free_spares, leads_there, wire_before
from sites.wires.services.ways import way_in_words

MOST_ROWS = 400


@dataclass(frozen=True)
class WireHere:
    """A wire at a point or in a leg, what it does there, and the stations that it serves."""

    wire: Wire
    how: str
    stations: list[Station]

    @property
    def how_word(self) -> str:
        """What it does, in the user's language."""
        return str(AtPoint(self.how).label)


@dataclass(frozen=True)
class LegHere:
    """A leg at a point, and the point at its other end."""

    leg: Leg
    other: Point


def legs_at(point: Point) -> list[LegHere]:
    """Return the legs in the ground that end at the point."""
    legs = Leg.objects.in_ground().at(point).select_related("from_point", "to_point")
    here = sorted(legs.order_by("label", "pk")[:MOST_ROWS], key=lambda leg: by_number(str(leg)))
    return [
        LegHere(leg, leg.to_point if leg.from_point_id == point.pk else leg.from_point)
        for leg in here
    ]


def wires_at(point: Point) -> list[WireHere]:
    """Return the wires that come to the point: by a leg, or because it was recorded so."""
    lies = WireLeg.objects.filter(leg__in=Leg.objects.at(point)).values("wire")
    how = dict(WireAtPoint.objects.filter(point=point).values_list("wire", "how"))
    return [
        WireHere(wire, how.get(wire.pk, AtPoint.NOT_KNOWN), _stations(wire))
        for wire in _in_ground(Wire.objects.filter(Q(pk__in=lies) | Q(pk__in=how)))
    ]


def wires_along(leg: Leg) -> list[WireHere]:
    """Return the wires in a leg that are still in the ground."""
    wires = _in_ground(Wire.objects.filter(lies__leg=leg))
    return [WireHere(wire, AtPoint.PASSES, _stations(wire)) for wire in wires]


@dataclass(frozen=True)
class WayPoint:
    """A point on a wire's way and what the wire does there."""

    point: Point
    how: str

    @property
    def how_word(self) -> str:
        """What it does, in the user's language."""
        return str(AtPoint(self.how).label)


def way_of(wire: Wire) -> list[WayPoint]:
    """Return the points that a wire comes to, those that it ends at or is spliced at included."""
    ends = wire.lies.values_list("leg__from_point", "leg__to_point")
    how = dict(wire.at_points.values_list("point", "how"))
    comes = {pk for pair in ends for pk in pair} | set(how)
    points = Point.objects.filter(pk__in=comes).order_by("name", "pk")
    here = sorted(points[:MOST_ROWS], key=lambda point: by_number(point.name))
    return [WayPoint(point, how.get(point.pk, AtPoint.NOT_KNOWN)) for point in here]


def legs_in_ground(place: Property) -> list[Leg]:
    """Return all legs of a property in which a wire can lie."""
    return list(place.legs.in_ground().select_related("from_point", "to_point").order_by("pk"))


def way_text(wire: Wire, among: list[Leg]) -> str:
    """Return a wire's way as the form shows it."""
    lies = set(wire.lies.values_list("leg", flat=True))
    legs = [leg for leg in among if leg.pk in lies]
    points = {point.pk: point for leg in legs for point in (leg.from_point, leg.to_point)}
    ordered = sorted(points.values(), key=lambda p: (p.kind != PointKind.CONTROLLER, p.pk))
    return way_in_words(legs, start=ordered[0] if ordered else None, among=among)


def terminations_of(wire: Wire) -> QuerySet[Termination]:
    """Return the terminals that a wire has been on, newest first."""
    rows = wire.terminations.select_related("controller").order_by("-from_on", "-pk")
    return rows[:MOST_ROWS]


def feeds_of(wire: Wire) -> QuerySet[Feed]:
    """Return what a wire has served, newest first."""
    rows = wire.feeds.select_related("station__controller").order_by("-from_on", "-pk")
    return rows[:MOST_ROWS]


def wires_that_served(station: Station) -> QuerySet[Feed]:
    """Return the wires that have served a station, newest first."""
    return station.feeds.select_related("wire").order_by("-from_on", "-pk")[:MOST_ROWS]


def hot_wires_of(place: Property) -> QuerySet[Wire]:
    """Return the hot wires that may serve a station, by name."""
    wires = place.wires.filter(kind="hot", retired_on__isnull=True, out_of_use_on__isnull=True)
    return wires.order_by("name", "pk")


def spares_for(station: Station) -> list[tuple[Wire, str]]:
    """Return the spares that may take the station over, those that lead to its valve first."""
    wire = route_wire(station)
    start = controller_point(station, wire)
    found = []
    for spare in free_spares(station.controller):
        ends = Ends(start or controller_point(station, spare), station.valve_point)
        leads = leads_there(spare, ends)
        words = (
            _("leads from controller to valve") if leads else _("not known to lead to the valve")
        )
        name = f"{spare.name}, {spare.colour}" if spare.colour else spare.name
        found.append((not leads, spare, f"{name}: {words}"))
    return [(spare, words) for _far, spare, words in sorted(found, key=lambda row: row[0])]


def neighbours_of(station: Station) -> QuerySet[Station]:
    """Return the stations of the same controller that have a wire, by number."""
    stations: QuerySet[Station] = Station.objects.in_care().filter(controller=station.controller)
    served = stations.filter(feeds__to_on__isnull=True, feeds__isnull=False)
    return served.exclude(pk=station.pk).select_related("controller").order_by("number", "pk")


def wire_state(station: Station) -> dict[str, object]:
    """Return what the verbs on a station's wire need to know: its wires, and whether doubled."""
    return {
        "wire": route_wire(station),
        "before": wire_before(station),
        "doubled": doubling_of(station),
    }


def by_number(name: str) -> list[tuple[int, str]]:
    """Order names as people count: W2 before W10."""
    pieces = re.findall(r"\d+|\D+", name)
    return [(int(each), "") if each.isdecimal() else (-1, each.casefold()) for each in pieces]


def _in_ground(wires: QuerySet[Wire]) -> list[Wire]:
    serving = Feed.objects.open().select_related("station__controller").order_by("station__number")
    rows = (
        wires.filter(retired_on__isnull=True)
        .distinct()
        .prefetch_related(Prefetch("feeds", serving, to_attr="serving"))
        .order_by("name", "pk")[:MOST_ROWS]
    )
    return sorted(rows, key=lambda wire: by_number(wire.name))


def _stations(wire: Wire) -> list[Station]:
    return [feed.station for feed in getattr(wire, "serving", [])]
