"""How long a round of rules takes, on PostgreSQL. Exits with 1 when over budget.

uv run python -m tests.bench.bench_due               the full size
uv run python -m tests.bench.bench_due --scale 0.1   a quick look
... --profile                                        where the time of an idle round goes

Bars of our own: a round in which nothing changed takes less than 60 s of its quarter of an hour,
the waits of all stations that are off central control less than 20 s.
"""

import argparse
import cProfile
import os
import pstats
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date

from tests.bench.bench_pages import SETTINGS
from tests.services_real.postgres import cluster

IDLE_SECONDS = 60.0
WAITS_SECONDS = 20.0


def main() -> int:
    """Make the data, do the rounds, print; return 1 where one took too long."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scale", type=float, default=1.0, help="part of the full size (1)")
    parser.add_argument("--profile", action="store_true", help="print where the time goes")
    options = parser.parse_args()
    with cluster(SETTINGS) as url, tempfile.TemporaryDirectory() as state:
        os.environ |= {
            "DATABASE_URL": url,
            "REJOIN_STATE": state,
            "DJANGO_SETTINGS_MODULE": "sites.project.settings",
        }
        return _bench(options)


def _bench(options: argparse.Namespace) -> int:
    # Django reads its settings when it is first imported, and the cluster has to be there then.
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connections
    from django.utils import timezone

    from faults.due.services.raising import raise_by_rules
    from faults.models import FollowUp
    from faults.waits.services.waits import rebuild_all_waits
    from tests.bench.large import Size, make_large

    call_command("migrate", verbosity=0)
    make_large(Size().scaled(options.scale), date.today())  # noqa: DTZ011
    at = timezone.now()
    waits_s = _timed("waits of all that is off", lambda: rebuild_all_waits(at=at))
    first_s = _timed("first round", lambda: raise_by_rules(at=at))
    idle_s = _timed("idle round", lambda: raise_by_rules(at=at), profile=options.profile)
    print(f"{FollowUp.objects.count():,} follow-ups; first round {first_s:.1f} s")
    connections.close_all()
    return int(idle_s > IDLE_SECONDS or waits_s > WAITS_SECONDS)


def _timed(name: str, work: Callable[[], object], *, profile: bool = False) -> float:
    watch = cProfile.Profile()
    started = time.perf_counter()
    did = watch.runcall(work) if profile else work()
    took = time.perf_counter() - started
    print(f"{took:8.1f} s  {name}: {did}")
    if profile:
        pstats.Stats(watch).sort_stats("cumulative").print_stats(35)
    return took


if __name__ == "__main__":
    sys.exit(main())
