"""How often the chances of a bring-home test hold on invented wires, at full size.

uv run python -m tests.bench.bench_bring_home              12,000 tests of 93 to 97 %, some minutes
uv run python -m tests.bench.bench_bring_home --scale 0.1  a quick look, within wider bars

Bars: of the tests after which 93 to 97 % is said, 94 to 96 % of the wires are sound; of those that
are said to be sound, less than 1 % are not.
"""

import argparse
import sys
import time

from tests.engines.readings.loop_worlds import played_until

NEAR_95, SEED = 12_000, 19
SAID, WITHIN, MOST_WRONG = 0.95, 0.01, 0.01


def main() -> int:
    """Play, print; return 1 where a bar was missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scale", type=float, default=1.0, help="part of the full size (1)")
    wanted = round(NEAR_95 * parser.parse_args().scale)
    within = WITHIN * max(1.0, (NEAR_95 / wanted) ** 0.5)
    started = time.perf_counter()
    tally = played_until(wanted, SEED)
    held, wrong = tally.near_95_sound / tally.near_95, tally.wrong / tally.said_sound
    is_held_to = abs(held - SAID) <= within and wrong < MOST_WRONG
    print(
        f"{'' if is_held_to else 'MISSED: '}said 93 to 97 %: {held:.2%} of {tally.near_95:,} are "
        f"sound, bar {SAID - within:.1%} to {SAID + within:.1%}; said sound: {wrong:.2%} of "
        f"{tally.said_sound:,} are not, bar {MOST_WRONG:.0%}; said broken: "
        f"{tally.broken_but_sound / tally.said_broken:.2%} of {tally.said_broken:,} are sound; "
        f"{time.perf_counter() - started:.0f} s"
    )
    return int(not is_held_to)


if __name__ == "__main__":
    sys.exit(main())
