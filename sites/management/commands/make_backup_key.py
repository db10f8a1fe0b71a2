"""Make the key by which backups are sealed."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from sites.backups.services.keys import UnableToUseKey, make_backup_key


class Command(BaseCommand):
    """`manage.py make_backup_key FILE`."""

    help = "Write a new key of backups to a file, which then stands in BACKUP_KEY_FILE."
    # Made before there is a database.
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file."""
        parser.add_argument("file", type=Path, help="the file, which must not be there yet")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write it; the key itself is never printed."""
        file = Path(options["file"]).absolute()
        try:
            make_backup_key(file)
        except UnableToUseKey as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            f"{file} holds the key. Set BACKUP_KEY_FILE={file}, and keep a copy of the file on "
            "another machine, away from the backups: without it none of them can be opened."
        )
