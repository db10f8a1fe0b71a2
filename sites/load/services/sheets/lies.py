"""Where wires lie: legs, points and terminals, as known and as planned."""

from dataclasses import dataclass, field
from typing import Self

from django.utils.translation import gettext as _

from sites.load.services.book import named
from sites.load.services.identity import IdentityMap
from sites.load.services.load import Load, Notes
from sites.load.services.rows import Row
from sites.models import Leg, Point, Property, Termination, Wire, WireAtPoint, WireLeg


@dataclass
class Lies(Notes):
    """What is known of the wires of the touched properties: legs, points and terminals."""

    legs: IdentityMap[Wire, IdentityMap[Leg, WireLeg]] = field(default_factory=IdentityMap)
    points: IdentityMap[Wire, IdentityMap[Point, WireAtPoint]] = field(default_factory=IdentityMap)
    terminals: IdentityMap[Wire, Termination] = field(default_factory=IdentityMap)

    @classmethod
    def begin(cls, load: Load) -> Self:
        """Read how the wires lie."""
        found = cls()
        wires = {wire.pk: wire for wire in load.book.wires.by_ref.values()}
        legs = {leg.pk: leg for leg in load.book.legs.by_ref.values()}
        points = {point.pk: point for point in load.book.points.by_ref.values()}
        controllers = {c.pk: c for c in load.book.controllers.by_ref.values()}
        for link in load.book.rows_of(WireLeg, "wire__property_id"):
            found.legs_of(wires[link.wire_id])[legs[link.leg_id]] = link
        for at in load.book.rows_of(WireAtPoint, "wire__property_id"):
            at.point = points[at.point_id]
            found.at_points(wires[at.wire_id])[at.point] = at
        for row in load.book.rows_of(Termination, "wire__property_id"):
            row.controller = controllers[row.controller_id]
            held = found.terminals.get(wires[row.wire_id])
            if held is None or held.to_on is not None:
                found.terminals[wires[row.wire_id]] = row
        return found

    def legs_of(self, wire: Wire) -> IdentityMap[Leg, WireLeg]:
        """Return the legs in which a wire lies, in no order, each with the row that says so."""
        return self.legs.setdefault(wire, IdentityMap())

    def at_points(self, wire: Wire) -> IdentityMap[Point, WireAtPoint]:
        """Return what a wire does at each point."""
        return self.points.setdefault(wire, IdentityMap())

    def lay(self, load: Load, wire: Wire, leg: Leg) -> None:
        """Let a wire lie in one more leg."""
        link = WireLeg(wire=wire, leg=leg)
        load.work.create(link)
        self.legs_of(wire)[leg] = link


def is_implied(leg: Leg) -> bool:
    """Return whether a leg was made from a run length, and nobody has surveyed it."""
    return not leg.is_surveyed and not leg.label


def leg_named(load: Load, place: Property, text: str) -> Leg | None:
    """Return the leg of this label; exports name one that has no label by its reference."""
    if found := load.book.legs.find(named(place, text)):
        return found
    leg = load.book.legs.by_ref.get(text.lower())
    return leg if leg is not None and not leg.label and leg.property is place else None


def leg_there(load: Load, row: Row, place: Property, name: str, label: str) -> Leg | None:
    """Return the leg of this label; one that is not there is a problem of the column `name`."""
    found = leg_named(load, place, label)
    if found is None:
        row.problem(
            name,
            _("%(place)s has no leg '%(label)s'. Correct it, or add it to the sheet of legs.")
            % {"place": place.code, "label": label},
        )
    return found


def wire_there(load: Load, row: Row, place: Property, column: str, name: str) -> Wire | None:
    """Return the wire of this name; one that is not there is a problem of the column."""
    found = load.book.wires.find(named(place, name))
    if found is None:
        row.problem(
            column,
            _("%(place)s has no wire '%(name)s'. Correct it, or add it to the sheet of wires.")
            % {"place": place.code, "name": name},
        )
    return found
