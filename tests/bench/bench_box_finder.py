"""How often a box lies in the circle that says 90 %, on invented surveys, at full size.

uv run python -m tests.bench.bench_box_finder                2,000 surveys of each of 36 kinds
uv run python -m tests.bench.bench_box_finder --scale 0.1    a quick look, within wider bars

Bar: 88 to 92 % of each kind, and of all 89.5 to 90.5 %. Half an hour on a busy machine.
"""

import argparse
import sys
import time

import numpy as np

from tests.engines.ground.box_worlds import Tally, played, worlds

EACH, SEED = 2_000, 20
SAID, WITHIN, ALL_WITHIN = 0.9, 0.02, 0.005


def main() -> int:
    """Play, print; return 1 where a bar was missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scale", type=float, default=1.0, help="part of the full size (1)")
    each = round(EACH * parser.parse_args().scale)
    wider = max(1.0, (EACH / each) ** 0.5)
    started = time.perf_counter()
    draws, total, missed = np.random.default_rng(SEED), Tally(), 0
    for world in worlds():
        one = played(world, each, draws)
        is_held_to = abs(one.share - SAID) <= WITHIN * wider
        missed += not is_held_to
        total.held, total.drawn = total.held + one.held, total.drawn + one.drawn
        print(
            f"{'' if is_held_to else 'MISSED: '}{world}: {one.share:.2%} of {one.drawn:,}, "
            f"{one.refused:,} without a place",
            flush=True,
        )
    missed += abs(total.share - SAID) > ALL_WITHIN * wider
    print(
        f"all: {total.share:.2%} of {total.drawn:,}; bars {SAID - WITHIN * wider:.1%} to "
        f"{SAID + WITHIN * wider:.1%} each; {time.perf_counter() - started:.0f} s"
    )
    return int(missed > 0)


if __name__ == "__main__":
    sys.exit(main())
