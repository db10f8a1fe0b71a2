"""The product as gunicorn serves it, in a process group of its own."""

import os
import re
import shlex
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from tests.services_real.needs import NotReady, ended_with_us, free_port, wait_until
from tests.services_real.worker import CHECKOUT, Worker


def readme_arguments() -> list[str]:
    """Return what README's one gunicorn command is given."""
    told = re.findall(
        r"^uv run --no-dev gunicorn (.+)$", (CHECKOUT / "README.md").read_text(), re.M
    )
    (arguments,) = told
    return shlex.split(arguments, comments=True)


@contextmanager
def gunicorn(env: Mapping[str, str], log: Path) -> Iterator[str]:
    """Start gunicorn by README's own line and yield its address once it answers."""
    port = free_port()
    command = [sys.executable, "-m", "gunicorn", *readme_arguments()]
    with log.open("ab") as out:
        process = subprocess.Popen(
            [*command, "--bind", f"127.0.0.1:{port}"],
            cwd=CHECKOUT,
            env={**os.environ, "DJANGO_SETTINGS_MODULE": "sites.project.settings", **env},
            stdout=out,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
    running, url = Worker(process, log), f"http://127.0.0.1:{port}"
    try:
        with ended_with_us(["kill", "-9", "--", f"-{process.pid}"], log):
            wait_until(lambda: _answers(running, url), what="gunicorn", seconds=120)
            yield url
    finally:
        if process.poll() is None:
            running.kill()


def status_of(url: str, *, seconds: float = 10) -> int:
    """Return the status with which an address answers."""
    # Requested as by a proxy on the same machine: production knows only such names.
    asked = urllib.request.Request(url, headers={"Host": "rejoin.example.org"})
    try:
        with urllib.request.urlopen(asked, timeout=seconds) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        return int(error.code)


def _answers(running: Worker, url: str) -> bool:
    if running.process.poll() is not None:
        raise NotReady(f"gunicorn ended: {running.log.read_text()[-2000:]}")
    try:
        return status_of(f"{url}/healthz") in {200, 503}
    except OSError:
        return False
