"""Verbs on terminals: on which output of a controller a wire ends, and what it does at a point."""

from collections.abc import Mapping
from datetime import date

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Controller, Point, Termination, Wire, WireAtPoint, WireKind
from sites.wires.services.guards import (
    refuse_serving,
    refuse_two_wire_path,
    refuse_wire_on_two_wire_path,
    switch_terminal,
)


class UnableToTerminate(UnableToAct):
    """The wire is not in use, or another hot wire is on the terminal."""


class UnableToSayAtPoint(UnableToAct):
    """The wire does not come to the point."""


@verb(
    name="put a wire on a terminal",
    action=Action.CHANGE_GROUND,
    guard="one wire per station; a controller of the property; the wire is in use; no other hot "
    "wire on the terminal; the day has come and does not lie before the last change",
    undo="put it on the terminal it had, or take it off",
)
def terminate_wire(
    *, wire: Wire, controller: Controller, terminal: str, on: date, today: date, why: str = ""
) -> None:
    """Put a wire on a terminal from a day; the terminal it had ends on that day."""
    refuse_ahead(on, today, field="on")
    refuse_two_wire_path(controller)
    if wire.retired_on is not None or wire.out_of_use_on is not None:
        raise UnableToTerminate(_("This wire is retired or out of use. Use it again first."))
    if controller.property_id != wire.property_id:
        raise UnableToTerminate(
            _("%s stands on another property.") % controller, field="controller"
        )
    refuse_taken_terminal(wire, controller, terminal)
    switch_terminal(wire, controller, terminal, on=on, why=why)


@verb(
    name="take a wire off its terminal",
    action=Action.CHANGE_GROUND,
    guard="it is on one, and serves no station",
    undo="put it on the terminal again",
)
def take_off_terminal(*, wire: Wire, on: date, today: date, why: str = "") -> None:
    """Say that a wire ends on no terminal from a day."""
    refuse_ahead(on, today, field="on")
    if not wire.terminations.open().exists():
        raise UnableToTerminate(_("It is on no terminal: there is nothing to take off."))
    if wire.kind != WireKind.COMMON:
        refuse_serving(wire, UnableToTerminate, _("Let another wire serve it first."))
    switch_terminal(wire, None, "", on=on, why=why)


@verb(
    name="say what wires do at a point",
    action=Action.CHANGE_GROUND,
    guard="one wire per station; one of the wire's legs comes to the point",
    undo="say it again: what was said before stands in the history",
)
def say_at_point(*, point: Point, hows: Mapping[Wire, str], why: str = "") -> int:
    """Say of wires that come to a point whether they are spliced, pass or end; return how many."""
    known = {at.wire_id: at for at in point.wires_here.all()}
    changed = 0
    for wire, how in hows.items():
        at = known.get(wire.pk) or WireAtPoint(wire=wire, point=point)
        if at.how == how:
            continue
        refuse_wire_on_two_wire_path(wire)
        _refuse_away(wire, point)
        at.how = how
        save_because(at, why)
        changed += 1
    return changed


def refuse_taken_terminal(wire: Wire, controller: Controller, terminal: str) -> None:
    """Refuse a terminal that holds another hot wire; commons share theirs.

    Raises:
        UnableToTerminate: with the wire that is there.
    """
    if not terminal or wire.kind == WireKind.COMMON:
        return
    others = Termination.objects.open().filter(controller=controller, terminal__iexact=terminal)
    held = others.exclude(wire=wire).exclude(wire__kind=WireKind.COMMON).select_related("wire")
    if (row := held.order_by("pk").first()) is not None:
        raise UnableToTerminate(
            _(
                "Terminal %(terminal)s of %(controller)s holds wire %(wire)s. Take that off first, "
                "or choose another terminal."
            )
            % {"terminal": terminal, "controller": controller, "wire": row.wire},
            field="terminal",
        )


def _refuse_away(wire: Wire, point: Point) -> None:
    comes = wire.lies.filter(leg__from_point=point) | wire.lies.filter(leg__to_point=point)
    if not comes.exists():
        raise UnableToSayAtPoint(
            _("No leg of wire %(wire)s comes to %(point)s.") % {"wire": wire, "point": point}
        )
