"""A real Celery worker in a process group of its own, so that a test may kill all of it."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.services_real.needs import NotReady, ended_with_us, wait_until

CHECKOUT = Path(__file__).resolve().parent.parent.parent
WORKER = ["worker", "--concurrency", "1", "--without-mingle"]
BEAT = ["beat", "--pidfile", ""]


@dataclass
class Worker:
    """A running worker."""

    process: "subprocess.Popen[bytes]"
    log: Path

    def kill(self) -> None:
        """End parent and children at once, as a power cut would."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(timeout=10)

    def kill_the_child_at_work(self) -> None:
        """End the process that does the work and leave its parent, as a lack of memory would."""
        children = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children")
        for child in children.read_text().split():
            os.kill(int(child), signal.SIGKILL)


@contextmanager
def worker(env: Mapping[str, str], log: Path) -> Iterator[Worker]:
    """Start a worker with these surroundings and wait until it takes work."""
    with _celery(WORKER, " ready.", env, log) as running:
        yield running


@contextmanager
def beat(env: Mapping[str, str], log: Path) -> Iterator[Worker]:
    """Start a beat, which asks for regular rounds, and wait until it does."""
    with _celery(BEAT, "beat: Starting...", env, log) as running:
        yield running


@contextmanager
def _celery(words: list[str], ready: str, env: Mapping[str, str], log: Path) -> Iterator[Worker]:
    command = [sys.executable, "-m", "celery", "-A", "sites.project.celery"]
    with log.open("ab") as out:
        process = subprocess.Popen(
            [*command, *words, "--loglevel", "INFO"],
            cwd=CHECKOUT,
            env={**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings_worker", **env},
            stdout=out,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
    running = Worker(process, log)
    seen = log.read_text().count(ready)
    try:
        with ended_with_us(["kill", "-9", "--", f"-{process.pid}"], log):
            wait_until(lambda: _is_ready(running, ready, seen), what="Celery", seconds=40)
            yield running
    finally:
        # A warm stop takes seconds and the tests keep nothing that it would save.
        if running.process.poll() is None:
            running.kill()


def _is_ready(running: Worker, ready: str, seen: int) -> bool:
    text = running.log.read_text()
    if running.process.poll() is not None:
        raise NotReady(f"Celery ended: {text[-2000:]}")
    return text.count(ready) > seen
