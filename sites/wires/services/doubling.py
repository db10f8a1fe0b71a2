"""Verbs on doubling: two stations on one wire, only as long as the client accepts it."""

from datetime import date

from django.utils.translation import gettext as _

from sites.ground.services.keeping import named
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Station, Stopgap, StopgapKind, Wire
from sites.register.queries.stations import route_wire
from sites.stopgaps.engines.spells import Reason
from sites.stopgaps.services.stopgap_rules import StopgapFacts
from sites.stopgaps.services.stopgaps import fit_instead
from sites.wires.services.guards import refuse_two_wire_path, stations_on, switch_feed
from sites.wires.services.laying import leave_use, return_to_use
from sites.wires.services.serving import wire_before


class UnableToDouble(UnableToAct):
    """The two stations cannot share a wire."""


class UnableToUndouble(UnableToAct):
    """The station is not doubled, or its own wire serves another."""


@verb(
    name="double two stations",
    action=Action.CHANGE_GROUND,
    guard="one wire per station; both on one controller, in care, not doubled; the neighbour has a "
    "wire of its own; the client accepted it on a day",
    undo="undo a doubling",
)
def double_stations(
    *,
    station: Station,
    neighbour: Station,
    on: date,
    accepted_by_client_on: date | None,
    today: date,
    notes: str = "",
) -> Stopgap:
    """Put a station on its neighbour's wire: both run together, on central, for a time.

    What stood in for the station (a battery timer, say) is taken out on the same day.
    """
    refuse_ahead(on, today, field="on")
    refuse_two_wire_path(station.controller)
    wire = _neighbours_wire(station, neighbour)
    words = _("%(station)s doubled with %(neighbour)s") % {
        "station": station,
        "neighbour": neighbour,
    }
    facts = StopgapFacts(
        kind=StopgapKind.DOUBLED,
        fitted=(on, on),
        reason=Reason.WIRE.value,
        reason_given=words,
        accepted_by_client_on=accepted_by_client_on,
        notes=notes,
    )
    [doubled] = fit_instead(stations=[station], facts=facts, why=words, today=today)
    old = route_wire(station)
    switch_feed(station, wire, on=on, why=words)
    if old is not None and not stations_on(old):
        leave_use(old, on=on, is_suspected_broken=True, why=words)
    return doubled


@verb(
    name="undo a doubling",
    action=Action.CHANGE_GROUND,
    guard="the station is doubled; its own wire serves nothing else; the day has come and does not "
    "lie before the doubling",
    undo="double the two again",
)
def undo_doubling(*, station: Station, on: date, today: date, why: str = "") -> None:
    """Return a doubled station to its own wire.

    On the day of the doubling itself this takes back a mistake, and what stood in before stands
    in again. Later on, the station needs a stopgap of its own if its wire is still broken.
    """
    refuse_ahead(on, today, field="on")
    doubled, before = doubling_of(station), wire_before(station)
    if doubled is None:
        raise UnableToUndouble(_("%s is not doubled: there is nothing to undo.") % station)
    if before is not None and (served := stations_on(before)):
        raise UnableToUndouble(
            _("Its own wire %(wire)s serves %(stations)s now.")
            % {"wire": before, "stations": named(served)}
        )
    words = why or _("doubling of %s undone") % station
    switch_feed(station, before, on=on, why=words)
    if before is not None:
        return_to_use(before, why=words)
    doubled.removed_on, doubled.end_reason = on, words
    save_because(doubled, words)
    if doubled.fitted_latest == on:
        _let_stand_again(doubled, on, words)


def doubling_of(station: Station) -> Stopgap | None:
    """Return the open stopgap that says that the station is doubled."""
    return station.stopgaps.open().filter(kind=StopgapKind.DOUBLED).order_by("pk").last()


def _neighbours_wire(station: Station, neighbour: Station) -> Wire:
    if station == neighbour or station.controller_id != neighbour.controller_id:
        raise UnableToDouble(_("Choose another station of the same controller."), field="neighbour")
    if neighbour.retired_on is not None or station.retired_on is not None:
        raise UnableToDouble(_("One of the two is retired."), field="neighbour")
    if doubling_of(station) is not None or doubling_of(neighbour) is not None:
        raise UnableToDouble(_("One of the two is doubled already."), field="neighbour")
    wire = route_wire(neighbour)
    if wire is None or wire.out_of_use_on is not None:
        raise UnableToDouble(
            _("No wire in use is registered for %s.") % neighbour, field="neighbour"
        )
    if wire == route_wire(station):
        raise UnableToDouble(_("They are on one wire already."), field="neighbour")
    return wire


def _let_stand_again(doubled: Stopgap, on: date, why: str) -> None:
    """Reopen what the doubling ended, unless something else stands there by now."""
    stopgaps = doubled.station.stopgaps.off_central()
    if stopgaps.open().exists():
        return
    ended = stopgaps.filter(removed_on=on, end_reason=doubled.reason_given)
    stopgap = ended.order_by("pk").last()
    if stopgap is not None:
        stopgap.removed_on, stopgap.end_reason = None, ""
        save_because(stopgap, why)
