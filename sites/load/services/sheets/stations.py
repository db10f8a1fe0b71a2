"""Sheet stations: valve circuits, what they water, the wire that feeds them."""

from dataclasses import replace

from django.utils.translation import gettext as _

from sites.cells.engines.measures import AREA, FACTOR, FLOW, LENGTH, OHMS, RATE, SHARE
from sites.cells.engines.plain_words import same_name
from sites.cells.services.columns import Choice, Measure, Text, words_for
from sites.cells.services.size_and_names import Size
from sites.load.services.book import Numbered, numbered
from sites.load.services.identity import Identity, IdentitySet
from sites.load.services.load import Load, PlannedKind
from sites.load.services.renumbered import FormerNumbers
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import CONTROLLER, NOTES, PROPERTY, REF, STATION
from sites.load.services.sheets.facts import plan_facts
from sites.load.services.sheets.ground import plan_point, standing_name
from sites.load.services.sheets.implied import follow_run_length, imply_wiring
from sites.load.services.sheets.lies import wire_there
from sites.load.services.work import is_saved
from sites.models import (
    Central,
    Controller,
    Feed,
    Property,
    Station,
    StationKind,
)

NAME = Text(
    "station name",
    also="name|description|station description|zone name|zone description|valve name|"
    "valve description|valve|zone|station|location|waters|area served|nombre|"
    "nombre de la estacion|nombre de la zona|descripcion|descripcion de la zona|zona|"
    "valvula|estacion|ubicacion|riega",
    attribute="name",
)
AREA_COLUMN = Measure(
    "area",
    also="irrigated area|size of area|station area|square feet|square footage|superficie",
    attribute="area_sqft",
    dimension=AREA,
)
FLOW_COLUMN = Measure("flow", also="flow rate|gpm|design gpm|design flow|caudal|gasto",
                      attribute="flow_gpm", dimension=FLOW)  # fmt: skip
RUN = Measure(
    "run length",
    also="run|wire run|wire length|run of wire|length|length of run|distance|wire run length|"
    "longitud|longitud de cable",
    attribute="run_length_ft",
    dimension=LENGTH,
)
SIZE = Size("size", also="wire size|wire gauge|gauge|awg|calibre|wire", attribute="wire_size")


def _depends_on(station: Station, *_others: object) -> str:
    """A station that other files of the register do not have is left out."""
    other = station.depends_on
    if other is None or other.retired_on or other.controller.retired_on:
        return ""
    here = station.controller.property_id
    return str(other) if other.controller.property_id == here else ""


COLUMNS = (
    REF,
    PROPERTY,
    CONTROLLER,
    replace(STATION, shows="number"),
    NAME,
    Choice(
        "kind",
        also="station kind|type|station type",
        attribute="kind",
        words=words_for(
            [kind.value for kind in StationKind],
            valve="station|zone|lateral",
            master_valve="master|mv|mastervalve",
            pump_start="pump|ps|pump relay",
        ),
    ),
    Text("valve point", also="valve box|box|valve location", name=True, longest=60,
         shows=lambda station, *_: standing_name(station.valve_point)),
    Text("wire", also="wire name|hot wire|fed by", name=True, longest=60, shows="wire.name"),
    RUN,
    Size("size", also="wire size|wire gauge|gauge|awg|calibre", attribute="wire_size"),
    AREA_COLUMN,
    FLOW_COLUMN,
    Measure("precipitation rate", also="precip rate|pr|application rate|precipitation",
            attribute="precipitation_in_per_h", dimension=RATE),
    Text("plant kind", also="plants|plant type|plant material|planting", attribute="plant_kind",
         longest=60),
    Measure("plant factor", also="kc|crop coefficient|pf", attribute="plant_factor",
            dimension=FACTOR, most=3.0),
    Measure("efficiency", also="eff|irrigation efficiency", attribute="efficiency",
            dimension=SHARE, above_least=True, most=1.0),
    Measure("coil ohms", also="coil|solenoid ohms|coil resistance", attribute="coil_ohms",
            dimension=OHMS),
    Measure("second coil ohms", also="second coil|coil 2|second solenoid ohms",
            attribute="second_coil_ohms", dimension=OHMS),
    Text("depends on", also="master valve|behind|needs", name=True, shows=_depends_on),
    NOTES,
)  # fmt: skip


def plan(load: Load, sheet: Sheet) -> None:
    """Plan the stations, then what depends on what, then the wires that a bare list implies."""
    planned: list[tuple[Row, Station]] = []

    def key(row: Row) -> Numbered | None:
        place = load.property_of(row)
        controller = load.controller_of(row, place) if place else None
        return numbered(controller, row.get("station number")) if controller else None

    for row, known, _found in load.matched(sheet, load.book.stations, key):
        place = load.property_of(row)
        controller = load.controller_of(row, place) if place else None
        if place is None or controller is None or _is_elsewhere(row, known, controller):
            continue
        station = known or new_station(load, controller, row.get("station number"))
        if known is None:
            row.add(f"{place.code} {station}")
        else:
            _plan_number(load, row, station)
        plan_station(load, row, place, station)
        planned.append((row, station))
    for row, station in load.telling(sheet, planned):
        _plan_dependence(load, row, station)
    for row, station in load.telling(sheet, planned):
        # A row with a `ref` comes from a register that brings its wires, or has none.
        if row.is_new and not row.has("ref"):
            imply_wiring(load, station)


def _is_elsewhere(row: Row, station: Station | None, controller: Controller) -> bool:
    if station is None or station.controller is controller:
        return False
    row.problem(
        "ref",
        _("This ref belongs to %(station)s. A file cannot move a station elsewhere.")
        % {"station": f"{station.controller.property.code} {station}"},
    )
    return True


def new_station(load: Load, controller: Controller, number: int) -> Station:
    """Make a station; one on a controller that has lost its link is off central at once."""
    station = Station(controller=controller, number=number)
    load.work.create(station)
    load.book.stations.put(station, numbered(controller, number))
    states = load.book.states.get(controller, [])
    if any(state.state == Central.LINK_LOST for state in states):
        load.work.touch(station)
    return station


def plan_station(load: Load, row: Row, place: Property, station: Station) -> None:
    """Plan everything of one station but its number and what it depends on."""
    what = f"{place.code} {station}"
    _tell_number_too_high(row, station)
    old_run = station.run_length_ft
    load.copy(row, station, what)
    plan_facts(load, row, station, what)
    plan_point(load, row, place, station, "valve point", what=what)
    if row.has("wire"):
        _plan_feed(load, row, place, station, what)
    if is_saved(station) and station.run_length_ft != old_run:
        follow_run_length(load, station)


def _tell_number_too_high(row: Row, station: Station) -> None:
    """A slip of the hand, or a controller that was enlarged: nobody but people know which."""
    most, number = station.controller.station_count, row.get("station number")
    if most is not None and number is not None and number > most:
        row.remark(
            _(
                "Number %(number)d is above the %(most)d stations that controller %(name)s can "
                "switch. Correct one of the two."
            )
            % {"number": number, "most": most, "name": station.controller.name}
        )


def _plan_number(load: Load, row: Row, station: Station) -> None:
    """A number that this station had before says that the file is older than a renumbering."""
    number = row.get("station number")
    what = f"{station.controller.property.code} {station}"
    former = load.notes(FormerNumbers)
    if row.has("ref"):
        if station.number != number and (day := former.of(station, number)):
            row.problem(
                "station number",
                _(
                    "This station was %(number)d until %(day)s and is %(now)d since. The file is "
                    "older than that: export a new one, or write the present number."
                )
                % {"number": number, "day": day.isoformat(), "now": station.number},
            )
            return
        load.put(row, station, "station number", number, what=what, to="number")
        return
    other = former.holder(station.controller, number)
    name = same_name(row.get("station name") or "")
    if other and name and name == same_name(other.name) != same_name(station.name):
        row.problem(
            "station number",
            _(
                "'%(name)s' was number %(number)d before it was renumbered to %(now)d. The file "
                "is older than that: export a new one, or write the present number."
            )
            % {"name": other.name, "number": number, "now": other.number},
        )


def _plan_feed(load: Load, row: Row, place: Property, station: Station, what: str) -> None:
    wire = wire_there(load, row, place, "wire", row.get("wire") or "")
    if wire is None:
        return
    feed = load.book.feeds.find(Identity(station))
    if feed is None:
        feed = Feed(station=station, wire=wire)
        load.work.create(feed)
        load.book.feeds.put(feed, Identity(station))
        if not row.is_new:
            row.change(what, "wire", "", wire.name)
    else:
        load.refer(row, feed, "wire", wire, what=what)


def _plan_dependence(load: Load, row: Row, station: Station) -> None:
    if "depends on" not in row.cells:
        return
    other: Station | None = None
    place = station.controller.property
    if text := row.get("depends on"):
        if text.isdigit():
            text = f"{station.controller.name}:{text}"
        other = load.station_named(place, text)
        if other is None:
            row.problem(
                "depends on",
                _("%(place)s has no such station. Write controller:number, for example A:24.")
                % {"place": place.code},
            )
            return
    if other is not None and _leads_back(other, station):
        row.problem(
            "depends on", _("A station cannot depend on itself, not even by way of others.")
        )
        return
    load.refer(row, station, "depends on", other, what=f"{place.code} {station}")


def _leads_back(start: Station, goal: Station) -> bool:
    seen: IdentitySet[Station] = IdentitySet()
    here: Station | None = start
    while here is not None and here not in seen:
        if here is goal:
            return True
        seen.add(here)
        here = here.depends_on
    return False


KIND = PlannedKind(
    "stations",
    COLUMNS,
    plan=plan,
    also="station|zones|zone list|station list|valves|valve list|estaciones",
    marks=frozenset({"valve point", "wire", "depends on", "coil ohms"}),
    model=Station,
)
