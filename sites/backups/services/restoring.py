"""Check an archive; restore one into an empty installation."""

import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection
from django.utils.translation import gettext as _

from sites.backups.engines import archive
from sites.backups.engines.sealed import WrongKey
from sites.backups.services.databases import (
    NAME_OF,
    UnableToDump,
    bring_in,
    is_empty,
    look_into,
)
from sites.backups.services.keys import UnableToUseKey, backup_key

FILES = "files"
SCRATCH = "rejoin-restore-"


class UnableToRestore(Exception):
    """Nothing was changed, unless the text says so."""


@dataclass(frozen=True)
class Kept:
    """What an archive holds, in numbers."""

    path: Path
    size: int
    rows: int
    files: int
    made_at: str
    vendor: str
    is_sealed: bool


def check_backup(path: Path, *, key_file: Path | None = None) -> Kept:
    """Unpack an archive into a scratch folder and read all of it, touching nothing of ours.

    Each file is compared with its SHA-256. The database in it is opened (SQLite: checked for
    integrity) or read from its first to its last row by pg_restore, and the rows of each table are
    counted and compared with those that were there when it was made.

    Args:
        key_file: the file of the key, in place of the setting BACKUP_KEY_FILE.

    Raises:
        UnableToRestore: it is damaged, is not there, or is sealed with another key.
    """
    with _unpacked(path, key_file) as (folder, contents):
        _look(folder, contents)
    return _kept(path, contents)


def restore(path: Path, *, key_file: Path | None = None) -> Kept:
    """Restore an archive into an empty database and an empty folder of uploaded files.

    All of it is read and checked before anything is written.

    Raises:
        UnableToRestore: something is there already, or the archive is damaged, sealed with another
            key, or of another database engine.
    """
    if not is_empty():
        raise UnableToRestore(
            _("The database is not empty, and nothing is overwritten. Name an empty one.")
        )
    media = Path(settings.MEDIA_ROOT)
    if media.exists() and any(media.iterdir()):
        raise UnableToRestore(
            _("%s is not empty, and nothing is overwritten. Name an empty MEDIA_ROOT.") % media
        )
    with _unpacked(path, key_file) as (folder, contents):
        if (vendor := contents.told["vendor"]) != connection.vendor:
            words = _("It was made on %(theirs)s, and this installation runs on %(ours)s.")
            raise UnableToRestore(words % {"theirs": vendor, "ours": connection.vendor})
        _restore(folder, contents, media)
    return _kept(path, contents)


def _look(folder: Path, contents: archive.Contents) -> None:
    """Read the database in it, and count its rows."""
    vendor = str(contents.told["vendor"])
    try:
        found = look_into(folder / NAME_OF[vendor], vendor)
    except UnableToDump as error:
        raise UnableToRestore(str(error)) from error
    for table, rows in contents.told["rows"].items():
        if found.get(table, 0) != rows:
            words = _("The table %(table)s in it holds %(found)d rows, and there were %(rows)d.")
            raise UnableToRestore(
                words % {"table": table, "found": found.get(table, 0), "rows": rows}
            )


def _restore(folder: Path, contents: archive.Contents, media: Path) -> None:
    _look(folder, contents)
    try:
        rows = bring_in(folder / NAME_OF[connection.vendor])
    except UnableToDump as error:
        raise UnableToRestore(str(error)) from error
    uploaded = folder / FILES
    media.mkdir(parents=True, exist_ok=True)
    for each in sorted(uploaded.rglob("*")) if uploaded.exists() else ():
        if each.is_file():
            target = media / each.relative_to(uploaded)
            target.parent.mkdir(parents=True, exist_ok=True)
            each.replace(target)
    if rows != contents.told["rows"]:
        raise UnableToRestore(
            _("The restored tables do not hold the rows that were kept. Do not use this database.")
        )


class _unpacked:  # noqa: N801 - used as a function, with `with`
    """Unpack an archive beside the uploaded files, so that they can be moved into place."""

    def __init__(self, path: Path, key_file: Path | None) -> None:
        self._path = path
        try:
            self._key = backup_key(key_file)
        except UnableToUseKey as error:
            raise UnableToRestore(str(error)) from error
        beside = Path(settings.MEDIA_ROOT).parent
        beside.mkdir(parents=True, exist_ok=True)
        self._folder = tempfile.TemporaryDirectory(prefix=SCRATCH, dir=beside)

    def __enter__(self) -> tuple[Path, archive.Contents]:
        folder = Path(self._folder.name)
        try:
            return folder, archive.unpack(self._path, folder, key=self._key)
        except archive.DamagedArchive as error:
            raise self._refused(_("This archive is damaged: %s.") % error) from error
        except WrongKey as error:
            words = _(
                "This archive cannot be opened: %s. Name the file of its key with --key-file, or "
                "in BACKUP_KEY_FILE."
            )
            raise self._refused(words % error) from error
        except OSError as error:
            raise self._refused(_("It cannot be read: %s") % error) from error

    def _refused(self, words: str) -> UnableToRestore:
        self._folder.cleanup()
        return UnableToRestore(words)

    def __exit__(self, *_error: Any) -> None:
        self._folder.cleanup()


def _kept(path: Path, contents: archive.Contents) -> Kept:
    return Kept(
        path,
        path.stat().st_size,
        sum(contents.told["rows"].values()),
        sum(name.startswith(f"{FILES}/") for name in contents.members),
        str(contents.told["made_at"]),
        str(contents.told["vendor"]),
        archive.is_sealed(path),
    )
