"""How many simulated searches end under the limit that says "nine times of ten", at full size.

uv run python -m tests.bench.bench_minutes              3,000 searches
uv run python -m tests.bench.bench_minutes --scale 0.1  a quick look, within wider bars

Bar: 88 to 92 % in the standard world, where the plan knows how tests err.
"""

import argparse
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from os import cpu_count

import numpy as np

from faults.locating.engines.simulation.compare import DEFAULT_SEED
from tests.engines.locating.held_to_minutes import is_below

SEARCHES = 3000
SAID, WITHIN = 0.90, 0.02


def main() -> int:
    """Count, print; return 1 where the bar was missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scale", type=float, default=1.0, help="part of the full size (1)")
    count = round(SEARCHES * parser.parse_args().scale)
    # Fewer searches scatter more: the bar widens as the standard error does.
    within = WITHIN * max(1.0, (SEARCHES / count) ** 0.5)
    start = time.perf_counter()
    with ProcessPoolExecutor(cpu_count()) as pool:
        below = list(pool.map(is_below, range(DEFAULT_SEED, DEFAULT_SEED + count), chunksize=20))
    share = float(np.mean(below))
    took = time.perf_counter() - start
    print(
        f"{count} searches: {share:.1%} under the limit, bar {SAID - within:.1%} to "
        f"{SAID + within:.1%} ({took:.0f} s)"
    )
    return 0 if abs(share - SAID) <= within else 1


if __name__ == "__main__":
    sys.exit(main())
