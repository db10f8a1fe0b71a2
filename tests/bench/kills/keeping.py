"""A program that is kept running, as systemd keeps the guide's units running.

What ended is started again after what it left behind was ended (`Restart=always`,
`KillMode=mixed`), and a second later in place of the units' five.
"""

import os
import signal
import subprocess
import threading
import time
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from tests.services_real.worker import CHECKOUT

RESTART_AFTER_S = 1.0
LOOK_EVERY_S = 0.1


class Kept:
    """One program that is started again whenever it ends; `times` = how often it was started."""

    def __init__(self, name: str, command: list[str], env: Mapping[str, str], log: Path) -> None:
        self.name, self._command, self._log = name, command, log
        self._env = {**os.environ, **env}
        self._process: subprocess.Popen[bytes] | None = None
        self._is_wanted = threading.Event()
        self._keeper = threading.Thread(target=self._keep, name=f"keeps {name}", daemon=True)
        self.times = 0

    def start(self) -> None:
        """Start it, and keep it running from now on."""
        self._is_wanted.set()
        self._begin()
        self._keeper.start()

    def end(self) -> None:
        """Kill it, for good."""
        self._is_wanted.clear()
        self._kill_all()
        if self._keeper.is_alive():
            self._keeper.join(timeout=10)
        self._kill_all()

    def kill(self) -> bool:
        """Kill its main process; False where there was none just now."""
        return self.pid is not None and _killed(self.pid)

    @property
    def pid(self) -> int | None:
        """Its main process, where one runs."""
        return self._process.pid if self._is_up() and self._process else None

    def children(self) -> list[int]:
        """Return the processes that its main process has started."""
        if not self._process:
            return []
        file = Path(f"/proc/{self._process.pid}/task/{self._process.pid}/children")
        with suppress(OSError):
            return [int(each) for each in file.read_text().split()]
        return []

    def kill_a_child(self, which: float) -> bool:
        """Kill one of its children, by a number from 0 to 1; False where there is none."""
        found = self.children()
        return bool(found) and _killed(found[min(int(which * len(found)), len(found) - 1)])

    def _is_up(self) -> bool:
        return self._process is not None and self._process.poll() is None

    def _begin(self) -> None:
        with self._log.open("ab") as out:
            self._process = subprocess.Popen(
                self._command,
                cwd=CHECKOUT,
                env=self._env,
                stdout=out,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )
        self._log.with_suffix(".pid").write_text(str(self._process.pid))
        self.times += 1

    def _keep(self) -> None:
        while self._is_wanted.is_set():
            if not self._is_up():
                self._kill_all()
                time.sleep(RESTART_AFTER_S)
                if self._is_wanted.is_set():
                    self._begin()
            time.sleep(LOOK_EVERY_S)

    def _kill_all(self) -> None:
        """End what the main process leaves behind too: a port that it holds is needed again."""
        if self._process is not None:
            with suppress(ProcessLookupError):
                os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait(timeout=10)


def _killed(pid: int) -> bool:
    try:
        os.kill(pid, signal.SIGKILL)
    except ProcessLookupError:
        return False
    return True
