"""The nightly backup into one folder: made, read back, old ones deleted; and how backups stand."""

import re
import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connections
from django.utils.translation import gettext as _

from sites.backups.engines.keeping import to_forget
from sites.backups.services import backing_up, restoring
from sites.backups.services.backing_up import BACKUP, UnableToBackUp, back_up
from sites.models import Run, RunState

# Our own choices. By hand: who backs up each night has missed several by then. By the schedule: a
# round may be some hours later than the day before, and the backup itself takes its time.
OLD_AFTER = timedelta(days=7)
OLD_AFTER_ON_SCHEDULE = timedelta(hours=36)
# What a killed backup left is nobody's after so long: no backup takes a day.
LEFT_AFTER = timedelta(days=1)
_ALIVE_EVERY_S = 30.0
_STAMP = "%Y-%m-%dT%H-%M-%SZ"
_NAME = re.compile(r"rejoin-(\d{4}-\d\d-\d\dT\d\d-\d\d-\d\dZ)\.tar")


def back_up_as_scheduled(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Back up into BACKUP_FOLDER, read the archive back, and only then delete old ones.

    Does nothing where BACKUP_FOLDER is not set. Only archives that carry the schedule's own names
    are ever deleted.

    Raises:
        UnableToBackUp: the folder is not there, or the backup failed; no archive was deleted.
    """
    folder: Path | None = settings.BACKUP_FOLDER
    if folder is None:
        return {}
    if not folder.is_dir():
        # Made here, it would fill the disk below a share that is not mounted.
        raise UnableToBackUp(
            _("The folder %s of BACKUP_FOLDER is not there: make it, or mount its disk.") % folder
        )
    with _kept_alive(go_on):
        _sweep(folder, at)
        made = back_up(folder / f"rejoin-{at.astimezone(UTC):{_STAMP}}.tar", at=at)
        deleted = _forget(folder)
    return {"rows": made.rows, "files": made.files, "deleted": deleted}


def scheduled_backups(folder: Path) -> dict[str, datetime]:
    """Return the schedule's archives in a folder: when each was made, by its name."""
    found = {}
    for path in folder.iterdir():
        if matched := _NAME.fullmatch(path.name):
            found[path.name] = datetime.strptime(matched[1], _STAMP).replace(tzinfo=UTC)
    return found


def _forget(folder: Path) -> int:
    days, weeks = settings.BACKUP_KEEP_DAYS, settings.BACKUP_KEEP_WEEKS
    names = to_forget(scheduled_backups(folder), days=days, weeks=weeks)
    for name in names:
        (folder / name).unlink(missing_ok=True)
    return len(names)


def _sweep(folder: Path, at: datetime) -> None:
    """Remove what a killed backup left: half an archive, a scratch folder."""
    scratch = Path(settings.MEDIA_ROOT).parent
    left = list(folder.glob(".rejoin-*.tar.part"))
    for prefix in (backing_up.SCRATCH, restoring.SCRATCH):
        left += scratch.glob(f"{prefix}*")
    for path in left:
        if path.stat().st_mtime < (at - LEFT_AFTER).timestamp():
            shutil.rmtree(path) if path.is_dir() else path.unlink()


@contextmanager
def _kept_alive(go_on: Callable[[], None]) -> Iterator[None]:
    """Tell from a thread that the round is alive: dumping is one long step."""
    over = threading.Event()

    def tell() -> None:
        try:
            while not over.wait(_ALIVE_EVERY_S):
                _told(go_on)
        finally:
            connections.close_all()

    thread = threading.Thread(target=tell, daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


def _told(go_on: Callable[[], None]) -> None:
    """A database that does not answer now may do so in half a minute."""
    try:
        go_on()
    except DatabaseError:
        connections.close_all()


@dataclass(frozen=True)
class Backups:
    """How backups stand.

    Attributes:
        failed: the last try, where it failed after the newest good one.
        is_old: whether there is none, or the newest is older than `old_after`.
        folder: where the schedule writes; None where there is no schedule.
    """

    last: Run | None
    failed: Run | None
    is_old: bool
    old_after: timedelta
    folder: Path | None
    keep_days: int
    keep_weeks: int
    has_key: bool

    @property
    def old_after_hours(self) -> int:
        """The age from which on the newest is too old, in hours."""
        return int(self.old_after.total_seconds() // 3600)


def backups_now(*, at: datetime) -> Backups:
    """Return how backups stand, by the schedule where there is one."""
    tries = Run.objects.filter(service=BACKUP, ended_at__isnull=False).order_by("-ended_at", "-pk")
    last = tries.filter(state=RunState.DONE).first()
    failed = tries.filter(state=RunState.FAILED).first()
    if failed and last and failed.pk < last.pk:
        failed = None
    old_after = OLD_AFTER_ON_SCHEDULE if settings.BACKUP_FOLDER else OLD_AFTER
    return Backups(
        last,
        failed,
        last is None or last.ended_at is None or at - last.ended_at > old_after,
        old_after,
        settings.BACKUP_FOLDER,
        settings.BACKUP_KEEP_DAYS,
        settings.BACKUP_KEEP_WEEKS,
        settings.BACKUP_KEY_FILE is not None,
    )
