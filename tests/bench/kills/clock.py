"""The clock of the service's programs, moved while they run, as a correction of the time does it.

Each process looks at a file that says by how many seconds its clock is off; the database's clock
and those of the people and phones stay as they are. What counts seconds that went by (timeouts,
beats) is not moved: the system's own monotonic clock is not either.
"""

import os
import threading
import time
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path

import time_machine

FILE = "REJOIN_TEST_CLOCK"
LOOK_EVERY_S = 0.1


def set_clock(file: Path, off_s: float) -> None:
    """Tell all processes that look at this file by how much their clocks are off."""
    fresh = file.with_suffix(".new")
    fresh.write_text(str(off_s))
    fresh.replace(file)


def follow() -> None:
    """Look at the file from now on, in this process and in all that it is split into."""
    file = os.environ.get(FILE, "")
    if file:
        _look(Path(file))
        os.register_at_fork(after_in_child=lambda: _look(Path(file)))


def _look(file: Path) -> None:
    threading.Thread(target=_keep, args=(file,), name="clock", daemon=True).start()


def _keep(file: Path) -> None:
    off_s, moved = 0.0, None
    while True:
        with suppress(OSError, ValueError):
            told = float(file.read_text())
            if told != off_s:
                if moved is not None:
                    moved.stop()
                    moved = None
                if told:
                    there = datetime.now(UTC) + timedelta(seconds=told)
                    moved = time_machine.travel(there, tick=True)
                    moved.start()
                off_s = told
        time.sleep(LOOK_EVERY_S)
