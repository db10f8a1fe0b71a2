"""The flat list: one row a station, as most offices keep it. It makes what it implies."""

from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _

from sites.cells.engines.days import Window
from sites.cells.engines.plain_words import same_name
from sites.cells.engines.raw import Cell
from sites.cells.services.columns import Manner, Text, plain_text
from sites.cells.services.day_columns import Span
from sites.load.services.book import named, numbered
from sites.load.services.identity import IdentityMap
from sites.load.services.load import Load, Notes, PlannedKind
from sites.load.services.matching import tell_repeated
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import CONTROLLER, NOTES, PROPERTY, STATION
from sites.load.services.sheets.controllers import new_controller
from sites.load.services.sheets.implied import imply_wiring
from sites.load.services.sheets.overlaps import StopgapNotes, settle_overlaps
from sites.load.services.sheets.properties import client_named, new_property, tell_double
from sites.load.services.sheets.stations import (
    AREA_COLUMN,
    FLOW_COLUMN,
    NAME,
    RUN,
    SIZE,
    new_station,
    plan_station,
)
from sites.load.services.sheets.stopgaps import (
    new_stopgap,
    plan_reason,
    settle_days,
)
from sites.load.services.work import is_saved
from sites.models import (
    OFF_CENTRAL_KINDS,
    Client,
    Controller,
    Property,
    Station,
    Stopgap,
    StopgapKind,
)
from sites.stopgaps.engines.spells import Reason

_YES = frozenset(
    {"yes", "y", "x", "si", "sí", "true", "timer", "battery timer", "battery", "temporizador",
     "pila"}
)  # fmt: skip
# On a timer, and nobody knows since when.
_NOBODY_KNOWS = frozenset(
    {"?", "??", "???", "unknown", "unk", "not known", "n/d", "nd", "s/d", "tbd", "desconocido",
     "desconocida", "no se sabe"}
)  # fmt: skip
_NO = frozenset(
    {"no", "n", "none", "false", "ok", "0", "central", "on central", "n/a", "na", "n.a.", "ninguno"}
)


class Since(Span):
    """A day, month or year; or only yes or no where nobody knows the day."""

    def can_mean(self, word: str) -> bool:
        """Its words for "not known" mean that a timer is there."""
        return True

    def read(self, cell: Cell, manner: Manner, unit: str) -> Any:
        """Return the window, or whether there is a stopgap at all."""
        word = plain_text(cell).casefold()
        if word in _YES | _NO | _NOBODY_KNOWS:
            return word not in _NO
        return super().read(cell, manner, unit)


COLUMNS = (
    Text(
        "property code",
        also="property no|property number|property id|site code|site no|site number|site id|"
        "codigo de propiedad|codigo del sitio",
        name=True,
        longest=60,
    ),
    # Alone it may hold codes as well: the property is then found by either.
    Text("property", also=PROPERTY.also, name=True),
    Text("client", also="customer|client name|owner|management company|cliente"),
    Text("controller", also=CONTROLLER.also, name=True, longest=60),
    STATION,
    NAME,
    AREA_COLUMN,
    FLOW_COLUMN,
    RUN,
    SIZE,
    Since(
        "stopgap since",
        also="timer since|battery timer since|on timer since|off central since|since|timer|"
        "battery timer|stopgap|on battery since|battery since|timer installed|timer date|"
        "date timer installed|battery timer installed|battery timer date|off clock|off clock since|"
        "off central|temporizador|temporizador desde|con temporizador desde|pila desde|"
        "con pila desde|a pilas desde|bateria desde|con bateria desde|"
        "temporizador de bateria desde|"
        "fuera de central desde|desde",
        ends="fitted",
    ),
    Text(
        "cause or reason",
        also="cause|reason|why|problem|issue|fault|cause of fault|reason for timer|wire cut by|"
        "cut by|damage|damaged by|causa|razon|motivo|causa del corte|causa del dano|dano|"
        "danado por",
        longest=200,
    ),
    NOTES,
)


@dataclass
class FlatNotes(Notes):
    """The name that the first row with one gives a property, for all flat lists of a load."""

    names: IdentityMap[Property, str] = field(default_factory=IdentityMap)


def plan(load: Load, sheet: Sheet) -> None:
    """Plan every row of the list with all that it implies."""
    seen: IdentityMap[Station, Row] = IdentityMap()
    for row in load.rows(sheet):
        place = _property(load, row) if row.is_complete() else None
        controller = _controller(load, row, place) if place else None
        if place is None or controller is None:
            continue
        number = row.get("station number")
        station = load.book.stations.find(numbered(controller, number))
        if station is not None and (first := seen.get(station)):
            tell_repeated(row, first)
            continue
        if station is None:
            station = new_station(load, controller, number)
            row.add(f"{place.code} {station}")
        seen[station] = row
        plan_station(load, row, place, station)
        _plan_stopgap(load, row, place, station)
        if row.is_new:
            imply_wiring(load, station)
    settle_overlaps(load)


def _property(load: Load, row: Row) -> Property | None:
    """The property of the row; a list without such a column is one property, named like it."""
    code = _code(row)
    if code is None:
        return None
    name = _full_name(row)
    place = load.book.property_named(code)
    if place is None:
        client = _client(load, row)
        place = new_property(load, row, code=code, client=client) if client else None
        if place is not None and not name:
            tell_double(load, row, place)
    elif row.has("client") and same_name(row.get("client") or "") != same_name(place.client.name):
        _plan_client(load, row, place)
    if place is not None and name:
        _plan_name(load, row, place, name)
    return place


def _code(row: Row) -> str | None:
    """The code, else the name where a row or the whole list has no code."""
    columns = [name for name in ("property code", "property") if name in row.sheet.columns]
    if not columns:
        code = row.sheet.raw.name
        row.sheet.report.remark(
            _("There is no column for the property, so all stations go to '%(name)s'.")
            % {"name": code}
        )
        return code
    given = next((name for name in columns if row.has(name)), None)
    if given is None:
        row.problem(columns[0], _("Which property? Fill in its code or name."))
        return None
    code = row.get(given)
    return None if code is None else str(code)


def _full_name(row: Row) -> str:
    """What the list calls the property beside its code; empty where it says no more."""
    if not (row.has("property code") and row.has("property")):
        return ""
    name = row.get("property") or ""
    return "" if same_name(name) == same_name(row.text("property code")) else name


def _plan_name(load: Load, row: Row, place: Property, name: str) -> None:
    """One property has one name, however many rows repeat it; a new one is told once."""
    first = load.notes(FlatNotes).names.setdefault(place, name)
    if same_name(first) != same_name(name):
        row.problem(
            "property",
            _("Other rows call this property '%(name)s'. Write one name, or another code.")
            % {"name": first},
        )
    elif same_name(place.name) != same_name(name):
        load.put(row, place, "property", name, what=place.code, to="name")
        tell_double(load, row, place)


def _client(load: Load, row: Row) -> Client | None:
    return client_named(load, row, row.get("client") or _("Client not named"))


def _plan_client(load: Load, row: Row, place: Property) -> None:
    """A client named later takes the place of "not named"; any other change is shown as one."""
    client = client_named(load, row)
    if client is None:
        return
    if not is_saved(place) and place.client.name != _("Client not named"):
        row.problem(
            "client",
            _("Other rows say that '%(client)s' pays for this property. Write one client.")
            % {"client": place.client.name},
        )
        return
    load.refer(row, place, "client", client, what=place.code)


def _controller(load: Load, row: Row, place: Property) -> Controller | None:
    if "controller" in row.sheet.columns:
        if not row.has("controller"):
            row.problem("controller", _("Which controller? Fill in its name."))
            return None
        name = row.get("controller")
        if name is None:
            return None
    else:
        name = "A"
        row.sheet.report.remark(
            _("There is no column for the controller: all stations go to one named 'A'.")
        )
    found = load.book.controllers.find(named(place, name))
    return found or new_controller(load, place, name)


def _plan_stopgap(load: Load, row: Row, place: Property, station: Station) -> None:
    since, cause = row.get("stopgap since"), row.get("cause or reason")
    what = f"{place.code} {station}"
    held = load.book.stopgaps.setdefault(station, [])
    current = next(
        (each for each in held if each.removed_on is None and each.kind in OFF_CENTRAL_KINDS), None
    )
    if row.erases("stopgap since") and current is not None:
        row.problem(
            "stopgap since",
            _("A stopgap ends on a day: say when it was removed, in a sheet of stopgaps."),
        )
        return
    if since is None or since is False:
        if cause and current is None and "stopgap since" not in row.sheet.columns:
            since = True
        elif cause and current is None and not row.problems:
            row.remark(_("a cause but no stopgap: write since when, or 'yes' where nobody knows."))
            return
        else:
            return
    if current is None:
        current = _new(load, station, held)
    if row.text("stopgap since").casefold() in _NOBODY_KNOWS:
        row.remark(
            _("'%s' was read as: on a timer, nobody knows since when.") % row.text("stopgap since")
        )
    _plan_since(load, row, current, since, what)
    if cause:
        plan_reason(load, row, current, cause, what, "cause or reason")
    settle_days(load, row, current)
    load.notes(StopgapNotes).take(current, row)


def _new(load: Load, station: Station, held: list[Stopgap]) -> Stopgap:
    stopgap = new_stopgap(load, station, StopgapKind.BATTERY_TIMER)
    stopgap.reason = Reason.NOT_KNOWN.value
    held.append(stopgap)
    return stopgap


def _plan_since(load: Load, row: Row, stopgap: Stopgap, since: Window | bool, what: str) -> None:
    """Where nobody knows the day, the first that is known is the day of the list."""
    if not isinstance(since, bool):
        load.put_window(row, stopgap, "stopgap since", since, what=what)
    elif stopgap.fitted_latest is None and stopgap.first_seen_on is None:
        load.work.change(stopgap, "first_seen_on", load.today)


KIND = PlannedKind(
    "flat list",
    COLUMNS,
    plan=plan,
    also="flat|list|master list|register|inventory|station inventory",
    marks=frozenset({"stopgap since", "cause or reason", "client"}),
    makes_what_it_implies=True,
)
