"""Upgrade the database to this program: backup, migrations, then whether all is as it should be.

The words are for the command line.
"""

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.test import Client

from sites.backups.services.backing_up import make_backup, note_backup
from sites.backups.services.databases import count_rows
from sites.backups.services.way_back import way_back
from sites.kernel.services.derived import rebuild_derived

# Filled again by the framework itself after each migration.
FRAMEWORK = {"django_migrations", "django_content_type", "auth_permission"}
LONGEST_ERROR = 600
WAY_BACK = ".way-back.sh"
PAGES = ("/healthz", "/account/sign-in/")

Say = Callable[[str], None]


class UpgradeFailed(Exception):
    """What failed, and the file of the way back."""

    def __init__(self, words: str, file: Path) -> None:
        super().__init__(words)
        self.file = file


def upgrade(to: Path, *, at: datetime, say: Say, key_file: Path | None = None) -> Path:
    """Back up, migrate, rebuild what is derived, and try the result.

    Args:
        to: the archive; the way back is written beside it before anything is migrated.
        say: called with a line for each step.

    Returns:
        The file of the way back.

    Raises:
        UnableToBackUp: nothing was changed.
        UpgradeFailed: a migration failed, or what it left is not as it should be.
    """
    kept = make_backup(to, at=at, key_file=key_file)
    say(f"1 of 4, backup: {to}: {kept.rows:,} rows, {kept.files:,} files. Read back, whole.")
    back = to.with_name(to.name + WAY_BACK)
    back.write_text(way_back(to, at=at, key_file=key_file))
    say(f"The way back is written in {back}.")
    before = count_rows()
    try:
        call_command("migrate", interactive=False, verbosity=0)
    except Exception as error:
        raise UpgradeFailed(_said("A migration failed", error), back) from error
    say("2 of 4, migrations: done.")
    note_backup(kept, at=at)
    try:
        problems = list(_lost_rows(before, count_rows(), say))
        _rebuild(at, say)
        problems += _pages(say)
    except Exception as error:
        raise UpgradeFailed(_said("Trying it failed", error), back) from error
    if problems:
        raise UpgradeFailed(" ".join(problems), back)
    return back


def _said(what: str, error: Exception) -> str:
    """One line: what an error of a database says may be long."""
    words = " ".join(str(error).split())
    return f"{what}: {type(error).__name__}: {words[:LONGEST_ERROR]}"


def _lost_rows(before: dict[str, int], after: dict[str, int], say: Say) -> Iterator[str]:
    looked_at = {table: rows for table, rows in before.items() if table not in FRAMEWORK}
    for table, rows in sorted(looked_at.items()):
        if table not in after:
            say(f"  {table} is gone, with {rows:,} rows: its migration says where they are.")
        elif after[table] < rows:
            yield f"{table} had {rows:,} rows and has {after[table]:,}."
    new = sorted(set(after) - set(before))
    say(f"3 of 4, rows: {len(looked_at):,} tables compared, {len(new):,} new ones.")


def _rebuild(at: datetime, say: Say) -> None:
    """Rebuild: what follows from the records may follow by other rules now."""
    told: list[str] = []
    rebuild_derived(at=at, say=lambda name, changed: told.append(f"{name} {changed:,}"))
    say(f"  rebuilt, rows that changed: {', '.join(told)}.")


def _pages(say: Say) -> Iterator[str]:
    host = settings.ALLOWED_HOSTS[0].lstrip(".")
    client = Client(raise_request_exception=False, SERVER_NAME=host)
    for address in PAGES:
        status = client.get(address, secure=True).status_code
        if status != 200:
            hint = ""
            if status == 500 and not settings.DEBUG:
                hint = " Was collectstatic run?"
            yield f"{address} answers {status}.{hint}"
    say(f"4 of 4, pages: {' and '.join(PAGES)} were asked.")
