"""Everyday verbs at the large size: each is done some times, measured, and taken back."""

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db import connection, transaction

from faults.cases.engines.stages import Stage
from faults.cases.services.break_rules import BreakFacts
from faults.cases.services.breaks import record_break
from faults.cases.services.moves import move_stations
from faults.cases.services.report import Report, report_fault
from faults.models import CLOSED_STAGES, Fault, FaultStation
from faults.readings.services.readings import take_reading
from sites.models import Leg, Property, Schedule, Station, Stopgap, User
from sites.register.services.facts import change_schedule
from sites.stopgaps.services.stopgaps import end_stopgaps
from tests.bench.measure import Recorder

MOST_P95_MS = 150
TIMES = 20


@dataclass(frozen=True)
class Written:
    """What one verb took; times in milliseconds."""

    verb: str
    p50_ms: float
    p95_ms: float
    statements: int

    @property
    def is_over(self) -> bool:
        """Whether it is over the bar."""
        return self.p95_ms > MOST_P95_MS


def measured_writes(place: Property, by: User, *, today: date, at: datetime) -> Iterator[Written]:
    """Yield what each everyday verb takes on rows of a property, nothing of which stays."""
    stations = Station.objects.filter(controller__property=place).order_by("pk")
    stopped = FaultStation.objects.filter(fault__property=place).exclude(stage__in=CLOSED_STAGES)
    faults = Fault.objects.filter(property=place).exclude(stage__in=CLOSED_STAGES).order_by("pk")
    leg = Leg.objects.filter(property=place).order_by("pk")[0]
    found = BreakFacts(leg=leg, found_on=today, cause="root")
    who = {"by": by, "at": at, "today": today}

    def give_up(row: FaultStation) -> None:
        move_stations(
            fault=row.fault, stations=[row], to=Stage.GIVEN_UP, on=today, why="bench", **who
        )

    def change(row: Schedule) -> None:
        station, day = row.station, today + timedelta(days=1)
        change_schedule(station=station, schedule=row, values={"minutes": 7}, on=day)

    verbs: list[tuple[str, Any, Callable[[Any], object]]] = [
        (
            "report a fault",
            stations.exclude(pk__in=stopped.values("station")),
            lambda row: report_fault(place=place, stations=[row], report=Report(today), **who),
        ),
        ("record a break", faults, lambda row: record_break(fault=row, facts=found, **who)),
        ("give a station up", stopped.filter(stage=Stage.REPORTED).order_by("pk"), give_up),
        (
            "end a stopgap",
            Stopgap.objects.filter(station__in=stations, removed_on=None).order_by("pk"),
            lambda row: end_stopgaps(stopgaps=[row], on=today, why="bench", today=today),
        ),
        (
            "take a reading",
            stations,
            lambda row: take_reading(
                station=row, kind="ohms", value=24.0, taken_on=today, today=today, by=by
            ),
        ),
        (
            "change a schedule",
            Schedule.objects.filter(station__in=stations, to_on=None).order_by("pk"),
            change,
        ),
    ]
    for verb, rows, act in verbs:
        if times := [_timed(act, row) for row in rows[:TIMES]]:
            yield _written(verb, times)


def _written(verb: str, times: list[tuple[float, int]]) -> Written:
    took = sorted(ms for ms, _statements in times)
    last = round(0.95 * (len(took) - 1))
    return Written(verb, took[len(took) // 2], took[last], max(n for _ms, n in times))


def _timed(act: Callable[[Any], object], row: Any) -> tuple[float, int]:
    """Return the milliseconds and the statements of one verb, which is then taken back."""
    recorder = Recorder()
    with transaction.atomic(), connection.execute_wrapper(recorder):
        started = time.perf_counter()
        act(row)
        took = (time.perf_counter() - started) * 1000
        transaction.set_rollback(True)
    return took, len(recorder.statements)
