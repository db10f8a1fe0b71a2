"""Bring a database of an earlier version to this one, with a way back."""

import sys
from argparse import ArgumentParser
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from faults.due.services.health import queue_now
from sites.backups.services.backing_up import UnableToBackUp
from sites.backups.services.before_upgrade import look
from sites.backups.services.upgrading import UpgradeFailed, upgrade


class Command(BaseCommand):
    """`manage.py upgrade [--check] [--to FILE]`."""

    help = (
        "Look at settings, space, migrations and who is connected; back up and read the backup "
        "back; migrate; count rows, rebuild what is derived, and ask for pages. Stop web, worker "
        "and beat before. Writes the way back beside the backup."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add the options."""
        parser.add_argument("--check", action="store_true", help="look only; change nothing")
        parser.add_argument(
            "--to", type=Path, help="the backup to write; without it, one in BACKUP_FOLDER"
        )
        parser.add_argument(
            "--key-file", type=Path, help="the file of the key; without it, BACKUP_KEY_FILE"
        )
        parser.add_argument(
            "--while-in-use",
            action="store_true",
            help="go on though others are connected: what they write meanwhile may be lost",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Look, then upgrade unless something stands in the way."""
        now = timezone.now()
        to, key_file = _archive(options["to"], now), options["key_file"]
        queue = queue_now()
        if queue.is_used and not queue.is_reachable:
            self.stdout.write("  queue: Redis does not answer: start it, the pages are tried later")
        found = look(to, workers=queue.workers, key_file=key_file)
        in_the_way = False
        for each in found:
            excused = each.about == "in use" and options["while_in_use"]
            is_problem = each.is_problem and not excused
            in_the_way = in_the_way or is_problem
            self.stdout.write(f"{'!' if is_problem else ' '} {each.about}: {each.said}")
        if in_the_way:
            raise CommandError("Nothing was changed: see the lines that begin with !.")
        if options["check"]:
            self.stdout.write("Nothing was changed. Nothing stands in the way.")
            return
        self._upgrade(to, now, key_file)

    def _upgrade(self, to: Path, now: datetime, key_file: Path | None) -> None:
        try:
            back = upgrade(to, at=now, say=self.stdout.write, key_file=key_file)
        except UnableToBackUp as error:
            raise CommandError(f"Nothing was changed. {error}") from error
        except UpgradeFailed as failed:
            self.stderr.write(f"{failed}\n\nLet nobody in. The way back, as {failed.file}:\n")
            self.stderr.write(failed.file.read_text())
            sys.exit(1)
        self.stdout.write(
            f"Upgraded. Start web, worker and beat. The way back stays in {back}: it leads to "
            "before this upgrade, and what is written from now on would be lost on it."
        )


def _archive(to: Path | None, now: datetime) -> Path:
    if to is not None:
        return to.absolute()
    if settings.BACKUP_FOLDER is None:
        raise CommandError("Name the backup to write with --to, or set BACKUP_FOLDER.")
    folder: Path = settings.BACKUP_FOLDER
    return folder / f"before-upgrade-{now.astimezone(UTC):%Y-%m-%dT%H-%M-%SZ}.tar"
