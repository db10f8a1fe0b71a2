"""Verbs on wires in the ground: lay, change, retire, put out of use, and their inverses."""

from collections import Counter
from collections.abc import Sequence
from datetime import date

from django.utils.translation import gettext as _

from sites.ground.services.keeping import named, put
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import AtPoint, Controller, Leg, Property, Wire, WireAtPoint, WireLeg
from sites.wires.services.guards import (
    legs_of,
    refuse_serving,
    refuse_two_wire_path,
    refuse_wire_on_two_wire_path,
)
from sites.wires.services.terminals import refuse_taken_terminal


class UnableToLay(UnableToAct):
    """The name is taken, or the legs are not of this property and in the ground."""


class UnableToRetireWire(UnableToAct):
    """The wire still serves a station, or is retired already."""


class UnableToUseWire(UnableToAct):
    """The wire cannot be brought back into use."""


@verb(
    name="lay a wire",
    action=Action.CHANGE_GROUND,
    guard="one wire per station; the name is free; its legs join and are in the ground; no other "
    "hot wire on the terminal",
    undo="retire the wire",
)
def lay_wire(
    *,
    place: Property,
    values: dict[str, object],
    legs: Sequence[Leg],
    controller: Controller | None,
    terminal: str,
    on: date | None,
) -> Wire:
    """Register a wire: where it lies, and on which terminal it is since `on` (None = ever)."""
    refuse_two_wire_path(controller)
    wire = Wire(property=place, **values)
    _refuse_taken_name(wire)
    _refuse_wrong_legs(place, legs)
    save_because(wire)
    _lay_in(wire, legs)
    if controller is not None:
        refuse_taken_terminal(wire, controller, terminal)
        wire.terminations.create(controller=controller, terminal=terminal, from_on=on)
    return wire


@verb(
    name="change a wire",
    action=Action.CHANGE_GROUND,
    guard="one wire per station; the name is free; its legs join and are in the ground",
    undo="change it again: the old values stand in its history",
)
def change_wire(
    *, wire: Wire, values: dict[str, object], legs: Sequence[Leg] | None, why: str = ""
) -> Wire:
    """Change what is known of a wire; `legs` = None leaves where it lies as it is."""
    refuse_wire_on_two_wire_path(wire)
    put(wire, values)
    _refuse_taken_name(wire)
    if legs is not None and set(legs) != set(legs_of(wire)):
        _refuse_wrong_legs(wire.property, legs)
        why = _relay(wire, legs, why)
    save_because(wire, why)
    return wire


@verb(
    name="retire a wire",
    action=Action.CHANGE_GROUND,
    guard="it serves no station; the day has come",
    undo="bring the wire back",
)
def retire_wire(*, wire: Wire, on: date, today: date, why: str = "") -> Wire:
    """Retire a wire. It leaves its terminal on that day.

    A controller that became a two-wire path leaves wires behind, so this is not declined there.
    """
    refuse_ahead(on, today, field="on")
    if wire.retired_on is not None:
        raise UnableToRetireWire(_("It is retired already, since %s.") % wire.retired_on)
    refuse_serving(wire, UnableToRetireWire, _("Let another wire serve it first."))
    _leave_terminals(wire, on, why)
    wire.retired_on = on
    save_because(wire, why)
    return wire


@verb(
    name="bring back a wire",
    action=Action.CHANGE_GROUND,
    guard="it is retired; one wire per station; its terminal is still free; its legs are in use",
    undo="retire the wire",
)
def bring_back_wire(*, wire: Wire, why: str = "") -> Wire:
    """Take back that a wire was retired: it returns to the terminal that it left."""
    if wire.retired_on is None:
        raise UnableToUseWire(_("It is not retired: there is nothing to bring back."))
    gone = [leg for leg in legs_of(wire) if leg.retired_on is not None]
    if gone:
        raise UnableToUseWire(
            _("These legs of it are retired: %s. Bring them back first.") % named(gone)
        )
    _return_to_terminals(wire, wire.retired_on, why)
    wire.retired_on = None
    save_because(wire, why)
    return wire


@verb(
    name="put a wire out of use",
    action=Action.CHANGE_GROUND,
    guard="it serves no station and is not retired; the day has come",
    undo="use the wire again",
)
def put_out_of_use(
    *, wire: Wire, on: date, is_suspected_broken: bool, today: date, why: str = ""
) -> Wire:
    """Leave a wire in the ground and on no terminal, not to be counted on."""
    refuse_ahead(on, today, field="on")
    if wire.retired_on is not None or wire.out_of_use_on is not None:
        raise UnableToRetireWire(_("It is retired, or out of use, already."))
    refuse_serving(wire, UnableToRetireWire, _("Move it to a spare first."))
    leave_use(wire, on=on, is_suspected_broken=is_suspected_broken, why=why)
    return wire


@verb(
    name="use a wire again",
    action=Action.CHANGE_GROUND,
    guard="it is out of use and not retired; one wire per station; its terminal is still free",
    undo="put the wire out of use",
)
def use_again(*, wire: Wire, why: str = "") -> Wire:
    """Take back that a wire was out of use: it was found sound, or was mended."""
    if wire.out_of_use_on is None or wire.retired_on is not None:
        raise UnableToUseWire(_("It is not out of use, or it is retired: nothing to take back."))
    return_to_use(wire, why=why)
    return wire


def leave_use(wire: Wire, *, on: date, is_suspected_broken: bool, why: str) -> None:
    """Take a wire off its terminals and mark it out of use."""
    _leave_terminals(wire, on, why)
    wire.out_of_use_on, wire.is_suspected_broken = on, is_suspected_broken
    save_because(wire, why)


def return_to_use(wire: Wire, *, why: str, to_terminals: bool = True) -> None:
    """Undo `leave_use`; the terminals may be given by another verb."""
    if to_terminals and wire.out_of_use_on is not None:
        _return_to_terminals(wire, wire.out_of_use_on, why)
    wire.out_of_use_on, wire.is_suspected_broken = None, False
    save_because(wire, why)


def _leave_terminals(wire: Wire, on: date, why: str) -> None:
    for row in wire.terminations.open().order_by("pk"):
        row.to_on = on if row.from_on is None else max(on, row.from_on)
        save_because(row, why)


def _return_to_terminals(wire: Wire, left_on: date, why: str) -> None:
    left = wire.terminations.filter(to_on=left_on).select_related("controller").order_by("pk")
    # Of one controller only the last: it may have changed its terminal on that very day.
    for row in {row.controller_id: row for row in left}.values():
        refuse_two_wire_path(row.controller)
        refuse_taken_terminal(wire, row.controller, row.terminal)
        row.to_on = None
        save_because(row, why)


def _lay_in(wire: Wire, legs: Sequence[Leg]) -> None:
    for leg in legs:
        WireLeg.objects.get_or_create(wire=wire, leg=leg)
    _mark_ends(wire)


def lay_also_in(wire: Wire, legs: Sequence[Leg]) -> None:
    """Let a wire lie in these legs too, as it was seen on site."""
    _lay_in(wire, legs)


def _relay(wire: Wire, legs: Sequence[Leg], why: str) -> str:
    """Replace the wire's legs; the old ones go into the reason, as these links have no history."""
    before = ", ".join(str(leg) for leg in legs_of(wire))
    wire.lies.exclude(leg__in=legs).delete()
    _lay_in(wire, legs)
    return _("%(why)s (it lay in: %(legs)s)") % {"why": why or _("laid again"), "legs": before}


def _mark_ends(wire: Wire) -> None:
    """Where only one of its legs comes to a point, the wire ends there unless it is spliced."""
    ends = Counter(pk for leg in legs_of(wire) for pk in (leg.from_point_id, leg.to_point_id))
    known = {at.point_id: at for at in wire.at_points.all()}
    for point_id, count in ends.items():
        if count == 1 and point_id not in known:
            WireAtPoint.objects.create(wire=wire, point_id=point_id, how=AtPoint.ENDS)
    for point_id, at in known.items():
        if at.how == AtPoint.ENDS and ends.get(point_id) != 1:
            at.how = AtPoint.NOT_KNOWN
            at.save()


def _refuse_taken_name(wire: Wire) -> None:
    others = Wire.objects.filter(property=wire.property, name__iexact=wire.name)
    if others.exclude(pk=wire.pk).exists():
        raise UnableToLay(
            _("%(place)s has a wire %(name)s already. Choose another name.")
            % {"place": wire.property, "name": wire.name},
            field="name",
        )


def _refuse_wrong_legs(place: Property, legs: Sequence[Leg]) -> None:
    if any(leg.property_id != place.pk or leg.retired_on is not None for leg in legs):
        raise UnableToLay(_("A wire lies in legs of its property that are in the ground."))
