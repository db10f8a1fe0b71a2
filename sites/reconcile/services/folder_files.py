"""One file of the folder of central's lists: found, opened with care, moved away."""

import hashlib
import os
import stat
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _

from sites.kernel.services.verbs import UnableToAct

DONE, NOT_READ = "done", "not_read"
# Our own choices: so long nothing was written to a file that is whole; clocks differ by less.
QUIET_FOR = timedelta(seconds=60)
CLOCKS_DIFFER_S = 3600
# A disk takes 255; the time in front and the end of a note need theirs.
LONGEST_NAME_BYTES = 200
MOST_ALIKE = 100
# As what copies and browsers name that is not whole yet.
NOT_WHOLE = (".part", ".partial", ".filepart", ".crdownload", ".tmp")


class UnableToReadFolder(UnableToAct):
    """The folder as it was set up cannot be worked through; its files stay where they are."""


class UnableToOpenFile(UnableToAct):
    """One file that is none to be opened."""


class StillWritten(Exception):
    """A file that somebody writes to."""


@dataclass(frozen=True)
class Found:
    """A file as it lies there."""

    path: Path
    changed_ns: int
    size: int
    content: bytes = b""

    @property
    def name(self) -> str:
        """Its name in letters, whatever bytes the disk keeps."""
        return os.fsencode(self.path.name).decode("utf-8", "backslashreplace")

    @property
    def sha256(self) -> str:
        """The hash of what is in it."""
        return hashlib.sha256(self.content or self.name.encode()).hexdigest()


def files_in(folder: Path) -> list[Path]:
    """Return the files to work on, the one written first in front; hidden ones are not for us.

    Raises:
        UnableToReadFolder: it cannot be read.
    """
    found = []
    try:
        for name in os.listdir(folder):
            if name in (DONE, NOT_READ) or name.startswith(".") or _is_part(name):
                continue
            # Who laid a file here may take it away meanwhile.
            with suppress(FileNotFoundError):
                told = (folder / name).lstat()
                if not stat.S_ISDIR(told.st_mode):
                    found.append((told.st_mtime_ns, folder / name))
    except OSError as error:
        raise UnableToReadFolder(
            _("The folder %(folder)s of CENTRAL_FOLDER cannot be read: %(why)s.")
            % {"folder": folder, "why": error.strerror}
        ) from None
    return [path for _changed, path in sorted(found)]


def _is_part(name: str) -> bool:
    return name.lower().endswith(NOT_WHOLE)


def opened(found: Found, at: datetime) -> Found:
    """Read what is in a file, once nobody writes to it.

    Both times count, as copying may set the first one back while it writes.

    Raises:
        StillWritten: it was written to within `QUIET_FOR`, or while it was read.
        UnableToOpenFile: it is a link, a pipe, too large, or its name is no text.
    """
    try:
        found.path.name.encode()
    except UnicodeEncodeError:
        raise UnableToOpenFile(_("Its name is no UTF-8: give it another name.")) from None
    if len(os.fsencode(found.path.name)) > LONGEST_NAME_BYTES:
        raise UnableToOpenFile(_("Its name is longer than %d letters.") % LONGEST_NAME_BYTES)
    if found.path.is_symlink():
        raise UnableToOpenFile(_("It is a link to another file: lay the file itself here."))
    try:
        handle = os.open(found.path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK | os.O_CLOEXEC)
    except OSError as error:
        raise UnableToOpenFile(_("It cannot be opened: %s.") % error.strerror) from None
    with os.fdopen(handle, "rb") as file:
        before = os.fstat(handle)
        if not stat.S_ISREG(before.st_mode):
            raise UnableToOpenFile(_("It is no file but a device or a pipe."))
        if _is_written_to(before, at.timestamp()):
            raise StillWritten
        if before.st_size > settings.LARGEST_REGISTER_FILE_BYTES:
            raise UnableToOpenFile(
                _("It is larger than %d MB: lay it here in parts.")
                % (settings.LARGEST_REGISTER_FILE_BYTES // 2**20)
            )
        content = file.read(settings.LARGEST_REGISTER_FILE_BYTES + 1)
        after = os.fstat(handle)
    if (after.st_size, after.st_mtime_ns) != (len(content), before.st_mtime_ns):
        raise StillWritten
    return Found(found.path, after.st_mtime_ns, after.st_size, content)


def _is_written_to(told: os.stat_result, now: float) -> bool:
    """A time of the far future is that of another machine's clock, and says nothing."""
    times = [each for each in (told.st_mtime, told.st_ctime) if each < now + CLOCKS_DIFFER_S]
    return now - max(times, default=now) < QUIET_FOR.total_seconds()


def move_away(found: Found, problem: str, at: datetime) -> None:
    """Move a file to `done`, or with a problem and a note of it to `not_read`; over no other file.

    Raises:
        UnableToReadFolder: nothing can be moved there.
    """
    folder = found.path.parent / (NOT_READ if problem else DONE)
    try:
        folder.mkdir(exist_ok=True)
        if folder.is_symlink():
            raise UnableToReadFolder(
                _("%s is a link: files are moved into a folder of its own only.") % folder
            )
        name = os.fsdecode(os.fsencode(found.path.name)[-LONGEST_NAME_BYTES:])
        target = _free(folder, f"{at.astimezone(UTC):%Y-%m-%dT%H-%M-%SZ} ", name)
        try:
            found.path.rename(target)
        except FileNotFoundError:
            # Another process that met it at the same time moved it, or its owner took it back.
            if os.path.lexists(found.path):
                raise
            return
        if problem:
            note = "\n".join(
                (
                    found.name,
                    problem,
                    "",
                    _("Mend the list and lay it into the folder again, or bring it here, where a "
                      "property can be chosen:"),
                    settings.SITE_URL + reverse("sites:reconcile"),
                    "",
                )
            )  # fmt: skip
            target.with_name(f"{target.name}.txt").write_text(note, errors="backslashreplace")
    except OSError as error:
        raise UnableToReadFolder(
            _("%(file)s was worked on and cannot be moved to %(folder)s: %(why)s. Let the user of "
              "the service write there.")
            % {"file": found.name, "folder": folder, "why": error.strerror}
        ) from None  # fmt: skip


def _free(folder: Path, stamp: str, name: str) -> Path:
    """Return a path that is free; a second file of the same name and second gets a number."""
    for n in range(1, MOST_ALIKE + 1):
        path = folder / (f"{stamp}{name}" if n == 1 else f"{stamp}({n}) {name}")
        if not os.path.lexists(path):
            return path
    raise UnableToReadFolder(_("%s is full of files of this name.") % folder)
