"""Verbs on what a wire serves: a station of its own, a spare that takes over, two on one."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from sites.ground.engines.routes import Stretch, UnableToRoute, route
from sites.ground.services.keeping import named
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Controller, Leg, Point, Station, Wire, WireKind
from sites.register.queries.stations import controller_point, route_wire
from sites.wires.services.guards import (
    legs_of,
    refuse_two_wire_path,
    stations_on,
    switch_feed,
    switch_terminal,
)
from sites.wires.services.laying import lay_also_in, leave_use, return_to_use


class UnableToServe(UnableToAct):
    """This wire cannot serve this station."""


class UnableToMoveToSpare(UnableToServe):
    """The spare is not free, or is not known to run from the controller to the valve."""


class UnableToMoveBack(UnableToServe):
    """There is no earlier wire to move back to."""


@dataclass(frozen=True)
class Ends:
    """Where a station's wire begins and ends, as far as that is registered."""

    controller: Point | None
    valve: Point | None


@verb(
    name="serve a station by a wire",
    action=Action.CHANGE_GROUND,
    guard="one wire per station; a hot wire of the property in use that serves no other station; "
    "the day has come and does not lie before the last change",
    undo="serve it by the wire it had, or by none",
)
def serve_station(
    *, station: Station, wire: Wire | None, on: date, today: date, why: str = ""
) -> None:
    """Let a new wire, or none, serve a station from a day."""
    refuse_ahead(on, today, field="on")
    refuse_two_wire_path(station.controller)
    if wire is not None:
        _refuse_wrong_wire(station, wire, WireKind.HOT)
        others = [each for each in stations_on(wire) if each.pk != station.pk]
        if others:
            raise UnableToServe(
                _("It serves %s. Two stations on one wire is doubling: that verb asks for the "
                  "client's acceptance.") % named(others),
                field="wire",
            )  # fmt: skip
    switch_feed(station, wire, on=on, why=why)


@verb(
    name="move a station to a spare",
    action=Action.CHANGE_GROUND,
    guard="one wire per station; the spare is in use and serves nothing; it leads from the "
    "controller to the valve, or somebody has seen that it does",
    undo="move the station back",
)
def move_to_spare(
    *,
    station: Station,
    spare: Wire,
    on: date,
    is_seen: bool,
    today: date,
    why: str = "",
) -> None:
    """Let a spare take over a station from a day; its old wire is suspected broken.

    Args:
        is_seen: it was seen on site that the spare runs along the station's own way; it is then
            registered in those legs too.
    """
    refuse_ahead(on, today, field="on")
    refuse_two_wire_path(station.controller)
    _refuse_wrong_wire(station, spare, WireKind.SPARE)
    old = route_wire(station)
    _refuse_off_the_way(station, spare, old, is_seen=is_seen)
    words = why or _("%(station)s moved to spare %(spare)s") % {"station": station, "spare": spare}
    terminal = _terminal_of(station, old)
    switch_feed(station, spare, on=on, why=words)
    if old is not None and stations_on(old):
        terminal = ""  # its neighbour still holds the old one
    elif old is not None:
        leave_use(old, on=on, is_suspected_broken=True, why=words)
    switch_terminal(spare, station.controller, terminal, on=on, why=words)
    spare.kind = WireKind.HOT
    save_because(spare, words)


@verb(
    name="move a station back",
    action=Action.CHANGE_GROUND,
    guard="the station was moved from another wire that is not retired and serves nothing else; "
    "the day has come and does not lie before the move",
    undo="move the station to the spare again",
)
def move_back(*, station: Station, on: date, today: date, why: str = "") -> None:
    """Return a station to the wire it had before; its wire of now is a spare again."""
    refuse_ahead(on, today, field="on")
    refuse_two_wire_path(station.controller)
    now, before = route_wire(station), wire_before(station)
    if now is None or before is None:
        raise UnableToMoveBack(_("No earlier wire of this station is registered."))
    _refuse_return_to(station, before)
    words = why or _("%(station)s moved back to %(wire)s") % {"station": station, "wire": before}
    terminal = _terminal_of(station, now)
    switch_feed(station, before, on=on, why=words)
    if stations_on(now):
        terminal = ""  # its neighbour still holds this one
    else:
        switch_terminal(now, None, "", on=on, why=words)
        now.kind = WireKind.SPARE
        save_because(now, words)
    return_to_use(before, why=words, to_terminals=False)
    switch_terminal(before, station.controller, terminal, on=on, why=words)


def wire_before(station: Station) -> Wire | None:
    """Return the wire that served the station before the one of now, if it is not retired."""
    now = route_wire(station)
    ended = station.feeds.filter(to_on__isnull=False, wire__retired_on__isnull=True)
    if now is not None:
        ended = ended.exclude(wire=now)
    feed = ended.select_related("wire").order_by("to_on", "pk").last()
    return feed.wire if feed else None


def leads_there(wire: Wire, ends: Ends) -> bool:
    """Return whether the wire's legs lead from the controller to the valve."""
    if ends.controller is None or ends.valve is None:
        return False
    stretches = [
        Stretch(leg.pk, leg.from_point_id, leg.to_point_id, leg.length_ft) for leg in legs_of(wire)
    ]
    try:
        route(stretches, start=ends.controller.pk, end=ends.valve.pk)
    except UnableToRoute:
        return False
    return True


def free_spares(controller: Controller) -> list[Wire]:
    """Return the property's spares that could serve a station of the controller, by name."""
    spares = controller.property.wires.filter(
        kind=WireKind.SPARE, retired_on__isnull=True, out_of_use_on__isnull=True
    )
    elsewhere = spares.filter(terminations__to_on__isnull=True).exclude(
        terminations__controller=controller
    )
    elsewhere = elsewhere.filter(terminations__isnull=False)
    return list(spares.exclude(pk__in=elsewhere.values("pk")).order_by("name", "pk"))


def _terminal_of(station: Station, wire: Wire | None) -> str:
    """Return the terminal to take over: the old wire's, else the station's number."""
    if wire is not None:
        here = wire.terminations.open().filter(controller=station.controller)
        if (row := here.order_by("pk").first()) is not None:
            return str(row.terminal)
    return str(station.number)


def _refuse_wrong_wire(station: Station, wire: Wire, kind: WireKind) -> None:
    if station.retired_on is not None or wire.property_id != station.controller.property_id:
        raise UnableToServe(_("The station is retired, or the wire is of another property."))
    if wire.retired_on is not None or wire.out_of_use_on is not None:
        raise UnableToServe(_("Wire %s is retired or out of use.") % wire, field="wire")
    if wire.kind != kind:
        raise UnableToServe(
            _("Wire %(wire)s is not a %(kind)s wire, but %(other)s.")
            % {"wire": wire, "kind": kind.label, "other": wire.get_kind_display()},
            field="wire",
        )


def _refuse_return_to(station: Station, wire: Wire) -> None:
    others = [each for each in stations_on(wire) if each.pk != station.pk]
    if others or wire.kind == WireKind.COMMON:
        raise UnableToMoveBack(
            _("Its earlier wire %(wire)s serves %(stations)s now.")
            % {"wire": wire, "stations": named(others) or _("as a common")}
        )


def _refuse_off_the_way(station: Station, spare: Wire, old: Wire | None, *, is_seen: bool) -> None:
    """Register the spare in the old wire's legs where it was seen there."""
    ends = Ends(controller_point(station, old), station.valve_point)
    if ends.controller is None:
        ends = Ends(controller_point(station, spare), station.valve_point)
    if leads_there(spare, ends):
        return
    if not is_seen:
        raise UnableToMoveToSpare(
            _(
                "Spare %(spare)s is not known to run from controller %(controller)s to the valve "
                "of %(station)s. Look for it in the valve's box; if it is there, tick this."
            )
            % {"spare": spare, "controller": station.controller, "station": station},
            field="is_seen",
        )
    lay_also_in(spare, _way(old, ends))


def _way(old: Wire | None, ends: Ends) -> Sequence[Leg]:
    if old is None or ends.controller is None or ends.valve is None:
        return []
    legs = {leg.pk: leg for leg in legs_of(old)}
    stretches = [
        Stretch(leg.pk, leg.from_point_id, leg.to_point_id, leg.length_ft) for leg in legs.values()
    ]
    try:
        steps = route(stretches, start=ends.controller.pk, end=ends.valve.pk)
    except UnableToRoute:
        return []
    return [legs[step.leg] for step in steps]
