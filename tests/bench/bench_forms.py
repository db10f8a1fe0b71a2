"""Every address with drawn queries and forms by the thousand: run as a script.

    uv run python -m tests.bench.bench_forms [requests [seed]]

As each role and as nobody, with values that nobody means, on SQLite and again on PostgreSQL, which
refuses other things. Bar: of 20,000 none trips us, and what is refused writes nothing.
"""

import os
import subprocess
import sys

from tests.services_real.postgres import cluster

PYTEST = [sys.executable, "-m", "pytest", "-n", "0", "-s", "--show-capture=no", "--tb=no", "-q"]
TEST = "tests/web/test_drawn_requests.py"


def main(requests: int, seed: int) -> int:
    """Send half to each database, and return how many of the two tripped."""
    half = requests // 2
    print(f"{half} requests from seed {seed} on SQLite", flush=True)
    tripped = _run("", half, seed)
    print(f"{half} requests from seed {seed + 1} on PostgreSQL", flush=True)
    with cluster() as url:
        tripped += _run(url, half, seed + 1)
    return tripped


def _run(url: str, requests: int, seed: int) -> int:
    told = {"REJOIN_DRAWN_REQUESTS": str(requests), "REJOIN_DRAWN_SEED": str(seed)}
    environment = {**os.environ, **told, "DATABASE_URL": url}
    if not url:
        del environment["DATABASE_URL"]
    return int(subprocess.run([*PYTEST, TEST], env=environment, check=False).returncode != 0)


if __name__ == "__main__":
    given = [int(each) for each in sys.argv[1:]] + [20_000, 20261130][len(sys.argv) - 1 :]
    sys.exit(main(*given))
