"""Bodies of job sheets by the thousand, on PostgreSQL: run as a script.

    uv run python -m tests.bench.bench_bodies [bodies [seed]]

Bar: every one is accepted, refused in words or a conflict; none trips us.
"""

import os
import subprocess
import sys

from tests.services_real.postgres import cluster

PYTEST = [sys.executable, "-m", "pytest", "-n", "0"]
TEST = "tests/services/sheet/test_poison_and_clocks.py"


def main(bodies: int, seed: int) -> int:
    """Draw them all on a cluster of its own, and return pytest's status."""
    with cluster() as url:
        done = subprocess.run(
            [*PYTEST, TEST, f"--hypothesis-seed={seed}", "--hypothesis-show-statistics"],
            env={**os.environ, "DATABASE_URL": url, "SHEET_BODIES": str(bodies)},
            check=False,
        )
    print(f"{bodies} bodies from seed {seed} on PostgreSQL: status {done.returncode}")
    return done.returncode


if __name__ == "__main__":
    given = [int(each) for each in sys.argv[1:]] + [1000, 20260110][len(sys.argv) - 1 :]
    sys.exit(main(*given))
