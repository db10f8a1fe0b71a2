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


def _answers(port: int) -> bool:
    try:
        return bool(redis.Redis(port=port).ping())
    except redis.ConnectionError:
        return False
