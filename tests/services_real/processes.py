"""Processes of their own on one PostgreSQL database, that meet at a row which the test locks."""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import psycopg

from tests.services_real.needs import wait_until
from tests.services_real.worker import CHECKOUT

BEGIN = "import django; django.setup()\n"
WAITING = """
SELECT count(*) FROM pg_stat_activity
WHERE datname = current_database() AND wait_event_type = 'Lock'
"""


def started(url: str, script: str) -> subprocess.Popen[str]:
    """Start a process that runs this script, in Python with Django, on that database."""
    return subprocess.Popen(
        [sys.executable, "-c", BEGIN + script],
        cwd=CHECKOUT,
        env={**os.environ, "DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "tests.settings"},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def said(process: subprocess.Popen[str]) -> str:
    """Wait for its end, and return what it printed."""
    printed, wrong = process.communicate(timeout=60)
    assert process.returncode == 0, wrong[-3000:]
    return printed.strip()


@contextmanager
def ended(*processes: subprocess.Popen[str]) -> Iterator[None]:
    """None of them outlives the block."""
    try:
        yield
    finally:
        for process in processes:
            process.kill()
            process.wait()


@contextmanager
def held(url: str, lock: str, *, waiting: int) -> Iterator[None]:
    """Keep what a query locks until so many processes wait for it; then let go of it."""
    with psycopg.connect(url) as holder, psycopg.connect(url, autocommit=True) as onlooker:
        holder.execute(lock.encode())
        yield
        wait_until(
            lambda: onlooker.execute(WAITING).fetchone() == (waiting,),
            what=f"{waiting} waiting",
            seconds=60,
        )


def rows(url: str, query: str) -> list[tuple[object, ...]]:
    """What a query finds, over a connection of its own."""
    with psycopg.connect(url) as database:
        return database.execute(query.encode()).fetchall()
