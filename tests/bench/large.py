"""The large register: what a contractor with a thousand properties would have after years.

At scale 1: 1,000 properties (the first has 5,000 stations), 200,000 stations, 30,000 open and
120,000 closed stopgaps, 1,000,000 readings, 100,000 faults, and history rows. Wires and the
legs that they lie in are registered for the first properties only.
"""

import time
from collections.abc import Callable, Iterator
from datetime import date

from django.utils import timezone

from faults.models import Break, Fault, FaultStation, Reading, StageMove
from faults.waits.services.waits import rebuild_all_waits
from reports.summaries.services.summaries import rebuild_all_summaries
from sites.kernel.engines.roles import Role
from sites.models import (
    CentralState,
    Client,
    ClimateRow,
    Contact,
    Controller,
    Feed,
    Grant,
    Leg,
    Point,
    Property,
    Schedule,
    Station,
    StationFacts,
    Stopgap,
    Tariff,
    Termination,
    User,
    Wire,
    WireLeg,
)
from sites.stopgaps.services.spells import rebuild_spells
from sites.water.services.keeping import water_kept
from sites.water.services.ledger import rebuild_due
from tests.bench import large_ground as ground
from tests.bench import large_work as work
from tests.bench.fill import add_history, fill, settle
from tests.bench.large_ground import Size


def make_large(size: Size, today: date) -> dict[str, int]:
    """Make everything; return how many rows of each table."""
    counts: dict[str, int] = {}
    for name, make in _steps(size, today):
        started = time.monotonic()
        counts[name] = make()
        print(f"  {counts[name]:>9,}  {name:<24}{time.monotonic() - started:6.1f} s", flush=True)
    return counts


def _steps(size: Size, today: date) -> Iterator[tuple[str, Callable[[], int]]]:
    yield "clients", lambda: fill(Client, ground.clients(size))
    yield "properties", lambda: fill(Property, ground.properties(size))
    yield "contacts", lambda: fill(Contact, ground.contacts(size))
    yield "tariffs", lambda: fill(Tariff, ground.tariffs(size))
    yield "controllers", lambda: fill(Controller, ground.clocks(size))
    yield "central states", lambda: fill(CentralState, ground.states(size, today))
    yield "points", lambda: fill(Point, ground.points(size))
    yield "legs", lambda: fill(Leg, ground.legs(size))
    yield "climate", lambda: fill(ClimateRow, ground.climate())
    yield "stations", lambda: fill(Station, ground.stations(size))
    yield "facts", lambda: fill(StationFacts, ground.facts(size))
    yield "schedules", lambda: fill(Schedule, ground.schedules(size))
    yield from _wire_steps(size)
    yield "stopgaps", lambda: fill(Stopgap, work.stopgaps(size, today))
    yield "faults", lambda: fill(Fault, work.faults(size, today))
    yield "fault stations", lambda: fill(FaultStation, work.fault_stations(size))
    yield "stage moves", lambda: fill(StageMove, work.moves(size, today))
    yield "breaks", lambda: fill(Break, work.breaks(size, today))
    yield "readings", lambda: fill(Reading, work.readings(size, today))
    yield "history rows", _history
    yield "users", _users
    yield "keys and statistics", lambda: settle() or 0
    # What they wait on is computed with the spells; this second run says how long it takes.
    yield "stations with new spells", lambda: _spells(size)
    yield "waits that were wrong", rebuild_all_waits
    yield "ledger rows and meters", lambda: rebuild_due(at=timezone.now())
    yield "summaries", lambda: rebuild_all_summaries(at=timezone.now())
    yield "statistics again", lambda: settle() or 0


def _wire_steps(size: Size) -> Iterator[tuple[str, Callable[[], int]]]:
    yield "wires", lambda: fill(Wire, ground.wires(size))
    yield "wires in legs", lambda: fill(WireLeg, ground.lies(size))
    yield "terminations", lambda: fill(Termination, ground.terminations(size))
    yield "feeds", lambda: fill(Feed, ground.feeds(size))


def _history() -> int:
    added = sum(add_history(model) for model in (Property, Controller, Station, Stopgap, Fault))
    added += add_history(FaultStation) + add_history(Break) + add_history(Reading)
    return added + add_history(Stopgap, "~", where="removed_on IS NOT NULL")


def _users() -> int:
    owner = User.objects.create_user("bench-owner")
    Grant.objects.create(user=owner, role=Role.OWNER.value)
    client = User.objects.create_user("bench-client")
    Grant.objects.create(user=client, role=Role.CLIENT.value, client_id=1)
    return 2


def _spells(size: Size) -> int:
    lost = Station.objects.filter(controller__states__state="link lost").values_list(
        "pk", flat=True
    )
    stopped = Stopgap.objects.values_list("station_id", flat=True)
    # The ledger of so many is a step of its own.
    with water_kept(may_start_run=False):
        return rebuild_spells(set(lost) | set(stopped))
