"""Show how often hotspots are claimed where there are none, and found where there are some."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from reports.hotspots.engines.hotspot_simulation import SHARES, Outcome, simulate_all

DEFAULT_SEED = 20260101


class Command(BaseCommand):
    """Print, for each made-up world, false flags, hot legs found, and who comes first."""

    help = "Show how often hotspots are claimed where there are none, and found where there are"

    def add_arguments(self, parser: ArgumentParser) -> None:
        """How many registers of each world, and from which seed."""
        parser.add_argument("--runs", type=int, default=60)
        parser.add_argument("--seed", type=int, default=DEFAULT_SEED)

    def handle(self, *, runs: int, seed: int, **_options: Any) -> None:
        """Run all worlds and print a line for each."""
        shares = "/".join(f"{share:g}" for share in SHARES)
        self.stdout.write(
            f"{'world':<20}{'most':>5}  {'false flags at ' + shares:<28}"
            f"{'hot found of 10 at ' + shares:<32}{'2 or more':>10}  "
            "hot among first ten by count, raw, shrunken"
        )
        for outcome in simulate_all(runs=runs, seed=seed):
            self.stdout.write(_line(outcome))


def _line(outcome: Outcome) -> str:
    false = " ".join(f"{each:.2f}" for each in outcome.false_flags)
    found = " ".join(f"{each:.2f}" for each in outcome.found) if outcome.world.hot_legs else "-"
    first = " ".join(f"{each:.2f}" for each in outcome.first_ten) if outcome.world.hot_legs else "-"
    return (
        f"{outcome.world.name:<20}{outcome.largest_count:>5g}  {false:<28}{found:<32}"
        f"{outcome.two_or_more:>10.1f}  {first}"
    )
