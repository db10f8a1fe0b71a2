"""Rows of the large register: stopgaps, faults, breaks and readings over seven years."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from tests.bench.fill import chance
from tests.bench.large_ground import STATIONS_A_BOX, Rows, Size, lines, property_of

REASONS = ("wire", "wire", "wire", "valve or solenoid", "controller", "not known")
KINDS = ("battery timer", "battery timer", "by hand", "shut off", "held open")
CAUSES = ("rodent", "shovel", "root", "rock", "splice", "corrosion", "not known")
SYMPTOMS = ("open", "open", "short", "leak to earth", "not known")
OPEN_STAGES = ("reported", "scheduled", "found", "agreed", "mended", "proven")


def stopgaps(size: Size, today: date) -> Rows:
    step = max(1, size.stations // size.open_stopgaps)
    pk = 0
    for number in range(size.open_stopgaps):
        pk += 1
        fitted = today - timedelta(days=int(chance.expovariate(1 / 250)) % 1400)
        yield _stopgap(pk, 1 + number * step % size.stations, fitted, None)
    # Closed ones lie before all open ones, and one after the other on each station. Where none is
    # open they ended over the last three years: a forecast learns from what came back lately.
    for number in range(size.closed_stopgaps):
        pk += 1
        turn, station = divmod(number, size.stations)
        off = chance.randrange(60)
        ago = 1500 + 100 * turn + chance.randrange(40)
        if not turn and station % step:
            ago = off + 1 + chance.randrange(1095)
        fitted = today - timedelta(days=ago)
        yield _stopgap(pk, 1 + station, fitted, fitted + timedelta(days=off))


def _stopgap(pk: int, station: int, fitted: date, removed: date | None) -> dict[str, Any]:
    return {
        "id": pk,
        "station_id": station,
        "kind": chance.choice(KINDS),
        "fitted_earliest": fitted,
        "fitted_latest": fitted,
        "counted_from": fitted,
        "removed_on": removed,
        "reason": chance.choice(REASONS),
    }


def _is_open(fault: int) -> bool:
    return fault % 15 == 0


def _stage(fault: int) -> str:
    return OPEN_STAGES[fault // 15 % len(OPEN_STAGES)] if _is_open(fault) else "returned"


def _station_of_fault(fault: int, size: Size) -> int:
    return 1 + fault * 7 % size.stations


def _reported(fault: int, today: date) -> date:
    return today - timedelta(days=20 + fault * 11 % 2400)


def faults(size: Size, today: date) -> Rows:
    for pk in range(1, size.faults + 1):
        reported = _reported(pk, today)
        yield {
            "id": pk,
            "property_id": property_of(_station_of_fault(pk, size), size),
            "key": f"F{pk}",
            "reported_on": reported,
            "symptom": chance.choice(SYMPTOMS),
            "stage": _stage(pk),
            "closed_on": None if _is_open(pk) else reported + timedelta(days=14),
            "summary": "does not run from the clock",
        }


def fault_stations(size: Size) -> Rows:
    for pk in range(1, size.faults + 1):
        yield {
            "id": pk,
            "fault_id": pk,
            "station_id": _station_of_fault(pk, size),
            "stage": _stage(pk),
        }


def moves(size: Size, today: date) -> Rows:
    for pk in range(1, size.faults + 1):
        at = datetime.combine(_reported(pk, today), datetime.min.time(), tzinfo=UTC)
        yield {"fault_station_id": pk, "from_stage": "", "to_stage": "reported", "moved_at": at}
        if not _is_open(pk):
            later = at + timedelta(days=14)
            yield {
                "fault_station_id": pk,
                "from_stage": "proven",
                "to_stage": "returned",
                "moved_at": later,
            }


def breaks(size: Size, today: date) -> Rows:
    leg_of = {
        station: points[1 + (number - 1) // STATIONS_A_BOX]
        for _, _, stations, points in lines(size)
        for number, station in enumerate(stations, start=1)
    }
    for pk in range(1, size.faults + 1):
        if not _is_open(pk):
            found = _reported(pk, today) + timedelta(days=7)
            yield {
                "fault_id": pk,
                "leg_id": leg_of[_station_of_fault(pk, size)],
                "feet_along": float(pk % 55),
                "found_on": found,
                "mended_on": found,
                "cause": chance.choice(CAUSES),
                "damage": "cut",
            }


def readings(size: Size, today: date) -> Rows:
    for number in range(size.readings):
        kind, value = (("ohms", 24.0), ("volts", 25.5))[number % 2]
        yield {
            "station_id": 1 + number % size.stations,
            "taken_on": today - timedelta(days=number // size.stations * 90 + number % 80),
            "kind": kind,
            "value": value + chance.random(),
        }
