"""Restore an archive into an empty installation, or only check it."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from sites.backups.services.restoring import UnableToRestore, check_backup, restore
from sites.kernel.services.audit import note
from sites.models import AuditLine, Event


class Command(BaseCommand):
    """`manage.py restore FILE [--check]`."""

    help = "Restore what `backup` wrote. Nothing that is there is ever overwritten."
    # The database that it fills is empty: nothing to check yet.
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add the options."""
        parser.add_argument("file", type=Path, help="the archive")
        parser.add_argument("--check", action="store_true", help="read all of it, change nothing")
        parser.add_argument(
            "--key-file", type=Path, help="the file of the key; without it, BACKUP_KEY_FILE"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Check it, or restore it."""
        path = Path(options["file"]).resolve()
        try:
            do = check_backup if options["check"] else restore
            kept = do(path, key_file=options["key_file"])
        except UnableToRestore as error:
            raise CommandError(str(error)) from error
        did = "is whole" if options["check"] else "is restored"
        self.stdout.write(
            f"The backup of {kept.made_at} {did}: {kept.rows:,} rows, {kept.files:,} files."
        )
        if not options["check"]:
            if AuditLine._meta.db_table in connection.introspection.table_names():
                note(Event.RESTORED, about=path.name, detail=kept.made_at)
            self.stdout.write("Next: manage.py migrate, which does nothing on the same version.")
