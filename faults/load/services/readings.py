"""Sheet readings: measurements on the wire of a station."""

import re
from collections import defaultdict
from datetime import datetime, time
from typing import Any

from django.utils.translation import gettext as _

from faults.models import Reading, ReadingKind
from sites.cells.engines.measures import (
    LENGTH,
    MEGOHMS,
    OHMS,
    TEMPERATURE,
    VOLTS,
    Dimension,
    read_measure,
)
from sites.cells.services.columns import Choice, Flag, Measure, Text, words_for
from sites.cells.services.day_columns import Day
from sites.cells.services.refusals import Unreadable
from sites.load.services.identity import Identity
from sites.load.services.load import Load, PlannedKind
from sites.load.services.renumbered import FormerNumbers, refuse_old_number
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import CONTROLLER, PROPERTY, STATION
from sites.load.services.sheets.ground import point_named, standing_name
from sites.models import Point, Station
from sites.wires.services.warmth import LEAST_GROUND_F, MOST_GROUND_F

_BY_KIND = {
    ReadingKind.OHMS.value: OHMS,
    ReadingKind.VOLTS.value: VOLTS,
    ReadingKind.INSULATION.value: MEGOHMS,
    ReadingKind.DISTANCE.value: LENGTH,
    ReadingKind.LOOP.value: OHMS,
}
_ANY = Dimension(
    "", "", "", {"": (1.0, 0.0)} | OHMS.known | VOLTS.known | MEGOHMS.known | LENGTH.known
)


def _taken_of(reading: Reading, *_others: object) -> str:
    """With the time of day where that is known."""
    if reading.taken_at_time is None:
        return reading.taken_on.isoformat()
    return datetime.combine(reading.taken_on, reading.taken_at_time).isoformat(sep=" ")


COLUMNS = (
    PROPERTY,
    CONTROLLER,
    STATION,
    Day("taken", also="taken on|date|day|when|measured|fecha", required=True, shows=_taken_of),
    Choice(
        "kind",
        also="type|what|reading type|tipo",
        required=True,
        shows="kind",
        words=words_for(
            [kind.value for kind in ReadingKind],
            ohms="ohm|resistance|r|ω",
            volts="volt|v|vac|voltage",
            distance="distance to the fault|feet to the fault",
            loop="bring-home test|loop ohms|joined",
            insulation="megohms|megohm|insulation resistance|mohm|megger",
        ),
    ),
    Measure("value", also="reading|measured value|result|valor", required=True, dimension=_ANY,
            shows="value"),
    Text("point", also="at|box|taken at|punto", name=True, longest=60,
         shows=lambda reading, *_: standing_name(reading.point)),
    Flag("new coil", also="first with a new coil", attribute="is_new_coil"),
    Flag("loaded", also="under load|coil running|with load", attribute="is_loaded"),
    Measure("temperature", also="temp|air temperature|temperatura", attribute="temperature_f",
            dimension=TEMPERATURE, least=LEAST_GROUND_F, most=MOST_GROUND_F),
    Measure("across coil", also="across a coil of|test coil|a través de una bobina",
            attribute="across_ohms", dimension=OHMS),
    Flag("open apart", also="open before joined|abiertos separados", attribute="is_open_apart"),
    Text("by", also="taken by|technician|tech|who|por", attribute="taken_by", longest=60),
    Text("notes", also="note|comment|notas", attribute="notes", longest=300),
)  # fmt: skip
_CLOCK = re.compile(r"[T ](([01]\d|2[0-3]):[0-5]\d(:[0-5]\d(\.\d{6})?)?)$")
Key = tuple[Identity, object, str, float, Identity | None]


def plan(load: Load, sheet: Sheet) -> None:
    """Plan the readings: one that is there already, in all that was measured, is the same."""
    rows = list(load.rows_unclosed(sheet))
    planned = [(row, station) for row in rows if (station := _station(load, row))]
    known = _known(load, [row.get("taken") for row, _station in planned])
    for row, station in load.telling(sheet, planned):
        _plan_row(load, row, station, known)
    for row in rows:
        row.close()


def _station(load: Load, row: Row) -> Station | None:
    return load.station_of(row) if row.is_complete() else None


def _known(load: Load, days: list[Any]) -> dict[Key, list[Reading]]:
    """Readings of these days by what was measured."""
    found: dict[Key, list[Reading]] = defaultdict(list)
    if not days:
        return found
    stations = {row.pk: row for row in load.book.stations.by_ref.values()}
    points = {row.pk: row for row in load.book.points.by_ref.values()}
    for reading in Reading.objects.filter(
        station__controller__property_id__in=list(load.book.touched),
        taken_on__range=(min(days), max(days)),
    ).order_by("-pk"):
        if reading.station_id in stations:
            point = points.get(reading.point_id or 0)
            key = _key(stations[reading.station_id], reading, point)
            found[key].append(reading)
    return found


def _key(station: Station, reading: Reading, point: Point | None) -> Key:
    return (
        Identity(station),
        (reading.taken_on, reading.taken_at_time),
        reading.kind,
        round(reading.value, 6),
        Identity(point) if point else None,
    )


def _plan_row(load: Load, row: Row, station: Station, known: dict[Key, list[Reading]]) -> None:
    place = station.controller.property
    point = None
    if name := row.get("point"):
        point = point_named(load, row, place, "point", name)
        if point is None:
            return
    value = _value(load, row)
    if value is None:
        return
    reading = Reading(
        station=station,
        point=point,
        taken_on=row.get("taken"),
        taken_at_time=_time(row),
        kind=row.get("kind"),
        value=value,
    )
    what = f"{place.code} {station} {reading.taken_on.isoformat()}"
    same = known.get(_key(station, reading, point))
    if same:
        reading = same.pop()
    else:
        former = load.notes(FormerNumbers).holder(station.controller, station.number)
        if former is not None:
            refuse_old_number(row, former, known.get(_key(former, reading, point)))
        feed = load.book.feeds.find(Identity(station))
        reading.wire = feed.wire if feed else None
        load.work.create(reading)
        row.add(what)
    load.copy(row, reading, what)


def _value(load: Load, row: Row) -> float | None:
    """The unit of a value follows from what was measured, unless heading or cell name one."""
    dimension = _BY_KIND[row.get("kind")]
    matched = row.sheet.columns["value"]
    unit = matched.unit if dimension.knows(matched.unit) else dimension.us
    cell = row.cells["value"]
    if not isinstance(cell, str):
        return dimension.to_stored(float(row.get("value")), unit)
    try:
        return read_measure(cell, dimension, unit=unit, mark=row.sheet.manner.mark)
    except (ValueError, Unreadable):
        row.problem(
            "value",
            _("This is no value of that kind. Write for example 32 or 32 %(unit)s.")
            % {"unit": dimension.us},
        )
        return None


def _time(row: Row) -> time | None:
    cell = row.cells["taken"]
    if isinstance(cell, str):
        found = _CLOCK.search(cell)
        return time.fromisoformat(found[1]) if found else None
    return cell.time() if isinstance(cell, datetime) and cell.time() != time() else None


KIND = PlannedKind(
    "readings",
    COLUMNS,
    plan=plan,
    also="reading|measurements|tests|meter readings|mediciones",
    marks=frozenset({"taken", "value", "loaded"}),
)
