"""Bring-home tests: read a round of loops, and lead home what its test calls sound."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import OuterRef, Subquery
from django.utils.translation import gettext as _

from faults.cases.engines.stages import CLOSED, Stage
from faults.cases.services.moves import move_stations
from faults.cases.services.report import Report, report_fault
from faults.cases.services.told import Finding, Mending, StageFacts
from faults.models import CauseSide, FaultStation, Reading, ReadingKind
from faults.readings.engines.bring_home import Verdict
from faults.readings.engines.walking import feet_of, walking_order
from faults.readings.services.bring_home import homes_of
from faults.readings.services.readings import take_reading
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Point, PointKind, Property, Station, Stopgap, User, Wiring
from sites.models.station import StationQuerySet

MOST_STATIONS = 400
BEFORE_FOUND = frozenset({Stage.REPORTED, Stage.SCHEDULED})


class UnableToReadLoops(UnableToAct):
    """Nothing was read, or a value cannot be."""


class UnableToLeadHome(UnableToAct):
    """No bring-home test says that this wire is sound today."""


@dataclass(frozen=True)
class LoopRead:
    """One bring-home test: its ohms, whether the wires read open apart, the coil it was across."""

    station: Station
    ohms: float
    is_open_apart: bool | None = None
    across_ohms: float | None = None


@verb(
    name="read the loops of stations off central control",
    action=Action.TAKE_READINGS,
    guard="at least one value; each must be possible; a two-wire path has no loop of one station",
    undo="void the readings one by one",
)
def read_loops(
    *,
    loops: Sequence[LoopRead],
    taken_on: date,
    today: date,
    by: User,
    taken_by: str = "",
    temperature_f: float | None = None,
) -> list[Reading]:
    """Write all bring-home tests down, or none."""
    if not loops:
        raise UnableToReadLoops(_("Nothing is filled in yet."))
    return [
        take_reading(
            station=one.station,
            kind=ReadingKind.LOOP,
            value=one.ohms,
            taken_on=taken_on,
            today=today,
            by=by,
            taken_by=taken_by,
            temperature_f=temperature_f,
            across_ohms=one.across_ohms,
            is_open_apart=one.is_open_apart,
        )
        for one in loops
    ]


@verb(
    name="lead a station home",
    action=Action.MOVE_FAULT,
    guard="a bring-home test of this time off central says today that its wire is sound; its "
    "fault, if it has one, is not past found, and no break of it lies in the ground",
    undo="back to found, as still dead",
)
def lead_home(*, station: Station, by: User, at: datetime, today: date) -> FaultStation:
    """Take a station whose wire read sound to the proof: there was nothing to mend.

    Its open fault goes on, or one is reported. What follows is as for every mend: proven with the
    coil running, then returned.
    """
    home = homes_of([station], today=today)[0]
    if home.verdict is not Verdict.SOUND or home.reading is None:
        raise UnableToLeadHome(
            _("%s: no bring-home test says that its wire is sound today. Read it again.") % station
        )
    read_on = home.reading.taken_on.isoformat()
    words = _("its wire is sound: bring-home test of %s") % read_on
    row = _row_of(station) or _reported(station, words, by=by, at=at, today=today)
    if Stage(row.stage) in BEFORE_FOUND:
        finding = Finding(words, CauseSide.ELSEWHERE.value)
        _move(row, Stage.FOUND, finding, by=by, at=at, today=today)
    mending = Mending(_("nothing to mend: %s") % words, nothing_was_dug=True)
    _move(row, Stage.MENDED, mending, by=by, at=at, today=today)
    row.refresh_from_db()
    return row


def _move(
    row: FaultStation, to: Stage, facts: StageFacts, *, by: User, at: datetime, today: date
) -> None:
    move_stations(
        fault=row.fault, stations=[row], to=to, on=today, by=by, at=at, today=today, facts=facts
    )


def _row_of(station: Station) -> FaultStation | None:
    rows = FaultStation.objects.filter(station=station).select_related("fault__property")
    rows = rows.exclude(stage__in=[stage.value for stage in CLOSED])
    return rows.order_by("fault__reported_on", "pk").first()


def _reported(station: Station, words: str, *, by: User, at: datetime, today: date) -> FaultStation:
    report = Report(reported_on=today, summary=words)
    place = station.controller.property
    fault = report_fault(place=place, stations=[station], report=report, by=by, at=at, today=today)
    return fault.stations.select_related("fault__property").get()


def stations_to_read(place: Property) -> list[Station]:
    """Return the stations there that something stands in for, in the order of walking.

    Clock by clock, because the meter lies there; those without a place on the map come last.
    """
    standing = Stopgap.objects.open().off_central().filter(station__controller__property=place)
    rows = Station.objects.in_care().filter(stopgaps__in=standing)
    rows = rows.exclude(controller__wiring=Wiring.TWO_WIRE).distinct()
    rows = rows.select_related("controller__property", "valve_point")
    return in_walking_order(list(rows.order_by("controller__name", "number", "pk")[:MOST_STATIONS]))


def youngest(stations: StationQuerySet, *, most: int) -> tuple[int, list[Station]]:
    """Return how many of these something stands in for, and those off for the shortest time.

    A wire that nobody has used for years has been struck more often.
    """
    standing = Stopgap.objects.open().off_central()
    since = standing.filter(station=OuterRef("pk")).order_by("counted_from").values("counted_from")
    rows = stations.in_care().annotate(off_since=Subquery(since[:1])).exclude(off_since=None)
    rows = rows.exclude(controller__wiring=Wiring.TWO_WIRE)
    chosen = rows.select_related("controller__property").order_by("-off_since", "pk")
    return rows.count(), list(chosen[:most])


def in_walking_order(stations: Sequence[Station]) -> list[Station]:
    """Return stations clock by clock, each clock's in the order of a walk from it."""
    by_clock: dict[int, list[Station]] = {}
    for station in stations:
        by_clock.setdefault(station.controller_id, []).append(station)
    starts = _clocks({each.controller.property_id for each in stations})
    found: list[Station] = []
    for several in by_clock.values():
        clock = several[0].controller
        spots = [_position(each.valve_point) for each in several]
        start = _position(starts.get((clock.property_id, clock.name.casefold())))
        feet = feet_of([start, *spots])
        found += [several[n] for n in walking_order(feet[1:], feet[0])]
    return found


def _clocks(place_ids: set[int]) -> dict[tuple[int, str], Point]:
    rows = Point.objects.filter(property__in=place_ids, kind=PointKind.CONTROLLER, retired_on=None)
    return {(row.property_id, row.name.casefold()): row for row in rows.order_by("-pk")}


def _position(point: Point | None) -> tuple[float, float] | None:
    if point is None or point.latitude is None or point.longitude is None:
        return None
    return point.latitude, point.longitude
