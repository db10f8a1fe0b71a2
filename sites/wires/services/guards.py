"""What several verbs on wires refuse, and the days of terminals and feeds."""

from datetime import date

from django.utils.translation import gettext as _

from sites.ground.services.keeping import named, take_out
from sites.kernel.services.verb_days import save_because
from sites.kernel.services.verbs import UnableToAct
from sites.models import Controller, Feed, Leg, Station, Termination, Wire, Wiring


class UnableOnTwoWirePath(UnableToAct):
    """The controller reaches its valves over a two-wire path: no wire belongs to one station."""


class UnableToChangeDays(UnableToAct):
    """The wire began to serve, or was put on its terminal, after that day."""


def refuse_two_wire_path(controller: Controller | None) -> None:
    """Decline by name what a two-wire path has no place for.

    Raises:
        UnableOnTwoWirePath: with the controller's name.
    """
    if controller is not None and controller.wiring == Wiring.TWO_WIRE:
        raise UnableOnTwoWirePath(
            _(
                "%s reaches its valves over a two-wire path: all stations share two conductors, "
                "and no wire belongs to one station. Register boxes and legs there, not wires."
            )
            % _("Controller %s")
            % controller.name
        )


def controllers_of(wire: Wire) -> list[Controller]:
    """Return the controllers on which the wire ends now."""
    rows = wire.terminations.open().select_related("controller").order_by("pk")
    return [row.controller for row in rows]


def refuse_wire_on_two_wire_path(wire: Wire) -> None:
    """Decline to change a wire that ends on a controller of a two-wire path."""
    for controller in controllers_of(wire):
        refuse_two_wire_path(controller)


def stations_on(wire: Wire) -> list[Station]:
    """Return the stations that the wire serves now."""
    feeds = wire.feeds.open().select_related("station__controller")
    return [feed.station for feed in feeds.order_by("station__number", "pk")]


def legs_of(wire: Wire) -> list[Leg]:
    """Return the legs in which a wire lies, with their points."""
    rows = wire.lies.select_related("leg__from_point", "leg__to_point").order_by("pk")
    return [row.leg for row in rows]


def refuse_serving(wire: Wire, error: type[UnableToAct], advice: str) -> None:
    """Refuse while the wire serves a station."""
    if stations := stations_on(wire):
        raise error(
            _("It serves %(stations)s. %(advice)s")
            % {"stations": named(stations), "advice": advice}
        )


def switch_feed(station: Station, wire: Wire | None, *, on: date, why: str = "") -> None:
    """Let another wire, or none, serve the station from a day.

    Going back on the very day of the last switch undoes it: the row that lasted no day is taken
    out, and the one before it goes on.
    """
    now = station.feeds.open().select_related("wire").order_by("pk").first()
    if now is not None:
        _end_feed(now, on, why)
    if wire is None:
        return
    before = station.feeds.filter(wire=wire, to_on=on).order_by("pk").last()
    feed = before or Feed(station=station, wire=wire, from_on=on)
    feed.to_on = None
    save_because(feed, why)


def switch_terminal(
    wire: Wire, controller: Controller | None, terminal: str, *, on: date, why: str = ""
) -> None:
    """Put a wire on another terminal, or on none, from a day.

    A common may end on several controllers: only the end on this one changes.
    """
    ends = wire.terminations.open().order_by("pk")
    if wire.kind == "common" and controller is not None:
        ends = ends.filter(controller=controller)
    for row in ends:
        _end_termination(row, on, why)
    if controller is None:
        return
    same = wire.terminations.filter(controller=controller, terminal=terminal, to_on=on)
    row = same.order_by("pk").last() or Termination(
        wire=wire, controller=controller, terminal=terminal, from_on=on
    )
    row.to_on = None
    save_because(row, why)


def _end_feed(feed: Feed, on: date, why: str) -> None:
    _refuse_before(feed.from_on, on, feed.wire)
    if feed.from_on == on:
        take_out(feed, why)
        return
    feed.to_on = on
    save_because(feed, why)


def _end_termination(row: Termination, on: date, why: str) -> None:
    _refuse_before(row.from_on, on, row.wire)
    if row.from_on == on:
        take_out(row, why)
        return
    row.to_on = on
    save_because(row, why)


def _refuse_before(from_on: date | None, on: date, wire: Wire) -> None:
    if from_on is not None and on < from_on:
        raise UnableToChangeDays(
            _("Wire %(wire)s is in its place only since %(day)s. Enter that day or a later one.")
            % {"wire": wire, "day": from_on.isoformat()},
            field="on",
        )
