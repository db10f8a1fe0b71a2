"""The demo's searches: one that goes on, and those that found the breaks of open faults.

What the tests say follows from where the invented breaks lie.
"""

from collections.abc import Iterator
from datetime import datetime, timedelta

from faults.cases.engines.stages import Stage
from faults.locating.services.doing import finish_search, record_search_reading, start_search
from faults.locating.services.line import NoLine, SearchGround, ground_of
from faults.locating.services.numbers import assumed_now
from faults.models import (
    Break,
    Fault,
    FaultStation,
    Reading,
    ReadingKind,
    Search,
    SearchOutcome,
)
from sites.models import User
from sites.register.services.property_facts import change_station

SINCE_FOUND = (Stage.FOUND, Stage.AGREED, Stage.MENDED, Stage.PROVEN)
MOST = 8
# As the scenario words it.
COIL_READS_WRONG = "Coil reads wrong"
# Tools and working minutes, one after the other, so that the list is not of one cloth.
AT_HAND: tuple[list[str], ...] = (["distance", "jumper"], ["jumper"], ["clamp", "insulation"], [])
COIL_OHMS = 28.0
MINUTES = (35, 50, 25, 70, 40, 30, 95, 45)


def make_demo_searches(*, by: User, at: datetime) -> None:
    """Make them once; a second call leaves all as it is."""
    if Search.objects.exists():
        return
    _go_on(by=by, at=at)
    _read_coils(by=by, at=at)
    _hang_a_second_coil(at)
    for n, found in enumerate(_found()):
        _search_found(found, n, by=by, at=at)


def _found() -> list[Break]:
    rows = Break.objects.filter(
        fault__stage__in=[stage.value for stage in SINCE_FOUND], leg__isnull=False
    ).select_related("fault__property", "leg")
    return list(rows.order_by("fault__reported_on", "pk")[:MOST])


def _go_on(*, by: User, at: datetime) -> None:
    """The newest scheduled fault: the terminals are right, and the first box divides it."""
    rows = FaultStation.objects.filter(stage=Stage.SCHEDULED.value).select_related(
        "fault__property", "station__controller__property"
    )
    for row in rows.order_by("-fault__reported_on", "pk"):
        ground = _ground(row, at)
        if ground is None or len(ground.line.boxes) < 3:
            continue
        start = at - timedelta(minutes=45)
        search = start_search(
            fault=row.fault, station=row.station, at=start, by=by, tools=AT_HAND[0]
        )
        middle = ground.points[len(ground.points) // 2]
        for n, said in enumerate(
            (
                {"kind": "check", "check": "output", "is_right": True},
                {"kind": "check", "check": "coil", "is_right": True},
                {"kind": "box", "point": middle, "controller_bad": False, "valve_bad": True},
            )
        ):
            when = start + timedelta(minutes=8 + 12 * n)
            record_search_reading(search=search, said=said, taken_at=when, by=by, now=at)
        return


def _hang_a_second_coil(at: datetime) -> None:
    """Two valves, unlike, on the wire of a dead station whose ohms nobody has read."""
    read = Reading.objects.filter(kind=ReadingKind.OHMS).values("station")
    rows = FaultStation.objects.filter(stage=Stage.REPORTED.value).exclude(station__in=read)
    rows = rows.select_related("fault__property", "station__controller__property")
    for row in rows.order_by("-fault__reported_on", "pk"):
        if _ground(row, at) is not None:
            first = row.station.coil_ohms or COIL_OHMS
            values = {"coil_ohms": first, "second_coil_ohms": round(first * 0.8, 1)}
            change_station(station=row.station, values=values)
            return


def _read_coils(*, by: User, at: datetime) -> None:
    """Where a fault's text says what a meter showed at the valve, its search was told so."""
    rows = FaultStation.objects.filter(
        stage__in=[Stage.REPORTED.value, Stage.SCHEDULED.value],
        fault__summary__startswith=COIL_READS_WRONG,
    ).select_related("fault__property", "station__controller__property")
    for row in rows.order_by("fault__reported_on", "pk"):
        if _ground(row, at) is None or Search.objects.filter(station=row.station).exists():
            continue
        start = at - timedelta(days=1, minutes=30)
        search = start_search(fault=row.fault, station=row.station, at=start, by=by)
        said = {"kind": "check", "check": "coil", "is_right": False}
        when = start + timedelta(minutes=12)
        record_search_reading(search=search, said=said, taken_at=when, by=by, now=at)


def _search_found(found: Break, n: int, *, by: User, at: datetime) -> None:
    row = found.fault.stations.select_related("station__controller__property").first()
    if row is None or Search.objects.filter(station=row.station).exists():
        return
    row.fault = found.fault
    ground = _ground(row, at)
    if ground is None or found.leg_id not in ground.legs:
        return
    start = at - timedelta(days=3 * n + 2)
    end = start + timedelta(minutes=MINUTES[n % len(MINUTES)])
    search = start_search(
        fault=found.fault,
        station=row.station,
        at=start,
        by=by,
        tools=AT_HAND[n % len(AT_HAND)],
    )
    for step, said in enumerate(_said(ground, ground.legs.index(found.leg_id))):
        when = start + timedelta(minutes=6 + 9 * step)
        record_search_reading(search=search, said=said, taken_at=when, by=by, now=at)
    finish_search(
        search=search, outcome=SearchOutcome.FOUND.value, found=found, at=max(end, when), now=at
    )


def _said(ground: SearchGround, leg: int) -> Iterator[dict[str, object]]:
    """Yield tests that close in on a leg from both sides."""
    yield {"kind": "check", "check": "output", "is_right": True}
    for place in (leg, leg + 1):
        if 0 < place < len(ground.points) - 1:
            yield {
                "kind": "listened",
                "point": ground.points[place],
                "heard": place <= leg,
            }


def _ground(row: FaultStation, at: datetime) -> SearchGround | None:
    fault: Fault = row.fault
    try:
        return ground_of(row.station, fault, assumed_now(), today=at.date())
    except NoLine:
        return None
