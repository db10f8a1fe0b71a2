"""Lists that are laid into the folder, and the round that reads them."""

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sites.reconcile.services.folder import read_central_folder
from sites.reconcile.services.folder_files import NOT_READ

HEADING = "property code,controller,station number,enabled"


def lay(folder: Path, *rows: str, name: str = "central.csv", hours: float = 0) -> Path:
    """Lay a list into the folder, written so many hours ago."""
    path = folder / name
    path.write_text("\n".join([HEADING, *rows]))
    when = datetime.now(UTC).timestamp() - 3600 * hours
    os.utime(path, (when, when))
    return path


def later(seconds: float = 61) -> datetime:
    """Return a time after whatever was laid now."""
    return datetime.now(UTC) + timedelta(seconds=seconds)


def look(at: datetime | None = None) -> dict[str, int]:
    """Do the round."""
    return read_central_folder(at=at or later(), go_on=lambda: None)


def names(folder: Path) -> list[str]:
    """What lies in a folder, without the times in front."""
    return sorted(path.name.partition(" ")[2] for path in folder.iterdir())


def note(folder: Path) -> str:
    """The only note."""
    (path,) = [each for each in (folder / NOT_READ).iterdir() if each.name.endswith(".txt")]
    return path.read_text()
