"""The key by which backups are sealed: a file outside the checkout, never a word of a command."""

import os
import stat
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext as _

from sites.backups.engines.sealed import NotAKey, key_from, new_key


class UnableToUseKey(Exception):
    """The key cannot be read or made; the text says why and what to do."""


def backup_key(file: Path | None = None) -> bytes | None:
    """Return the key of this file, or of the setting BACKUP_KEY_FILE; None where neither is.

    Raises:
        UnableToUseKey: it is not there, holds no key, or everybody on this machine may read it.
    """
    path = file or settings.BACKUP_KEY_FILE
    if path is None:
        return None
    try:
        mode, text = path.stat().st_mode, path.read_text(errors="replace")
    except OSError as error:
        words = _("The key of backups cannot be read: %s") % error
        raise UnableToUseKey(words) from error
    if stat.S_IMODE(mode) & 0o007:
        words = _("Everybody on this machine may read the key in %(file)s: run chmod 600 %(file)s.")
        raise UnableToUseKey(words % {"file": path})
    try:
        return key_from(text)
    except NotAKey as error:
        words = _("%s holds no key of backups: 64 hexadecimal digits, as make_backup_key writes.")
        raise UnableToUseKey(words % path) from error


def make_backup_key(file: Path) -> None:
    """Write a new key to a file that only its owner may read.

    Raises:
        UnableToUseKey: there is a file of this name, or it cannot be written.
    """
    try:
        made = os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
        with os.fdopen(made, "w") as out:
            out.write(new_key() + "\n")
            out.flush()
            os.fsync(out.fileno())
    except FileExistsError as error:
        raise UnableToUseKey(
            _("%s is there already: what it sealed could not be opened any more.") % file
        ) from error
    except OSError as error:
        raise UnableToUseKey(_("It cannot be written: %s") % error) from error
