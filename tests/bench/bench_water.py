"""How long the ledger of water takes, on PostgreSQL. Exits with 1 when over budget.

uv run python -m tests.bench.bench_water               30,000 stations off for three years
uv run python -m tests.bench.bench_water --scale 0.1   a quick look

Bars of our own: the whole ledger in less than 120 s, one changed schedule in less than 1 s, and
the first page within what every page may take.
"""

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date, timedelta

from tests.bench.bench_pages import QUERIES_OF_COMPOSITES, SETTINGS
from tests.services_real.postgres import cluster

LEDGER_SECONDS, SCHEDULE_SECONDS = 120.0, 1.0
DAYS_OFF = 3 * 365


def main() -> int:
    """Make the data, time each piece of work, print; return 1 where one took too long."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scale", type=float, default=1.0, help="part of the full size (1)")
    options = parser.parse_args()
    with cluster(SETTINGS) as url, tempfile.TemporaryDirectory() as state:
        os.environ |= {
            "DATABASE_URL": url,
            "REJOIN_STATE": state,
            "DJANGO_SETTINGS_MODULE": "sites.project.settings",
        }
        return int(_bench(options.scale))


def _bench(scale: float) -> bool:
    # Django reads its settings when it is first imported, and the cluster has to be there then.
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connections
    from django.utils import timezone

    from sites.models import Meter, WaterMonth
    from sites.water.services.ledger import rebuild_all_water, rebuild_due
    from tests.bench.fill import settle
    from tests.bench.large_ground import Size

    call_command("migrate", verbosity=0)
    call_command("collectstatic", verbosity=0, interactive=False)
    full = Size(stations=30_000, open_stopgaps=30_000, closed_stopgaps=0)
    _make(full.scaled(scale), date.today())  # noqa: DTZ011
    settle()
    now = timezone.now()
    took, _ = timed("the whole ledger", lambda: rebuild_due(at=now))
    print(f"           {WaterMonth.objects.count():,} months, {Meter.objects.count():,} meters")
    settle()
    timed("the same again, nothing changed", rebuild_all_water)
    timed("the next day", lambda: rebuild_due(at=now + timedelta(days=1)))
    one, _ = timed("one changed schedule", _change_a_schedule)
    is_over = took > LEDGER_SECONDS or one > SCHEDULE_SECONDS or _home_is_over()
    connections.close_all()
    return is_over


def _make(size: "object", today: date) -> None:
    from sites.kernel.engines.roles import Role
    from sites.models import (
        Client,
        ClimateRow,
        Controller,
        Grant,
        Point,
        Property,
        Schedule,
        Station,
        StationFacts,
        Stopgap,
        Tariff,
        User,
    )
    from sites.stopgaps.services.spells import rebuild_spells
    from sites.water.services.keeping import water_kept
    from tests.bench import large_ground as ground
    from tests.bench.fill import fill
    from tests.bench.large_work import _stopgap

    some: ground.Size = size  # type: ignore[assignment]
    fill(Client, ground.clients(some))
    fill(Property, ground.properties(some))
    fill(Tariff, ground.tariffs(some))
    fill(Controller, ground.clocks(some))
    fill(ClimateRow, ground.climate())
    fill(Point, ground.points(some))
    fill(Station, ground.stations(some))
    fill(StationFacts, ground.facts(some))
    fill(Schedule, ground.schedules(some))
    fitted = today - timedelta(days=DAYS_OFF)
    fill(Stopgap, (_stopgap(pk, pk, fitted, None) for pk in range(1, some.stations + 1)))
    with water_kept(may_start_run=False):
        rebuild_spells(range(1, some.stations + 1))
    owner = User.objects.create_user("bench-owner")
    Grant.objects.create(user=owner, role=Role.OWNER.value)


def timed(name: str, work: Callable[[], object]) -> tuple[float, object]:
    """Do it, print how long it took, and return that."""
    started = time.perf_counter()
    did = work()
    took = time.perf_counter() - started
    print(f"{took:8.2f} s  {name}: {did}", flush=True)
    return took, did


def _change_a_schedule() -> str:
    from sites.models import Schedule
    from sites.register.services.facts import change_schedule

    # Of the biggest property.
    schedule = Schedule.objects.select_related("station").get(station=1)
    values = {"run_by": "hand", "days": "every 2", "starts": "05:00", "minutes": 20.0}
    change_schedule(station=schedule.station, schedule=schedule, values=values, on=date(2025, 6, 1))
    return "kept"


def _home_is_over() -> bool:
    from django.test import Client as Browser

    from sites.models import User
    from tests.bench.measure import Budget, measure

    browser = Browser(SERVER_NAME="localhost", HTTP_ACCEPT_ENCODING="gzip")
    owner = User.objects.get(username="bench-owner")
    browser.force_login(owner, "django.contrib.auth.backends.ModelBackend")
    is_over = False
    for url in ("/", "/?sort=-cost", "/?sort=-cost&page=200"):
        took = measure(browser, url, {})
        problems = took.over(Budget(QUERIES_OF_COMPOSITES))
        is_over = is_over or bool(problems)
        print(
            f"{took.p95_ms:8.0f} ms  p95 of {url}, {took.queries} queries, "
            f"SQL {took.sql_ms:.0f} ms  {'; '.join(problems)}",
            flush=True,
        )
    return is_over


if __name__ == "__main__":
    sys.exit(main())
