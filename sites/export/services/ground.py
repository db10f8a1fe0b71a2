"""Rows of the sheets points, legs and wires, as they lie now: what was retired is left out."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from sites.export.services.sheets import Records, Wanted
from sites.load.services.sheets.ground import leg_name
from sites.models import AtPoint, Leg, Point, Property, Termination, Wire, WireAtPoint, WireLeg


@dataclass(frozen=True)
class HowItLies:
    """What the sheet of wires says of a wire beside the wire itself."""

    legs_named: list[str]
    spliced_at: list[str]
    terminal_on: Termination | None


def point_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterable[Records]:
    """Return the points."""
    rows = Point.objects.filter(property__in=places, retired_on__isnull=True)
    return zip(rows.select_related("property").order_by("pk"))


def leg_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterable[Records]:
    """Return the legs in the ground."""
    rows = Leg.objects.in_ground().filter(
        property__in=places, from_point__retired_on=None, to_point__retired_on=None
    )
    return zip(rows.select_related("property", "from_point", "to_point").order_by("pk"))


def wire_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Records]:
    """Yield the wires, with the legs in which each lies and the terminal that it is on."""
    legs, spliced, terminals = _legs(places), _spliced(places), _terminals(places)
    for wire in Wire.objects.filter(property__in=places).select_related("property").order_by("pk"):
        pk = wire.pk
        yield wire, HowItLies(sorted(legs[pk]), sorted(spliced[pk]), terminals.get(pk))


def _legs(places: Sequence[Property]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    rows = WireLeg.objects.filter(wire__property__in=places)
    for lies in rows.select_related("leg__from_point", "leg__to_point").order_by("pk"):
        if name := leg_name(lies.leg):
            found[lies.wire_id].append(name)
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
    """The terminal of each wire now, else the last one, unless its controller is retired."""
    found: dict[int, Termination] = {}
    rows = Termination.objects.filter(wire__property__in=places).select_related("controller")
    for row in rows.order_by("pk"):
        held = found.get(row.wire_id)
        if held is None or held.to_on is not None:
            found[row.wire_id] = row
    return {pk: row for pk, row in found.items() if row.controller.retired_on is None}
