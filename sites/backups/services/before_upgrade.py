"""What an upgrade looks at before it touches anything. The words are for the command line."""

import os
import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.exceptions import InconsistentMigrationHistory
from django.db.migrations.executor import MigrationExecutor

from sites.backups.engines.space import Need, rooms
from sites.backups.services.databases import is_empty
from sites.backups.services.disks import free_bytes, nearest_there
from sites.backups.services.keys import UnableToUseKey, backup_key

OURS = ("sites", "faults", "reports")
MB = 1024 * 1024


@dataclass(frozen=True)
class Finding:
    """One thing that was looked at: what came of it, and whether it stands in the way."""

    about: str
    said: str
    is_problem: bool = False


def look(to: Path, *, workers: Sequence[str], key_file: Path | None = None) -> list[Finding]:
    """Look at all that an upgrade needs, changing nothing.

    Args:
        to: the archive that would be written. workers: those that answer now.
    """
    found = [*_key(key_file), *_archive(to)]
    try:
        found += [*_database(), *_migrations(), *_in_use(workers), *_space(to)]
    except DatabaseError as error:
        words = " ".join(str(error).split())
        found.append(Finding("database", f"does not answer: {words}", True))
    return found


def _key(key_file: Path | None) -> Iterator[Finding]:
    try:
        has_key = backup_key(key_file) is not None
    except UnableToUseKey as error:
        yield Finding("key", str(error), True)
        return
    words = "is there: the backup is encrypted" if has_key else "none: the backup is not encrypted"
    yield Finding("key", words)


def _archive(to: Path) -> Iterator[Finding]:
    if to.exists():
        yield Finding("backup", f"{to} is there already: choose another name", True)
    elif not to.parent.is_dir():
        yield Finding("backup", f"{to.parent} is not there: make it, or name another", True)
    elif not os.access(to.parent, os.W_OK | os.X_OK):
        yield Finding("backup", f"{to.parent} may not be written by this user", True)
    else:
        yield Finding("backup", f"would be written to {to}")
    if connection.vendor == "postgresql":
        for program in ("pg_dump", "pg_restore"):
            if not shutil.which(program):
                yield Finding("backup", f"{program} is not installed", True)


def _database() -> Iterator[Finding]:
    if is_empty():
        yield Finding("database", "is empty: there is nothing to upgrade, run migrate", True)
        return
    yield Finding("database", f"answers ({connection.vendor}, {database_size() / MB:,.0f} MB)")


def _migrations() -> Iterator[Finding]:
    executor = MigrationExecutor(connection)
    loader = executor.loader
    known = set(loader.disk_migrations)
    for migration in loader.disk_migrations.values():
        known.update(migration.replaces)
    unknown = sorted(
        f"{app}.{name}" for app, name in set(loader.applied_migrations) - known if app in OURS
    )
    if unknown:
        words = "this database was migrated by a newer program, which is not this one: "
        yield Finding("migrations", words + ", ".join(unknown), True)
    try:
        loader.check_consistent_history(connection)
    except InconsistentMigrationHistory as error:
        yield Finding("migrations", str(error), True)
    if conflicts := loader.detect_conflicts():
        yield Finding("migrations", f"two ends in {', '.join(sorted(conflicts))}", True)
        return
    waiting = [each for each, _back in executor.migration_plan(loader.graph.leaf_nodes())]
    names = ", ".join(f"{each.app_label}.{each.name}" for each in waiting)
    yield Finding("migrations", f"{len(waiting)} to do: {names}" if waiting else "none to do")


def _in_use(workers: Sequence[str]) -> Iterator[Finding]:
    """Find who else works on it: what they write after the backup would not be in it."""
    if workers:
        yield Finding("in use", f"workers answer: {', '.join(workers)}. Stop them", True)
    users = _sessions() if connection.vendor == "postgresql" else _processes_with_the_file()
    if users is None:
        yield Finding("in use", "not known here: see to it that web, worker and beat are stopped")
    elif users:
        told = ", ".join(users)
        yield Finding("in use", f"others are connected: {told}. Stop web, worker and beat", True)
    elif not workers:
        yield Finding("in use", "by nobody else")


def _sessions() -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT pid, application_name FROM pg_stat_activity WHERE datname = current_database()"
            " AND pid <> pg_backend_pid() AND backend_type = 'client backend' ORDER BY pid"
        )
        return [f"process {pid} of the server {name}".strip() for pid, name in cursor.fetchall()]


def _processes_with_the_file() -> list[str] | None:
    """Return who has the file of SQLite open, as far as this user may see; None where unknown."""
    processes = Path("/proc")
    if not (processes / "self/fd").is_dir():
        return None
    file = os.path.realpath(connection.settings_dict["NAME"])
    found = []
    for folder in sorted(processes.glob("[0-9]*")):
        if folder.name != str(os.getpid()) and _has_open(folder / "fd", file):
            try:
                name = (folder / "comm").read_text().strip()
            except OSError:
                continue
            found.append(f"process {folder.name} {name}")
    return found


def _has_open(folder: Path, file: str) -> bool:
    try:
        return any(os.path.realpath(each) == file for each in folder.iterdir())
    except OSError:
        return False  # it has ended meanwhile, or is another user's


def database_size() -> int:
    """Return the bytes that the database takes on its disk."""
    if connection.vendor == "sqlite":
        name = str(connection.settings_dict["NAME"])
        files = [Path(name), Path(f"{name}-wal")]
        return sum(file.stat().st_size for file in files if file.exists())
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_database_size(current_database())")
        return int(cursor.fetchone()[0])


def _space(to: Path) -> Iterator[Finding]:
    """Dump and archive are no larger than the database; reading back unpacks all once more."""
    media = Path(settings.MEDIA_ROOT)
    files = sum(each.stat().st_size for each in media.rglob("*") if each.is_file())
    database = database_size()
    needs = [(to.parent, database + files), (media.parent, database + files)]
    if connection.vendor == "sqlite":
        # Tables that a migration changes are written again beside the old ones.
        needs.append((Path(connection.settings_dict["NAME"]).parent, database))
    there = [(nearest_there(folder), size) for folder, size in needs]
    disks = {folder.stat().st_dev: free_bytes(folder) for folder, _ in there}
    for room in rooms([Need(each.stat().st_dev, str(each), size) for each, size in there], disks):
        words = (
            f"{' and '.join(room.folders)}: {room.free / MB:,.0f} MB free, "
            f"up to {room.needed / MB:,.0f} MB wanted"
        )
        yield Finding("space", words, not room.is_enough)
    if connection.vendor == "postgresql":
        words = f"of the server's disk: not known here; up to {database / MB:,.0f} MB wanted"
        yield Finding("space", words)
