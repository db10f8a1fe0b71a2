"""Migrated databases, cached: an empty one is copied instead of being migrated again.

Migrating an empty database costs seconds; each test process and each fresh demo needs one. The
cache key is a hash of all that decides what a migrated database looks like, so a changed
migration makes another one and nothing has to be cleared by hand.
"""

import fcntl
import hashlib
import inspect
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import django
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader

KEPT_AT_MOST = 3


def folder() -> Path:
    """Return where migrated SQLite files are cached: in the checkout, not in git."""
    return Path(settings.BASE_DIR) / ".rejoin" / "migrated"


def fingerprint() -> str:
    """Return a hash of every migration, the operations in it and Django's version.

    What is cached under it says itself of which engine it is: a file, or a template database.
    """
    loader = MigrationLoader(None)
    files = set()
    for migration in loader.disk_migrations.values():
        files.add(inspect.getfile(type(migration)))
        files.update(inspect.getfile(type(operation)) for operation in migration.operations)
    whole = hashlib.sha256(django.get_version().encode())
    for path in sorted(files):
        whole.update(f"{Path(path).name}\n".encode() + Path(path).read_bytes())
    return whole.hexdigest()[:16]


def migrate_or_copy() -> None:
    """Migrate the default database; where it is SQLite and does not exist yet, copy one.

    A folder that cannot be written costs the cache, not the database.
    """
    if connection.vendor != "sqlite" or Path(connection.settings_dict["NAME"]).exists():
        call_command("migrate", verbosity=0)
        return
    try:
        folder().mkdir(parents=True, exist_ok=True)
        with _one_at_a_time():
            cached = _cached_file()
            connection.close()
            shutil.copyfile(cached, connection.settings_dict["NAME"])
    except OSError:
        call_command("migrate", verbosity=0)


def _cached_file() -> Path:
    """Return the migrated file of today's migrations; make it where it is missing."""
    cached = folder() / f"{fingerprint()}.sqlite3"
    if not cached.exists():
        _forget_old_ones()
        _migrate_into(cached)
    os.utime(cached)
    return cached


def _migrate_into(cached: Path) -> None:
    """Migrate under another name first: a half-migrated file is never taken for a whole one."""
    name = connection.settings_dict["NAME"]
    unfinished = cached.with_suffix(".unfinished")
    unfinished.unlink(missing_ok=True)
    connection.close()
    connection.settings_dict["NAME"] = str(unfinished)
    try:
        call_command("migrate", verbosity=0)
    finally:
        # The last connection that closes moves the write-ahead log into the file.
        connection.close()
        connection.settings_dict["NAME"] = name
    unfinished.rename(cached)


def _forget_old_ones() -> None:
    by_age = sorted(folder().glob("*.sqlite3"), key=lambda path: path.stat().st_mtime)
    for path in by_age[: -KEPT_AT_MOST + 1]:
        path.unlink(missing_ok=True)


@contextmanager
def _one_at_a_time() -> Iterator[None]:
    """Let other processes wait while one makes the file, so that it is made once."""
    with (folder() / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
