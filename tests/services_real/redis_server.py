"""A Redis server of our own that keeps nothing."""

import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import redis

from tests.services_real.needs import Missing, ended_with_us, free_port, wait_until


@contextmanager
def redis_server() -> Iterator[str]:
    """Start Redis on a free port of this machine and yield its address."""
    program = shutil.which("redis-server")
    if not program:
        raise Missing("Redis", "redis-server")
    port = free_port()
    with tempfile.TemporaryDirectory(prefix="rejoin-redis-") as folder:
        command = [program, "--port", str(port), "--bind", "127.0.0.1", "--save", ""]
        server = subprocess.Popen(
            [*command, "--appendonly", "no", "--dir", folder], stdout=subprocess.DEVNULL
        )
        try:
            with ended_with_us(["kill", str(server.pid)], Path(folder)):
                wait_until(lambda: _answers(port), what="Redis")
                yield f"redis://127.0.0.1:{port}/0"
        finally:
            server.terminate()
            server.wait(timeout=10)


class StoppableRedis:
    """A Redis server on one port that a test stops and starts again; it keeps nothing."""

    def __init__(self, program: str, folder: Path) -> None:
        self._folder, self._port = folder, free_port()
        self._command = [program, "--port", str(self._port), "--bind", "127.0.0.1", "--save", ""]
        self._server: subprocess.Popen[bytes] | None = None
        self.url = f"redis://127.0.0.1:{self._port}/0"

    def start(self) -> None:
        """Start it, empty."""
        command = [*self._command, "--appendonly", "no", "--dir", str(self._folder)]
        self._server = subprocess.Popen(command, stdout=subprocess.DEVNULL)
        wait_until(lambda: _answers(self._port), what="Redis")

    def stop(self) -> None:
        """Kill it: what waited in it is gone."""
        if self._server is not None:
            self._server.kill()
            self._server.wait(timeout=10)
            self._server = None


@contextmanager
def stoppable_redis() -> Iterator[StoppableRedis]:
    """A Redis of a test's own, started."""
    program = shutil.which("redis-server")
    if not program:
        raise Missing("Redis", "redis-server")
    with tempfile.TemporaryDirectory(prefix="rejoin-redis-") as folder:
        server = StoppableRedis(program, Path(folder))
        server.start()
        try:
            yield server
        finally:
            server.stop()


def _answers(port: int) -> bool:
    try:
        return bool(redis.Redis(port=port).ping())
    except redis.ConnectionError:
        return False
