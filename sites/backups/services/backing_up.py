"""Back up into one archive, read it back, and note how that went."""

import tempfile
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone
from django.utils.translation import gettext as _

from sites.backups.engines import archive
from sites.backups.services.databases import NAME_OF, UnableToDump, dump
from sites.backups.services.keys import UnableToUseKey, backup_key
from sites.backups.services.restoring import FILES, Kept, UnableToRestore, check_backup
from sites.models import Run, RunState

BACKUP = "backup"
SCRATCH = "rejoin-backup-"


class UnableToBackUp(Exception):
    """Nothing was written; the text says why and what to do."""


def back_up(to: Path, *, at: datetime, key_file: Path | None = None) -> Kept:
    """Write database and uploaded files into one archive, read all of it back, and note that.

    Args:
        key_file: the file of the key, in place of the setting BACKUP_KEY_FILE.

    Raises:
        UnableToBackUp: as of `make_backup`; Health shows it.
    """
    if to.exists():
        raise _taken(to)
    try:
        kept = make_backup(to, at=at, key_file=key_file)
    except UnableToBackUp as error:
        # It may be the database that does not answer.
        with suppress(DatabaseError):
            _note(RunState.FAILED, at, {"name": to.name}, str(error))
        raise
    note_backup(kept, at=at)
    return kept


def note_backup(kept: Kept, *, at: datetime) -> None:
    """Note a backup that was made and read back."""
    told = {"name": kept.path.name, "size": kept.size, "rows": kept.rows, "files": kept.files}
    _note(RunState.DONE, at, {**told, "sealed": kept.is_sealed})


def make_backup(to: Path, *, at: datetime, key_file: Path | None = None) -> Kept:
    """Write database and uploaded files into one archive, and read all of it back.

    The database is read first: files that come later are in the archive or not, and no row of it
    names them. Where there is a key, the archive is sealed. Works on tables of any version.

    Raises:
        UnableToBackUp: there is something of this name; or it cannot be written, or not be read
            back. Nothing is left of it.
    """
    try:
        _write(to, at, backup_key(key_file))
    except FileExistsError as error:
        raise _taken(to) from error
    except (UnableToDump, UnableToUseKey) as error:
        raise UnableToBackUp(str(error)) from error
    except OSError as error:
        raise UnableToBackUp(_("It cannot be written: %s") % error) from error
    try:
        return check_backup(to, key_file=key_file)
    except UnableToRestore as error:
        to.unlink(missing_ok=True)
        words = _("It was written, cannot be read back, and was removed. %s")
        raise UnableToBackUp(words % error) from error


def _taken(to: Path) -> UnableToBackUp:
    return UnableToBackUp(_("%s is there already: choose another name.") % to)


def _write(to: Path, at: datetime, key: bytes | None) -> None:
    # Not beside the archive: that may be a disk on which nothing may lie unsealed.
    beside = Path(settings.MEDIA_ROOT).parent
    beside.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix=SCRATCH, dir=beside) as folder:
        dumped = Path(folder) / NAME_OF[connection.vendor]
        rows = dump(dumped)
        told = {
            "made_at": at.isoformat(),
            "vendor": connection.vendor,
            "rows": rows,
            "migrations": _migrations(),
        }
        archive.write(to, [(dumped.name, dumped), *_uploaded()], told, key=key)


def _note(state: RunState, at: datetime, told: dict[str, object], problem: str = "") -> None:
    Run.objects.create(
        service=BACKUP,
        title=_("Backup"),
        state=state,
        asked_at=at,
        started_at=at,
        ended_at=max(at, timezone.now()),
        result=told,
        problem=problem,
    )


def _migrations() -> list[str]:
    return sorted("/".join(key) for key in MigrationRecorder(connection).applied_migrations())


def _uploaded() -> Iterator[tuple[str, Path]]:
    media = Path(settings.MEDIA_ROOT)
    for path in sorted(media.rglob("*")) if media.exists() else ():
        if path.is_file() and not path.is_symlink():
            yield f"{FILES}/{path.relative_to(media).as_posix()}", path
