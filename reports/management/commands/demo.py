"""Make the demo's database, load an invented register into it, and serve it here."""

import os
import time
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection, connections
from django.utils import timezone

from reports.demo.services.demo import (
    DEMO_NAMES,
    is_demo_database,
    make_demo_answers,
    make_demo_people,
)
from reports.demo.services.demo_work import make_demo_work
from reports.off_central.services.summary import off_central_lines
from reports.summaries.services.summaries import keep_summaries
from sites.kernel.engines.roles import Role
from sites.kernel.services.migrated import migrate_or_copy
from sites.models import Property, User


class Command(BaseCommand):
    """`manage.py demo`: one command from an empty folder to a page in the browser."""

    help = (
        "Make the demo's database, load an invented register through the same import as your own "
        "files, print what is off central control, and serve it on this machine."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add the options."""
        parser.add_argument("--fresh", action="store_true", help="start over, after asking")
        parser.add_argument("--yes", action="store_true", help="answer yes to questions")
        parser.add_argument("--port", type=int, default=8000, help="port to serve on (8000)")
        parser.add_argument("--no-serve", action="store_true", help="stop after the summary")

    def handle(self, *args: Any, **options: Any) -> None:
        """Migrate, load the demo's sheets unless they are there, print a summary, then serve."""
        if not settings.DEMO:
            raise CommandError("Start the demo as `manage.py demo`: it needs its own settings.")
        started = time.monotonic()
        address = self._address(options["port"])
        if options["fresh"]:
            self._start_over(sure=options["yes"])
        migrate_or_copy()
        if not is_demo_database():
            raise CommandError(
                "This database holds a register of your own, and the demo would mix with it. "
                "Unset DATABASE_URL to give the demo a database of its own."
            )
        self._load_once()
        call_command("collectstatic", verbosity=0, interactive=False)
        self._print_summary()
        self.stdout.write(f"Ready after {time.monotonic() - started:.0f} s.")
        if not options["no_serve"]:
            self._serve(address, options["port"])

    def _start_over(self, *, sure: bool) -> None:
        if not sure:
            answer = input("Delete the demo's database and create it again? [y/N] ")
            if answer.strip().lower() not in ("y", "yes"):
                raise CommandError("Nothing was changed.")
        if connection.vendor != "sqlite":
            raise CommandError("--fresh works on the demo's own SQLite file; unset DATABASE_URL.")
        connections.close_all()
        name = str(settings.DATABASES["default"]["NAME"])
        for path in (name, f"{name}-wal", f"{name}-shm"):
            Path(path).unlink(missing_ok=True)

    def _load_once(self) -> None:
        if Property.objects.exists():
            self.stdout.write("The demo's register is there already; --fresh starts over.")
        else:
            self.stdout.write("Loading the demo's register, as your own files would be loaded…")
            files = sorted((settings.BASE_DIR / "fixtures" / "demo").glob("*.csv"))
            call_command("load", *[str(path) for path in files], stdout=self.stdout)
        make_demo_people()
        make_demo_work(at=timezone.now(), today=timezone.localdate())
        # Nobody runs rounds here: pages would make what is missing at each visit.
        keep_summaries(at=timezone.now(), go_on=lambda: None)
        make_demo_answers(at=timezone.now(), today=timezone.localdate())

    def _print_summary(self) -> None:
        manager = User.objects.get(username=DEMO_NAMES[Role.WATER_MANAGER][0])
        for line in off_central_lines(manager, today=timezone.localdate()):
            self.stdout.write(line)

    def _address(self, port: int) -> str:
        """Calendars and mails lead back to the port that is served, unless SITE_URL is set."""
        address = f"http://127.0.0.1:{port}"
        if not os.environ.get("SITE_URL"):
            settings.SITE_URL = address
        return f"{address}/"

    def _serve(self, address: str, port: int) -> None:
        self.stdout.write(f"Open {address} and choose who you are. Ctrl+C stops it.")
        call_command("runserver", f"127.0.0.1:{port}", use_reloader=False, verbosity=0)
