"""Server time of every page at the large size, on PostgreSQL. Exits with 1 when over budget.

uv run python -m tests.bench.bench_pages               the full size
uv run python -m tests.bench.bench_pages --scale 0.02  a quick look
... --only reports:home --sql                          one page, its slowest statement and plan
"""

import argparse
import logging
import os
import sys
import tempfile
from collections.abc import Iterator
from datetime import date

from tests.services_real.postgres import IN_A_HURRY, cluster

# What a server of this size would be given; the rest as PostgreSQL comes.
SETTINGS = {
    **IN_A_HURRY,
    "shared_buffers": "1GB",
    "effective_cache_size": "4GB",
    "work_mem": "16MB",
    "maintenance_work_mem": "512MB",
    "max_wal_size": "4GB",
    "random_page_cost": "1.1",
}
COMPOSITE = {
    "faults:board",
    "faults:fault",
    "faults:moves",
    "reports:home",
    "reports:mine",
    "reports:property",
    "reports:property_plan",
    "reports:property_water",
    "reports:station",
    "reports:station_water",
    "reports:water",
}
QUERIES_OF_LISTS, QUERIES_OF_COMPOSITES = 12, 25
LISTS = {
    "faults:faults",
    "sites:controllers",
    "sites:properties",
    "sites:stations",
    "sites:stopgaps",
}


def main() -> int:
    """Make the data, measure each page, print a table; return how many are over budget."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scale", type=float, default=1.0, help="part of the full size (1)")
    parser.add_argument(
        "--only", default="", help="only addresses whose name holds one of these, by commas"
    )
    parser.add_argument(
        "--sql",
        action="store_true",
        help="print each page's slowest statement and its plan",
    )
    options = parser.parse_args()
    with cluster(SETTINGS) as url, tempfile.TemporaryDirectory() as state:
        os.environ |= {
            "DATABASE_URL": url,
            "REJOIN_STATE": state,
            "DJANGO_SETTINGS_MODULE": "sites.project.settings",
        }
        return min(1, _bench(options))


def _bench(options: argparse.Namespace) -> int:
    # Django reads its settings when it is first imported, and the cluster has to be there then.
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connections

    from tests.bench.large import Size, make_large

    call_command("migrate", verbosity=0)
    call_command("collectstatic", verbosity=0, interactive=False)
    print(f"Making the large register at scale {options.scale:g}:")
    make_large(Size().scaled(options.scale), date.today())  # noqa: DTZ011
    try:
        return _measure_all(options)
    finally:
        connections.close_all()


def _measure_all(options: argparse.Namespace) -> int:
    from django.test import Client

    from sites.models import User
    from tests.bench.measure import Budget, measure, plan_of, slowest

    # A page that refuses this person is marked in the table.
    logging.getLogger("django.request").setLevel(logging.ERROR)
    over_budget, visits = 0, _visits()
    print(f"\n{'p50':>7} {'p95':>7} {'SQL':>7} {'n':>3} {'kB':>7}  page, as")
    for person in ("bench-owner", "bench-client"):
        client = Client(SERVER_NAME="localhost", HTTP_ACCEPT_ENCODING="gzip")
        client.force_login(
            User.objects.get(username=person), "django.contrib.auth.backends.ModelBackend"
        )
        for name, label, url, headers in _pages(client, visits, options.only):
            budget = Budget(QUERIES_OF_COMPOSITES if name in COMPOSITE else QUERIES_OF_LISTS)
            took = measure(client, url, headers)
            problems = took.over(budget)
            over_budget += bool(problems)
            print(
                f"{took.p50_ms:7.1f} {took.p95_ms:7.1f} {took.sql_ms:7.1f} {took.queries:3} "
                f"{took.kilobytes:7.1f}  {label}, {person}  {'; '.join(problems)}",
                flush=True,
            )
            if options.sql:
                print("        slowest: {:.1f} ms {}".format(*slowest(client, url, headers)))
                print("\n".join(f"        {line}" for line in plan_of(client, url, headers)))
    if not options.only:
        over_budget += _measure_writes()
    print(f"\n{over_budget} over budget" if over_budget else "\nall within budget")
    return over_budget


def _measure_writes() -> int:
    """Print what everyday verbs take on two properties; return how many are over their bar."""
    from django.utils import timezone

    from sites.models import Property, User
    from tests.bench.writes import MOST_P95_MS, measured_writes

    by, over = User.objects.get(username="bench-owner"), 0
    print(f"\n{'p50':>7} {'p95':>7} {'n':>3}  verb (bar: p95 {MOST_P95_MS} ms)")
    places = Property.objects.order_by("pk")[:2]
    for size, place in zip(("biggest", "ordinary"), places, strict=True):
        for one in measured_writes(place, by, today=timezone.localdate(), at=timezone.now()):
            over += one.is_over
            mark = "  over" if one.is_over else ""
            figures = f"{one.p50_ms:7.1f} {one.p95_ms:7.1f} {one.statements:3}"
            print(f"{figures}  {one.verb}, {size}{mark}", flush=True)
    return over


# The whole register as a file is no page: at the large size it takes minutes.
FILES = {"reports:export_register"}
TAKES_FORMS_ONLY = 405


def _visits() -> list[tuple[str, str, str]]:
    """Return name, label and address of every page: of what was filled, else of what is made."""
    from sites.models import Property, User
    from tests.bench.samples import found_on, made_on, urls_of
    from tests.web.addresses import every_address

    biggest, ordinary = Property.objects.order_by("pk")[:2]
    found = {"biggest": found_on(biggest), "ordinary": found_on(ordinary)}
    made = made_on(ordinary, starter=User.objects.get(username="bench-owner"))
    return [
        (address.name, label, url)
        for address in every_address()
        for label, url in urls_of(address, found, made)
    ]


def _pages(
    client: object, visits: list[tuple[str, str, str]], only: str
) -> Iterator[tuple[str, str, str, dict[str, str]]]:
    """Yield name, label, address and headers of all that answers a visit with a page."""
    for name, label, url in visits:
        if _is_wanted(name, only):
            status = client.get(url).status_code  # type: ignore[attr-defined]
            if status != 200:
                if status != TAKES_FORMS_ONLY:
                    print(f"        not measured, answers {status}: {label}")
                continue
            yield name, label, url, {}
            if name in LISTS or name == "reports:home":
                yield name, f"{label}, page 200", f"{url}?page=200", {"HX-Request": "true"}


def _is_wanted(name: str, only: str) -> bool:
    return name not in FILES and any(word in name for word in only.split(","))


if __name__ == "__main__":
    sys.exit(main())
