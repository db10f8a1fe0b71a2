"""Back up database and uploaded files into one archive."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from sites.backups.services.backing_up import UnableToBackUp, UnableToRestore, back_up, check_backup


class Command(BaseCommand):
    """`manage.py backup FILE`."""

    help = (
        "Write the database and all uploaded files into one archive, while people work, and check "
        "it by reading it back. It holds personal data and password hashes: keep it safe."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add the options."""
        parser.add_argument("file", type=Path, help="the archive, which must not be there yet")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write it, and read it back."""
        to = Path(options["file"]).resolve()
        try:
            kept = back_up(to, at=timezone.now())
            check_backup(to)
        except (UnableToBackUp, UnableToRestore) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            f"{kept.path}: {kept.rows:,} rows, {kept.files:,} files, {kept.size:,} bytes. "
            "Read back and found whole."
        )
