"""Compare ways of searching for a break on invented sites."""

import json
from argparse import ArgumentParser
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict
from functools import partial
from os import cpu_count
from typing import Any

from django.core.management.base import BaseCommand

from faults.locating.engines.simulation.compare import (
    DEFAULT_SEED,
    Outcome,
    Summed,
    search_all,
    summed,
)
from faults.locating.engines.simulation.worlds import WORLDS

AT_A_TIME = 20


class Command(BaseCommand):
    """Print minutes to the fault by each way: mean, median, 90th percentile, and what it took."""

    help = "Compare ways of searching for a break on invented sites"

    def add_arguments(self, parser: ArgumentParser) -> None:
        """How many sites, which first seed, which world, JSON or a table."""
        parser.add_argument("--runs", type=int, default=500)
        parser.add_argument("--seed", type=int, default=DEFAULT_SEED)
        parser.add_argument("--world", choices=sorted(WORLDS), default="standard")
        parser.add_argument("--json", action="store_true")

    def handle(self, *, runs: int, seed: int, world: str, json: bool, **_options: Any) -> None:
        """Run the comparison on all cores."""
        found = summed(run_all(runs, seed, world))
        self.stdout.write(_as_json(found) if json else _as_table(found))


def run_all(runs: int, seed: int, world: str) -> list[Outcome]:
    """Search `runs` sites in processes; the answer does not depend on how many there are."""
    chunks = [
        range(start, min(start + AT_A_TIME, seed + runs))
        for start in range(seed, seed + runs, AT_A_TIME)
    ]
    with ProcessPoolExecutor(cpu_count() or 1) as pool:
        parts = pool.map(partial(search_all, WORLDS[world]), chunks)
        return [outcome for part in parts for outcome in part]


def _as_json(found: dict[str, Summed]) -> str:
    return json.dumps({way: asdict(summary) for way, summary in found.items()})


def _as_table(found: dict[str, Summed]) -> str:
    lines = [
        f"{'way':<14}{'mean':>8}{'median':>8}{'p90':>8}{'boxes':>8}{'unfinished':>12}"
        f"{'wrong digs':>12}{'cuts':>8}"
    ]
    lines += [
        f"{way:<14}{s.mean:>8.1f}{s.median:>8.1f}{s.p90:>8.1f}{s.boxes:>8.2f}{s.unfinished:>12.4f}"
        f"{s.wrong_digs:>12.3f}{s.cuts:>8.2f}"
        for way, s in found.items()
    ]
    return "\n".join(lines)
