"""Rows of the sheets points, legs and wires, as they lie now: what was retired is left out."""

from collections import defaultdict
from collections.abc import Iterator, Sequence

from sites.export.services.sheets import Values, Wanted, copied
from sites.load.services.sheets import ground, wires
from sites.models import AtPoint, Leg, Point, Property, Termination, Wire, WireAtPoint, WireLeg


def point_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield the points."""
    rows = Point.objects.filter(property__in=places, retired_on__isnull=True)
    for point in rows.select_related("property").order_by("pk"):
        values = copied(ground.POINTS, point)
        yield {**values, "property code": point.property.code, "point": point.name}


def leg_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield the legs in the ground."""
    rows = Leg.objects.in_ground().filter(
        property__in=places, from_point__retired_on=None, to_point__retired_on=None
    )
    for leg in rows.select_related("property", "from_point", "to_point").order_by("pk"):
        values = copied(ground.LEGS, leg)
        values |= {"from point": leg.from_point.name, "to point": leg.to_point.name}
        # Two legs between the same points are distinguished by their order.
        values["running number"] = leg.running_number
        yield {**values, "property code": leg.property.code, "leg": leg.label}


def leg_name(leg: Leg) -> str:
    """Return how other sheets name a leg: by its reference where it has no label."""
    return leg.label or leg.ref


def is_written(leg: Leg) -> bool:
    """Return whether the sheet of legs has this one; its points must have been read with it."""
    return not (leg.retired_on or leg.from_point.retired_on or leg.to_point.retired_on)


def wire_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield the wires, with the legs in which each lies and the terminal that it is on."""
    legs, spliced, terminals = _legs(places), _spliced(places), _terminals(places)
    rows = Wire.objects.filter(property__in=places).select_related("property")
    for wire in rows.order_by("pk"):
        values = copied(wires.KIND, wire)
        values |= {"property code": wire.property.code, "wire": wire.name}
        values |= {"legs": sorted(legs[wire.pk]), "spliced at": sorted(spliced[wire.pk])}
        values["laid"] = (wire.laid_earliest, wire.laid_latest) if wire.laid_earliest else None
        on = terminals.get(wire.pk)
        if on is not None and on.controller.retired_on is None:
            values |= {"controller": on.controller.name, "terminal": on.terminal}
        yield values


def _legs(places: Sequence[Property]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    rows = WireLeg.objects.filter(wire__property__in=places)
    for lies in rows.select_related("leg__from_point", "leg__to_point").order_by("pk"):
        if is_written(lies.leg):
            found[lies.wire_id].append(leg_name(lies.leg))
    return found


def _spliced(places: Sequence[Property]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    rows = WireAtPoint.objects.filter(
        wire__property__in=places, how=AtPoint.SPLICED, point__retired_on=None
    )
    for wire_id, name in rows.order_by("pk").values_list("wire_id", "point__name"):
        found[wire_id].append(name)
    return found


def _terminals(places: Sequence[Property]) -> dict[int, Termination]:
    """The terminal of each wire now, else the last one that it was on."""
    found: dict[int, Termination] = {}
    rows = Termination.objects.filter(wire__property__in=places).select_related("controller")
    for row in rows.order_by("pk"):
        held = found.get(row.wire_id)
        if held is None or held.to_on is not None:
            found[row.wire_id] = row
    return found
