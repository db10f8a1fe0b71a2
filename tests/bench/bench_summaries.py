"""Two writers at once on PostgreSQL: kept figures are those of the records after each step.

uv run python -m tests.bench.bench_summaries                2,000 steps
uv run python -m tests.bench.bench_summaries --steps 100    a quick look

Both work on the same two properties through verbs, and keep what was touched now and then. After
each step its writer reads, from one snapshot of the database, what is kept and what the records
say. Exits with 1 where the two differ.
"""

import argparse
import os
import random
import sys
import tempfile
import threading
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

from tests.services_real.postgres import cluster

WRITERS = 2


def main() -> int:
    """Make the properties, let the writers work, print what was done; return 1 where it differs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--steps", type=int, default=2000, help="steps of all writers (2000)")
    options = parser.parse_args()
    with cluster() as url, tempfile.TemporaryDirectory() as state:
        os.environ |= {
            "DATABASE_URL": url,
            "REJOIN_STATE": state,
            "DJANGO_SETTINGS_MODULE": "sites.project.settings",
        }
        return _run(options.steps)


def _run(steps: int) -> int:
    # Django reads its settings when it is first imported, and the cluster has to be there then.
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connections

    call_command("migrate", verbosity=0)
    from tests.services.summaries.steps import make_yard

    yards = [make_yard(1), make_yard(2)]
    done, wrong = Counter[str](), list[str]()
    lock = threading.Lock()

    def work(writer: int) -> None:
        drawn = random.Random(20260101 + writer)
        own = [replace(yard, drawn=drawn) for yard in yards]
        try:
            for number in range(steps // WRITERS):
                name, differing = _step(own, drawn)
                with lock:
                    done[name] += 1
                    wrong.extend(f"writer {writer}, step {number}, {name}: {d}" for d in differing)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(WRITERS) as pool:
        list(pool.map(work, range(WRITERS)))
    connections.close_all()
    for name, count in sorted(done.items()):
        print(f"{count:6,}  {name}")
    print(f"{sum(done.values()):,} steps; {len(wrong)} times kept figures were wrong")
    print("\n".join(wrong[:10]))
    return int(bool(wrong))


def _step(yards: list[Any], drawn: random.Random) -> tuple[str, list[str]]:
    """Do a step, keep what was touched now and then; return its name, and what is wrong."""
    from django.db import OperationalError
    from django.utils import timezone

    from reports.summaries.services.summaries import keep_summaries
    from tests.services.summaries.steps import step

    try:
        name = step(drawn.choice(yards))
    except OperationalError as error:
        # Two writers may wait for each other; the database then undoes one of the two.
        name = f"undone by the database: {type(error.__cause__).__name__}"
    if drawn.random() < 0.5:
        keep_summaries(at=timezone.now(), go_on=lambda: None)
    return name, _wrong([yard.place.pk for yard in yards])


def _wrong(places: list[int]) -> list[str]:
    from django.db import connection, transaction

    from reports.hotspots.services import evidence
    from reports.models import PropertySummary
    from reports.off_central.services import counted
    from reports.summaries.services.summaries import Figures

    found = []
    with transaction.atomic():
        connection.cursor().execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        for subject in (evidence, counted):
            rows = PropertySummary.objects.current().filter(property__in=places)
            kept = {row.property_id: row for row in rows.filter(subject=subject.SUBJECT)}
            for place, now in subject.make(list(kept)).items():
                if Figures(kept[place].figures, bytes(kept[place].columns)) != now:
                    found.append(f"{subject.SUBJECT} of {place}")
    return found


if __name__ == "__main__":
    sys.exit(main())
