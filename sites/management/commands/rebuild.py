"""Rebuild derived rows from the records: spells, water, waits."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from sites.kernel.services.derived import derived_names, rebuild_derived


class Command(BaseCommand):
    """Recompute derived rows and write what differs. Idempotent; safe at any time."""

    help = "Rebuild what is derived from the records, and say how many rows were wrong."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the names of derived tables; none means all, in the order in which they follow."""
        parser.add_argument(
            "names", nargs="*", help=f"of {', '.join(derived_names())}; all when empty"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Rebuild, and print a line for each table."""
        try:
            rebuild_derived(
                at=timezone.now(),
                only=tuple(options["names"]),
                say=lambda name, changed: self.stdout.write(f"{name}: {changed} changed"),
            )
        except KeyError as unknown:
            raise CommandError(
                f"There is no {unknown.args[0]} here. Name one or more of {', '.join(derived_names())}."
            ) from None
