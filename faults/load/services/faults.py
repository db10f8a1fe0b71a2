"""Sheet faults: cases of trouble, the stations that each stops, and how far each has come."""

from dataclasses import dataclass
from datetime import date
from typing import Self

from django.utils import timezone
from django.utils.translation import gettext as _

from faults.cases.engines.stages import HowReturned, Stage, least_advanced
from faults.load.services.fault_rows import check_days, clock_cell, plan_hours, plan_other
from faults.models import Fault, FaultStation, StageMove, Symptom
from sites.cells.engines.plain_words import same_name
from sites.cells.services.columns import Choice, Text, words_for
from sites.cells.services.day_columns import Day
from sites.cells.services.size_and_names import Names
from sites.load.services.book import Named, Shelf, named
from sites.load.services.identity import Identity, IdentityMap, IdentitySet
from sites.load.services.load import Load, Notes, PlannedKind
from sites.load.services.renumbered import FormerNumbers, refuse_old_number
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import PROPERTY, REF
from sites.load.services.work import is_saved
from sites.models import Property, Station


def _how_of(fault: Fault, links: list[FaultStation]) -> str:
    """The one way in which all of them came back; several ways have no cell."""
    ways = {link.how_returned for link in links if link.stage == Stage.RETURNED}
    return ways.pop() if fault.stage == Stage.RETURNED and len(ways) == 1 else ""


COLUMNS = (
    REF,
    PROPERTY,
    Text("fault key", also="fault|fault id|key|case|ticket|work order|wo", name=True, longest=60,
         shows="key"),
    Day("reported", also="reported on|date reported|date|opened|reportado", required=True,
        attribute="reported_on"),
    Choice(
        "symptom",
        also="trouble|sintoma",
        attribute="symptom",
        words=words_for(
            [symptom.value for symptom in Symptom],
            open="open circuit|broken|cut|dead",
            short="short circuit|shorted|overload",
            leak_to_earth="leak|ground fault|earth leak",
            low_voltage="low volts|low",
            comes_and_goes="intermittent|sometimes",
            stays_on="does not stop|does not shut off|stuck on|stuck open|runs on",
            runs_with_another="comes on with another|cross connected|crossed",
            several_weak="weak|several are weak",
            not_known="unknown|?",
        ),
    ),
    Text("runs with", also="comes on with|other station|funciona con", longest=60,
         shows=lambda fault, _links: str(fault.runs_with) if fault.runs_with else ""),
    Names("stations", also="station|zones|station numbers|estaciones", required=True,
          shows=lambda _fault, links: sorted(str(link.station) for link in links)),
    Choice(
        "stage",
        also="status|state|estado",
        shows="stage",
        words=words_for(
            [stage.value for stage in Stage],
            reported="new|open",
            scheduled="assigned|planned",
            found="located",
            agreed="approved",
            mended="repaired|fixed",
            returned="closed|done|complete|completed",
            given_up="abandoned",
            withdrawn="cancelled|canceled|no fault found",
        ),
    ),
    Text("summary", also="description|details|resumen", attribute="summary", longest=10_000,
         lines=True),
    Text("caller", also="called by|reported by|llamó", attribute="caller", longest=120),
    Text("client order", also="client order number|po number|order number|orden del cliente",
         attribute="order_number", longest=60),
    Day("promised by", also="promised|prometido", attribute="promised_on", may_be_ahead=True),
    Text("promised from", also="promised between|prometido desde", longest=5,
         shows=lambda fault, _links: clock_cell(fault.promised_from)),
    Text("promised until", also="prometido hasta", longest=5,
         shows=lambda fault, _links: clock_cell(fault.promised_until)),
    Day("closed", also="closed on|date closed|resolved|cerrado", attribute="closed_on"),
    Choice(
        "how returned",
        also="how|returned by|resolution",
        shows=_how_of,
        words=words_for(
            [how.value for how in HowReturned],
            mended="repaired|spliced",
            moved_to_a_spare_wire="spare wire|spare",
            new_wire="rewired|replaced wire",
            controller_linked_again="linked again|link",
            doubled_with_a_neighbour="doubled|doubled with a neighbor",
            surface_wire="surface",
        ),
    ),
)  # fmt: skip


# Stations that are in the register by primary key, new ones by themselves.
ByStation = int | Identity
Held = dict[ByStation, FaultStation]
Key = Named | tuple[Identity, date | None, str, frozenset[ByStation]]


@dataclass
class Cases(Notes):
    """Faults of the touched properties, found by key or by what they are about."""

    shelf: Shelf[Fault, Key]
    stations: IdentityMap[Fault, list[FaultStation]]

    @classmethod
    def begin(cls, load: Load) -> Self:
        """Read the faults and their stations."""
        places = load.book.touched
        by_pk = {row.pk: row for row in load.book.stations.by_ref.values()}
        stations: IdentityMap[Fault, list[FaultStation]] = IdentityMap()
        rows = load.book.rows_of(Fault, "property_id")
        faults = {row.pk: row for row in rows}
        for link in load.book.rows_of(FaultStation, "fault__property_id"):
            link.fault = faults[link.fault_id]
            if station := by_pk.get(link.station_id):
                link.station = station
            stations.setdefault(link.fault, []).append(link)
        for fault in rows:
            fault.property = places[fault.property_id]
        return cls(Shelf(rows, lambda fault: _key(fault, stations.get(fault, []))), stations)

    def by_key(self, key: str, place: Property | None) -> list[Fault]:
        """Return the faults of this key, in one property or in all."""
        name = same_name(key)
        if fault := self.shelf.by_ref.get(key.lower()):
            return [fault]
        return [
            fault
            for fault in self.shelf.by_key.values()
            if same_name(fault.key) == name and (place is None or fault.property is place)
        ]


def _key(fault: Fault, links: list[FaultStation]) -> Key:
    if fault.key:
        return named(fault.property, fault.key)
    stations = frozenset(link.station_id for link in links)
    return Identity(fault.property), fault.reported_on, fault.symptom, stations


def plan(load: Load, sheet: Sheet) -> None:
    """Plan the faults, their stations and the moves of stage that they stand for."""
    cases = load.notes(Cases)
    stations_of: dict[int, list[Station]] = {}

    def key(row: Row) -> Key | None:
        place = load.property_of(row)
        stations = _stations(load, row, place) if place else None
        if place is None or not stations:
            return None
        stations_of[row.number] = stations
        if text := row.get("fault key"):
            return named(place, text)
        symptom = row.get("symptom") or Symptom.NOT_KNOWN.value
        keys = frozenset(station.pk or Identity(station) for station in stations)
        return Identity(place), row.get("reported"), symptom, keys

    for row, known, found in load.matched(sheet, cases.shelf, key):
        place = load.property_of(row)
        what = row.get("fault key") or f"{place} {row.text('reported')}"
        fault = known or Fault(property=place, key=row.get("fault key") or "")
        if known is None:
            load.work.create(fault)
            cases.shelf.put(fault, found)
            _remark_double(row, cases, fault, stations_of[row.number])
            row.add(what)
        if row.has("fault key"):
            load.put(row, fault, "fault key", row.get("fault key"), what=what, to="key")
        load.copy(row, fault, what)
        _plan_stages(load, row, cases, fault, stations_of[row.number], what)
        plan_other(load, row, place, fault, what)
        plan_hours(load, row, fault, what)
        check_days(row, fault)


def _stations(load: Load, row: Row, place: Property) -> list[Station] | None:
    names = row.get("stations") or []
    unknown = [name for name in names if load.station_named(place, name) is None]
    if unknown:
        row.problem(
            "stations",
            _("%(place)s has no station %(names)s. Write controller:number, several with ;.")
            % {"place": place.code, "names": ", ".join(f"'{name}'" for name in unknown)},
        )
        return None
    found = [load.station_named(place, name) for name in names]
    return [station for station in found if station is not None]


def _plan_stages(
    load: Load, row: Row, cases: Cases, fault: Fault, stations: list[Station], what: str
) -> None:
    """The row's stage goes to each of its stations; the fault shows the least advanced."""
    given: str | None = row.get("stage")
    how: str | None = row.get("how returned")
    stage = given or (fault.stage if fault.pk else Stage.REPORTED.value)
    if how and stage != Stage.RETURNED:
        row.problem(
            "how returned", _("Only a returned fault has come back somehow: correct either.")
        )
        return
    links = cases.stations.setdefault(fault, [])
    held: Held = {link.station_id if link.pk else Identity(link.station): link for link in links}
    is_moved = is_saved(fault) and given is not None and given != fault.stage
    if is_moved:
        row.change(what, "stage", fault.stage, stage)
    for station in stations:
        link = held.get(station.pk or 0) or held.get(Identity(station))
        if link is None:
            _refuse_old_number(load, row, station, held)
            links.append(_new_link(load, row, fault, station, stage, how, what))
            continue
        if is_moved and link.stage != stage:
            _move(load, link, link.stage, stage, fault.closed_on or load.today)
            load.work.change(link, "stage", stage)
        if how and link.how_returned != how and link.stage == Stage.RETURNED:
            row.change(what, "how returned", link.how_returned, how)
            load.work.change(link, "how_returned", how)
        elif link.how_returned and link.stage != Stage.RETURNED:
            load.work.change(link, "how_returned", "")
    shown = least_advanced([Stage(link.stage) for link in links]).value
    if fault.stage != shown:
        load.work.change(fault, "stage", shown)


def _refuse_old_number(load: Load, row: Row, station: Station, held: Held) -> None:
    """A fault does not move to the valve that got the number of the one that it stops."""
    former = load.notes(FormerNumbers).holder(station.controller, station.number)
    if former is not None:
        refuse_old_number(row, former, held.get(former.pk))


def _new_link(
    load: Load, row: Row, fault: Fault, station: Station, stage: str, how: str | None, what: str
) -> FaultStation:
    link = FaultStation(fault=fault, station=station, stage=stage, how_returned=how or "")
    load.work.create(link)
    if is_saved(fault):
        row.change(what, "stations", "", str(station))
    _move(load, link, "", stage, fault.closed_on or fault.reported_on)
    return link


def _move(load: Load, link: FaultStation, start: str, end: str, on: date) -> None:
    load.work.create(
        StageMove(
            fault_station=link,
            from_stage=start,
            to_stage=end,
            on=on,
            moved_at=timezone.now(),
            why=(_("loaded from %(filename)s") % {"filename": load.filename})[:200],
            by=load.book.scope.user,
        )
    )


def _remark_double(row: Row, cases: Cases, new: Fault, stations: list[Station]) -> None:
    """A fault without a key that nearly matches another is shown and never merged."""
    if new.key or row.get("reported") is None:
        return
    about = IdentitySet(stations)
    for fault in cases.shelf.by_key.values():
        if fault is new or fault.property is not new.property or fault.reported_on is None:
            continue
        links = cases.stations.get(fault, [])
        near = abs((fault.reported_on - row.get("reported")).days) <= 7
        if near and any(link.pk and link.station in about for link in links):
            row.remark(
                _("nearly the same as fault %(fault)s; both are kept.") % {"fault": str(fault)}
            )
            return


KIND = PlannedKind(
    "faults",
    COLUMNS,
    plan=plan,
    also="fault|fault list|cases|tickets|work orders|averias",
    marks=frozenset({"symptom", "stations", "how returned"}),
    model=Fault,
)
