"""A PostgreSQL cluster of our own, in a folder that goes afterwards."""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from tests.services_real.needs import Missing, ended_with_us, free_port

ACCOUNT = "postgres"
# Nothing here outlives the run, so nothing needs to reach the disk.
IN_A_HURRY = {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off"}


class StoppableCluster:
    """A cluster on one port that a test stops at once, as a power cut of it would, and starts."""

    def __init__(self, folder: Path, settings: Mapping[str, str]) -> None:
        self._programs, self._folder = _programs(), folder
        self.port = free_port()
        self.url = f"postgres://{ACCOUNT}@127.0.0.1:{self.port}/postgres"
        self._options = _options(folder, self.port, settings)
        self._data = folder / "data"
        _give_away(folder)
        _run(
            [self._programs / "initdb", "-D", self._data, "-U", ACCOUNT, "-A", "trust"],
            ["-E", "UTF8", "--locale=C.UTF-8", "--no-sync"],
        )

    @property
    def stop_command(self) -> list[str]:
        """The command that stops it without a clean end: the next start recovers from its log."""
        return _command([*self._control, "-m", "immediate", "-w", "stop"])

    @property
    def _control(self) -> list[str | Path]:
        return [self._programs / "pg_ctl", "-D", self._data]

    def start(self) -> None:
        """Start it, and return once it takes connections."""
        _run([*self._control, "-l", self._folder / "log", "-w", "start"], ["-o", self._options])

    def stop(self) -> None:
        """Stop it at once."""
        _do(self.stop_command)


@contextmanager
def stoppable_cluster(settings: Mapping[str, str] = IN_A_HURRY) -> Iterator[StoppableCluster]:
    """A cluster of a test's own, started, which may be stopped and started again."""
    folder = Path(tempfile.mkdtemp(prefix="rejoin-postgres-"))
    try:
        made = StoppableCluster(folder, settings)
        made.start()
        with ended_with_us(made.stop_command, folder):
            try:
                yield made
            finally:
                with suppress(RuntimeError):  # a test left it stopped
                    made.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def cluster(settings: Mapping[str, str] = IN_A_HURRY) -> Iterator[str]:
    """Start a cluster and yield the address of its database `postgres`."""
    with stoppable_cluster(settings) as made:
        yield made.url


def in_database(url: str, name: str) -> str:
    """Return the address of another database of the same cluster."""
    return f"{url.rsplit('/', 1)[0]}/{name}"


def _programs() -> Path:
    versions = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3])
    )
    if versions:
        return versions[-1].parent
    found = shutil.which("initdb")
    if not found:
        raise Missing("PostgreSQL (initdb)", "postgresql")
    return Path(found).parent


def _options(folder: Path, port: int, settings: Mapping[str, str]) -> str:
    chosen = {
        "port": str(port),
        "listen_addresses": "127.0.0.1",
        "unix_socket_directories": str(folder),
        **settings,
    }
    return " ".join(f"-c {name}={value}" for name, value in chosen.items())


def _give_away(folder: Path) -> None:
    """PostgreSQL refuses to run as root: its own account gets the folder."""
    if os.geteuid() == 0:
        account = pwd.getpwnam(ACCOUNT)
        os.chown(folder, account.pw_uid, account.pw_gid)


def _command(words: list[str | Path]) -> list[str]:
    command = [str(word) for word in words]
    return ["runuser", "-u", ACCOUNT, "--", *command] if os.geteuid() == 0 else command


def _run(*pieces: list[str | Path]) -> None:
    _do(_command([word for piece in pieces for word in piece]))


def _do(command: list[str]) -> None:
    # From the root folder: the account may not be allowed into ours.
    done = subprocess.run(command, cwd="/", capture_output=True, text=True, check=False)
    if done.returncode:
        raise RuntimeError(f"{' '.join(command)}\n{done.stdout}{done.stderr}")
