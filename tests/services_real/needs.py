"""Real services that a test starts: what to do when one is not installed, and small helpers."""

import os
import shlex
import socket
import subprocess
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path


class Missing(Exception):
    """A program is not on this machine; the message names the package that has it."""

    def __init__(self, program: str, package: str) -> None:
        super().__init__(f"{program} is not installed; run: apt-get install {package}")


class NotReady(Exception):
    """A service was started and did not answer in time."""


def is_required() -> bool:
    """Return whether a missing service fails the tests instead of skipping them."""
    return os.environ.get("REQUIRE_SERVICES") == "1"


def free_port() -> int:
    """Return a port of this machine that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def wait_until(
    is_true: Callable[[], bool], *, what: str, seconds: float = 20, every: float = 0.05
) -> None:
    """Return as soon as `is_true()`.

    Raises:
        NotReady: it was not within `seconds`.
    """
    end = time.monotonic() + seconds
    while not is_true():
        if time.monotonic() > end:
            raise NotReady(f"{what}: not within {seconds:g} s")
        time.sleep(every)


@contextmanager
def ended_with_us(stop: Sequence[str], folder: Path) -> Iterator[None]:
    """While in the block, a watcher runs: when this process is killed, the service ends too.

    Args:
        stop: the command that ends the service. folder: what is removed after that.
    """
    watch = (
        f"while kill -0 {os.getpid()} 2>/dev/null; do sleep 1; done; "
        f"{shlex.join(stop)}; rm -rf {shlex.quote(str(folder))}"
    )
    watcher = subprocess.Popen(
        ["sh", "-c", watch],
        cwd="/",
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        yield
    finally:
        watcher.kill()
        watcher.wait()
