"""A service that a test started ends with the tests, even when those are killed."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest

from tests.services_real.needs import wait_until
from tests.services_real.worker import CHECKOUT

pytestmark = pytest.mark.service

HOLD = """
import time
from tests.services_real.postgres import cluster
with cluster() as url:
    print(url, flush=True)
    time.sleep(60)
"""


def _answers(url: str) -> bool:
    try:
        psycopg.connect(url, connect_timeout=2).close()
    except psycopg.OperationalError:
        return False
    return True


@pytest.mark.usefixtures("postgres_url")  # says why, where PostgreSQL is missing
def test_a_cluster_ends_and_goes_when_its_process_is_killed() -> None:
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLD], cwd=CHECKOUT, stdout=subprocess.PIPE, text=True
    )
    assert holder.stdout
    url = holder.stdout.readline().strip()
    with psycopg.connect(url) as server:
        row = server.execute("SHOW data_directory").fetchone()
    assert row
    folder = Path(row[0])
    assert folder.exists()
    os.kill(holder.pid, signal.SIGKILL)
    holder.wait(timeout=10)
    wait_until(lambda: not _answers(url), what="The end of the cluster")
    wait_until(lambda: not folder.parent.exists(), what="The end of its folder")
