"""How long the expected ohms of every station take, on PostgreSQL. Exits with 1 when over budget.

uv run python -m tests.bench.bench_expected               200,000 stations
uv run python -m tests.bench.bench_expected --scale 0.02  a quick look

Bar: less than 10 s at the full size. A third of the stations have a registered wire.
"""

import argparse
import os
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from typing import Any

from tests.bench.bench_pages import SETTINGS
from tests.services_real.postgres import cluster

STATIONS, A_CONTROLLER, LEGS_A_WIRE = 200_000, 24, 4
SECONDS = 10.0

Rows = Iterator[dict[str, Any]]


def main() -> int:
    """Make the data, compute, print; return 1 where it took too long."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scale", type=float, default=1.0, help="part of the full size (1)")
    options = parser.parse_args()
    with cluster(SETTINGS) as url, tempfile.TemporaryDirectory() as state:
        os.environ |= {
            "DATABASE_URL": url,
            "REJOIN_STATE": state,
            "DJANGO_SETTINGS_MODULE": "sites.project.settings",
        }
        return _bench(round(STATIONS * options.scale))


def _bench(count: int) -> int:
    # Django reads its settings when it is first imported, and the cluster has to be there then.
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connection, connections

    from sites.wires.services.expected import expected_for

    call_command("migrate", verbosity=0)
    _make(count)
    started, before = time.perf_counter(), len(connection.queries)
    found = expected_for(range(1, count + 1))
    took = time.perf_counter() - started
    assert before == len(connection.queries), "queries are being kept: this is no fair time"
    known = sum(each.total_ohms is not None for each in found.values())
    print(f"{len(found):,} stations, {known:,} with a figure: {took:.1f} s (bar {SECONDS:g} s)")
    connections.close_all()
    return int(took > SECONDS)


def _make(count: int) -> None:
    """Fill in one property; every third station's hot wire lies in four legs."""
    from sites.models import Controller, Feed, Leg, Point, Station, Termination, Wire, WireLeg
    from tests import make
    from tests.bench.fill import fill, settle

    place = make.place()
    clocks = -(-count // A_CONTROLLER)
    fill(Controller, _controllers(place.pk, clocks))
    fill(Point, _points(place.pk, LEGS_A_WIRE * clocks + 1))
    fill(Leg, _legs(place.pk, LEGS_A_WIRE * clocks))
    fill(Station, _stations(count))
    fill(Wire, _wires(place.pk, count, clocks))
    fill(WireLeg, _lies(count))
    fill(Termination, ({"wire_id": count + n, "controller_id": n} for n in range(1, clocks + 1)))
    fill(Feed, ({"wire_id": n, "station_id": n} for n in range(3, count + 1, 3)))
    settle()


def _controllers(place: int, clocks: int) -> Rows:
    for n in range(1, clocks + 1):
        yield {"id": n, "property_id": place, "name": f"C{n}"}


def _points(place: int, count: int) -> Rows:
    for n in range(1, count + 1):
        yield {"id": n, "property_id": place, "name": f"B{n}", "kind": "splice box"}


def _legs(place: int, count: int) -> Rows:
    for n in range(1, count + 1):
        yield {
            "id": n,
            "property_id": place,
            "label": f"L{n}",
            "from_point_id": n,
            "to_point_id": n + 1,
            "length_ft": 60.0 + n % 90,
        }


def _stations(count: int) -> Rows:
    chance = random.Random(20250615)
    for n in range(1, count + 1):
        yield {
            "id": n,
            "controller_id": (n - 1) // A_CONTROLLER + 1,
            "number": (n - 1) % A_CONTROLLER + 1,
            "run_length_ft": chance.uniform(50, 900),
            "wire_size": chance.choice(["18 AWG", "14", "2.5 mm2"]),
            "coil_ohms": None if n % 10 == 0 else 44.0,
        }


def _wires(place: int, count: int, clocks: int) -> Rows:
    for n in range(3, count + 1, 3):
        yield {"id": n, "property_id": place, "name": f"H{n}", "kind": "hot", "size": "18 AWG"}
    for n in range(1, clocks + 1):
        yield {
            "id": count + n,
            "property_id": place,
            "name": f"COM{n}",
            "kind": "common",
            "size": "14 AWG",
        }


def _lies(count: int) -> Rows:
    for n in range(3, count + 1, 3):
        first = (n - 1) // A_CONTROLLER * LEGS_A_WIRE + 1
        for leg in range(first, first + LEGS_A_WIRE):
            yield {"wire_id": n, "leg_id": leg}


if __name__ == "__main__":
    sys.exit(main())
