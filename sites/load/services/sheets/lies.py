"""Where wires lie: legs, points and terminals, as known and as planned."""

from typing import cast

from sites.cells.engines.plain_words import same_name
from sites.load.services.planning import Load
from sites.models import Leg, Property, Termination, Wire, WireAtPoint, WireLeg


class Lies:
    """What is known of the wires of the touched properties: legs, points and terminals."""

    def __init__(self, load: Load) -> None:
        wires = {wire.pk: wire for wire in load.book.wires.by_ref.values()}
        legs = {leg.pk: leg for leg in load.book.legs.by_ref.values()}
        points = {point.pk: point for point in load.book.points.by_ref.values()}
        controllers = {c.pk: c for c in load.book.controllers.by_ref.values()}
        self.legs: dict[int, dict[int, tuple[WireLeg, Leg]]] = {}
        for lies in load.book.rows_of(WireLeg, "wire__property_id"):
            leg = legs[lies.leg_id]
            self.legs.setdefault(id(wires[lies.wire_id]), {})[id(leg)] = lies, leg
        self.points: dict[int, dict[int, WireAtPoint]] = {}
        for at in load.book.rows_of(WireAtPoint, "wire__property_id"):
            at.point = points[at.point_id]
            self.points.setdefault(id(wires[at.wire_id]), {})[id(at.point)] = at
        self.terminals: dict[int, Termination] = {}
        for row in load.book.rows_of(Termination, "wire__property_id"):
            row.controller = controllers[row.controller_id]
            held = self.terminals.get(id(wires[row.wire_id]))
            if held is None or held.to_on is not None:
                self.terminals[id(wires[row.wire_id])] = row

    @classmethod
    def of(cls, load: Load) -> "Lies":
        """Return the one of this load, read when first needed."""
        if "lies" not in load.notes:
            load.notes["lies"] = cls(load)
        return cast("Lies", load.notes["lies"])

    def legs_of(self, wire: Wire) -> list[Leg]:
        """Return the legs in which a wire lies, in no order."""
        return [leg for _link, leg in self.legs.get(id(wire), {}).values()]

    def lay(self, load: Load, wire: Wire, leg: Leg) -> None:
        """Let a wire lie in one more leg."""
        link = WireLeg(wire=wire, leg=leg)
        load.work.create(link)
        self.legs.setdefault(id(wire), {})[id(leg)] = link, leg


def is_implied(leg: Leg) -> bool:
    """Return whether a leg was made from a run length, and nobody has surveyed it."""
    return not leg.is_surveyed and not leg.label


def leg_named(load: Load, place: Property, text: str) -> Leg | None:
    """Return the leg of this label; exports name one that has no label by its reference."""
    if found := load.book.legs.find((id(place), same_name(text))):
        return found
    leg = load.book.legs.by_ref.get(text.lower())
    return leg if leg is not None and not leg.label and leg.property is place else None
