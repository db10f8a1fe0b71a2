"""Back up into one archive; check an archive; restore one into an empty installation."""

import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils.translation import gettext as _

from sites.backups.engines import archive
from sites.backups.services.databases import (
    NAME_OF,
    UnableToDump,
    bring_in,
    dump,
    is_empty,
    look_into,
)
from sites.models import Run, RunState

FILES = "files"
BACKUP = "backup"
# Our own choice: who backs up each night has missed several by then.
OLD_AFTER = timedelta(days=7)


class UnableToBackUp(Exception):
    """Nothing was written; the text says why and what to do."""


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


def back_up(to: Path, *, at: datetime) -> Kept:
    """Write database and uploaded files into one archive, and note that on Health.

    The database is read first: files that come later are in the archive or not, and no row of it
    names them.

    Raises:
        UnableToBackUp: there is something of this name, or it cannot be written or read.
    """
    try:
        with tempfile.TemporaryDirectory(prefix="rejoin-backup-", dir=to.parent) as folder:
            dumped = Path(folder) / NAME_OF[connection.vendor]
            rows = dump(dumped)
            told = {
                "made_at": at.isoformat(),
                "vendor": connection.vendor,
                "rows": rows,
                "migrations": _migrations(),
            }
            contents = archive.write(to, [(dumped.name, dumped), *_uploaded()], told)
    except FileExistsError as error:
        raise UnableToBackUp(_("%s is there already: choose another name.") % to) from error
    except UnableToDump as error:
        raise UnableToBackUp(str(error)) from error
    except OSError as error:
        raise UnableToBackUp(_("It cannot be written: %s") % error) from error
    kept = _kept(to, contents)
    Run.objects.create(
        service=BACKUP,
        title=_("Backup"),
        state=RunState.DONE,
        asked_at=at,
        started_at=at,
        ended_at=at,
        result={"name": to.name, "size": kept.size, "rows": kept.rows, "files": kept.files},
    )
    return kept


def _migrations() -> list[str]:
    return sorted("/".join(key) for key in MigrationRecorder(connection).applied_migrations())


def last_backup() -> Run | None:
    """Return the newest backup that was finished."""
    return Run.objects.filter(service=BACKUP, state=RunState.DONE).order_by("-ended_at").first()


def is_backup_old(*, at: datetime) -> bool:
    """Whether there is no backup, or the newest is older than a week."""
    last = last_backup()
    return last is None or last.ended_at is None or at - last.ended_at > OLD_AFTER


def check_backup(path: Path) -> Kept:
    """Read all of an archive, and the database in it, without touching anything of ours.

    Raises:
        UnableToRestore: it is damaged, or is not there.
    """
    with _unpacked(path) as (folder, contents):
        vendor = str(contents.told["vendor"])
        try:
            look_into(folder / NAME_OF[vendor], vendor)
        except UnableToDump as error:
            raise UnableToRestore(str(error)) from error
    return _kept(path, contents)


def restore(path: Path) -> Kept:
    """Restore an archive into an empty database and an empty folder of uploaded files.

    All of it is read and checked before anything is written.

    Raises:
        UnableToRestore: something is there already, or the archive is damaged or of another
            database engine.
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
    with _unpacked(path) as (folder, contents):
        if (vendor := contents.told["vendor"]) != connection.vendor:
            words = _("It was made on %(theirs)s, and this installation runs on %(ours)s.")
            raise UnableToRestore(words % {"theirs": vendor, "ours": connection.vendor})
        _restore(folder, contents, media)
    return _kept(path, contents)


def _restore(folder: Path, contents: archive.Contents, media: Path) -> None:
    try:
        look_into(folder / NAME_OF[connection.vendor], connection.vendor)
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

    def __init__(self, path: Path) -> None:
        self._path = path
        beside = Path(settings.MEDIA_ROOT).parent
        beside.mkdir(parents=True, exist_ok=True)
        self._folder = tempfile.TemporaryDirectory(prefix="rejoin-restore-", dir=beside)

    def __enter__(self) -> tuple[Path, archive.Contents]:
        folder = Path(self._folder.name)
        try:
            return folder, archive.unpack(self._path, folder)
        except archive.DamagedArchive as error:
            self._folder.cleanup()
            raise UnableToRestore(_("This archive is damaged: %s.") % error) from error
        except OSError as error:
            self._folder.cleanup()
            raise UnableToRestore(_("It cannot be read: %s") % error) from error

    def __exit__(self, *_error: object) -> None:
        self._folder.cleanup()


def _uploaded() -> Iterator[tuple[str, Path]]:
    media = Path(settings.MEDIA_ROOT)
    for path in sorted(media.rglob("*")) if media.exists() else ():
        if path.is_file() and not path.is_symlink():
            yield f"{FILES}/{path.relative_to(media).as_posix()}", path


def _kept(path: Path, contents: archive.Contents) -> Kept:
    return Kept(
        path,
        path.stat().st_size,
        sum(contents.told["rows"].values()),
        sum(name.startswith(f"{FILES}/") for name in contents.members),
        str(contents.told["made_at"]),
        str(contents.told["vendor"]),
    )
