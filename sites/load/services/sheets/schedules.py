"""Sheet schedules: when a station waters, over days, by central control, a timer or by hand."""

from collections import defaultdict
from itertools import combinations

from django.utils.translation import gettext as _

from sites.cells.engines.measures import MINUTES
from sites.cells.services.columns import Choice, Measure, words_for
from sites.cells.services.day_columns import Day
from sites.cells.services.timetable import Days, Starts
from sites.load.services.identity import Identity, IdentityMap
from sites.load.services.load import Load, PlannedKind
from sites.load.services.renumbered import FormerNumbers, refuse_old_number
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import CONTROLLER, NOTES, PROPERTY, STATION
from sites.models import BY_CLOCK, RunBy, Schedule, Station

Found = tuple[Identity, object, str]


COLUMNS = (
    PROPERTY,
    CONTROLLER,
    STATION,
    Day("from", also="start date|from day|starts on|desde", required=True, may_be_ahead=True,
        shows="from_on"),
    Day("to", also="until|end date|hasta", attribute="to_on", may_be_ahead=True),
    Choice(
        "run by",
        also="runs on|by",
        attribute="run_by",
        words=words_for(
            [by.value for by in RunBy],
            central="central control",
            controller="clock",
            battery_timer="timer|battery",
            hand="by hand|manual",
        ),
    ),
    Days("days", also="watering days|dias", attribute="days", longest=40),
    Starts("starts", also="start times|start time|start", attribute="starts", longest=80),
    Measure("minutes", also="run time|runtime|duration|min|minutos", required=True,
            attribute="minutes", dimension=MINUTES, most=1440.0),
    NOTES,
)  # fmt: skip


def plan(load: Load, sheet: Sheet) -> None:
    """Plan the schedules: the nth of a station, day and runner is the nth that is known."""
    known: dict[Found, list[Schedule]] = defaultdict(list)
    stations = {row.pk: row for row in load.book.stations.by_ref.values()}
    for schedule in load.book.rows_of(Schedule, "station__controller__property_id"):
        if station := stations.get(schedule.station_id):
            known[Identity(station), schedule.from_on, schedule.run_by].append(schedule)
    counts: dict[Found, int] = defaultdict(int)
    rows: IdentityMap[Station, Row] = IdentityMap()
    for row in load.rows(sheet):
        station = load.station_of(row) if row.is_complete() else None
        if station is not None:
            _plan_row(load, row, station, known, counts)
            rows[station] = row
    held: dict[Identity, list[Schedule]] = defaultdict(list)
    for (key, _day, _by), schedules in known.items():
        held[key] += schedules
    for station, row in rows.items():
        _ask_about_overlaps(row, station, held[Identity(station)])


def _ask_about_overlaps(row: Row, station: Station, held: list[Schedule]) -> None:
    """Two programs may be meant, or the older one was never ended: only people know which."""
    running = [each for each in held if each.minutes and each.from_on != each.to_on]
    running.sort(key=lambda each: each.from_on)
    for first, second in combinations(running, 2):
        is_same_way = (first.run_by in BY_CLOCK) == (second.run_by in BY_CLOCK)
        if is_same_way and (first.to_on is None or second.from_on < first.to_on):
            row.remark(
                _(
                    "%(station)s has two schedules on the same days, from %(first)s and from "
                    "%(second)s, and both are counted. Are both meant? If not, end the older one "
                    "in the column to."
                )
                % {
                    "station": station,
                    "first": first.from_on.isoformat(),
                    "second": second.from_on.isoformat(),
                }
            )
            return


def _plan_row(
    load: Load,
    row: Row,
    station: Station,
    known: dict[Found, list[Schedule]],
    counts: dict[Found, int],
) -> None:
    key = Identity(station), row.get("from"), row.get("run by") or ""
    what = f"{station.controller.property.code} {station}"
    schedules = known[key]
    if counts[key] < len(schedules):
        schedule = schedules[counts[key]]
    else:
        former = load.notes(FormerNumbers).holder(station.controller, station.number)
        if former is not None and not schedules:
            refuse_old_number(row, former, known.get((Identity(former), *key[1:])))
        schedule = Schedule(station=station, from_on=row.get("from"))
        load.work.create(schedule)
        schedules.append(schedule)
        row.add(what)
    counts[key] += 1
    load.copy(row, schedule, what)
    if schedule.to_on is not None and schedule.to_on < schedule.from_on:
        row.problem("to", _("This ends before it starts. Correct one of the two days."))


KIND = PlannedKind(
    "schedules", COLUMNS, plan=plan, also="schedule|programs|programmes|programas|horarios"
)
