"""Debian's khal: a calendar program that is not ours, fed as a subscription is."""

import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.services_real.needs import Missing

SHOWN = "{start-date}|{start-time}|{end-time}|{title}|{cancelled}"
CONFIG = """[calendars]
[[rejoin]]
path = {folder}/calendar
[locale]
timeformat = %H:%M
dateformat = %Y-%m-%d
longdateformat = %Y-%m-%d
datetimeformat = %Y-%m-%d %H:%M
longdatetimeformat = %Y-%m-%d %H:%M
local_timezone = {zone}
default_timezone = {zone}
[default]
default_calendar = rejoin
[sqlite]
path = {folder}/khal.db
"""


@dataclass
class Khal:
    """A calendar of its own in a folder, shown in one time zone."""

    program: str
    folder: Path

    def read(self, feed: bytes) -> None:
        """Take the feed in, as a subscription does again and again."""
        file = self.folder / "feed.ics"
        file.write_bytes(feed)
        self._do("import", "--batch", str(file))

    def listed(self, start: str, days: int) -> list[tuple[str, ...]]:
        """Return (day, from, to, title) of what takes place on these days."""
        told = self._do("list", "--day-format", "", "--format", SHOWN, start, f"{days}d")
        rows = [tuple(line.strip().split("|")) for line in told.splitlines() if "|" in line]
        return [row[:4] for row in rows if not row[4].strip()]

    def _do(self, *words: str) -> str:
        command = [self.program, "-c", str(self.folder / "config"), *words]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        return done.stdout


@contextmanager
def khal(zone: str) -> Iterator[Khal]:
    """Make an empty calendar that shows hours of this zone."""
    program = shutil.which("khal")
    if not program:
        raise Missing("khal", "khal")
    with tempfile.TemporaryDirectory(prefix="rejoin-khal-") as name:
        folder = Path(name)
        (folder / "calendar").mkdir()
        (folder / "config").write_text(CONFIG.format(folder=folder, zone=zone))
        yield Khal(program, folder)
