"""Back up database and uploaded files into one archive."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from sites.backups.services.backing_up import UnableToBackUp, back_up


class Command(BaseCommand):
    """`manage.py backup FILE`."""

    help = (
        "Write the database and all uploaded files into one archive, while people work, and check "
        "it by reading it back. It holds personal data and password hashes: give a key, by which "
        "it is encrypted, or keep it safe."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add the options."""
        parser.add_argument("file", type=Path, help="the archive, which must not be there yet")
        parser.add_argument(
            "--key-file", type=Path, help="the file of the key; without it, BACKUP_KEY_FILE"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Write it, and read it back."""
        to = Path(options["file"]).resolve()
        try:
            made = back_up(to, at=timezone.now(), key_file=options["key_file"])
        except UnableToBackUp as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            f"{made.path}: {made.rows:,} rows, {made.files:,} files, {made.size:,} bytes, "
            f"{'encrypted' if made.is_sealed else 'not encrypted'}. Read back and found whole."
        )
