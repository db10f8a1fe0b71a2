"""One whole round of what falls due, for cron on machines without a queue."""

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from faults.due.services.regular import do_all_rounds


class Command(BaseCommand):
    """`manage.py run_due`, each quarter of an hour."""

    help = "Raise what falls due, write the daily mails and send what waits. For cron."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add the options."""
        parser.add_argument(
            "--now", action="store_true", help="also what this quarter of an hour has done already"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Run every round; a failed one makes the command exit with an error, which cron mails."""
        results = do_all_rounds(at=timezone.now(), force=options["now"])
        for name, did in results.items():
            if isinstance(did, str):
                self.stderr.write(f"{name}: failed: {did}")
                continue
            if did is None:
                words = "done already in this period, or under way"
            else:
                words = ", ".join(f"{n} {word}" for word, n in did.items() if n) or "nothing to do"
            self.stdout.write(f"{name}: {words}")
        if any(isinstance(did, str) for did in results.values()):
            sys.exit(1)
