"""The service as its operator starts it, killed at random under writes: run as a script.

    uv run python -m tests.bench.bench_kills [--kills 500] [--seed 20261130]

Gunicorn's workers and gunicorn, Celery's children, its worker and beat, Redis, PostgreSQL (stopped
at once) and what serves one of its connections are killed; the line to PostgreSQL is cut, or lets
no answer through; files cannot be written; the clocks of all programs jump ahead or back by up to
an hour, and back again. Programs, pages and phones write meanwhile, and send
again what was not acknowledged.

Bar: of what was acknowledged nothing is lost or doubled, and nothing was turned away; no derived
row differs from the records; each mail arrives once or twice under one Message-ID.
Not tried: the clock of PostgreSQL jumping, its own disk full, two hosts.
"""

import argparse
import json
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from tests.bench.kills import reckoning
from tests.bench.kills.clock import set_clock
from tests.bench.kills.harm import MOST_OFF_S, Harm
from tests.bench.kills.ledger import Ledger
from tests.bench.kills.services import Service, service, started
from tests.bench.kills.writing import Writers

STATIONS_A_KILL, READERS_A_KILL = 8, 1
LEAST_STATIONS, LEAST_READERS = 240, 10
ROUNDS_EVERY_S = 25.0
DRAINED_WITHIN_S = 120.0


def main(kills: int, seed: int, migrated: str = "") -> int:
    """Kill so often, print what came of it, and return how many bars were broken.

    Args:
        migrated: the address of a database whose tables are copied; empty = made anew.
    """
    folder = tempfile.TemporaryDirectory(prefix="rejoin-kills-")
    with folder as name, service(Path(name), migrated) as it:
        stations = max(LEAST_STATIONS, STATIONS_A_KILL * kills)
        readers = max(LEAST_READERS, READERS_A_KILL * kills)
        made = it.python("-m", "tests.bench.kills.scene", str(stations), str(readers))
        ledger, harm = Ledger(), Harm(it, seed)
        people = json.loads(made.splitlines()[-1])
        began = time.monotonic()
        with started(it):
            writers = Writers(it.url, people, ledger, seed)
            with _rounds(it):
                writers.start()
                for done in harm.do(kills):
                    if done % 25 == 0:
                        print(f"{done} kills, {len(ledger.rows)} writes", flush=True)
                writers.stop()
            it.wait_until_well()
            _drain(it)
        took = time.monotonic() - began
        return _report(it, ledger, harm.times, writers.problems, f"seed {seed}, {took:.0f} s")


@contextmanager
def _rounds(it: Service) -> Iterator[None]:
    """While in the block, all rounds are done now and then, as `rejoin run_due --now` does them."""
    over = threading.Event()

    def go_on() -> None:
        while not over.wait(ROUNDS_EVERY_S):
            with suppress(RuntimeError):  # it met a kill: the next one finds what waits
                it.run("run_due", "--now")

    thread = threading.Thread(target=go_on, daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


def _drain(it: Service) -> None:
    """Do all rounds until no mail waits.

    An hour later: what was written while a clock was ahead waits until its time has come.
    """
    set_clock(it.clock, MOST_OFF_S)
    end = time.monotonic() + DRAINED_WITHIN_S
    while True:
        it.run("run_due", "--now")
        if not reckoning.unsent(it) or time.monotonic() > end:
            return
        time.sleep(1)


def _report(it: Service, ledger: Ledger, times: Counter[str], problems: list[str], how: str) -> int:
    lines, mails = reckoning.lines(it, ledger), reckoning.mails(it)
    broken, differing = reckoning.broken_photos(it), reckoning.differing(it)
    print(f"\n{sum(times.values())} kills, {how}")
    for what, count in sorted(times.items()):
        print(f"  {what:24s}{count:6d}")
    print("\nwritten                     begun  sent  acknowledged  lost  doubled  turned away")
    for row in lines:
        print(
            f"  {row.kind:24s}{row.begun:7d}{row.sendings:6d}{row.acknowledged:14d}{row.lost:6d}"
            f"{row.doubled:9d}{row.turned_away:13d}"
        )
    print(f"  in all {sum(row.acknowledged for row in lines)} acknowledged")
    print(f"\nanswers: {dict(ledger.statuses.most_common())}")
    print(f"photos whose file is not whole: {len(broken)}")
    print(f"files that no photo names: {reckoning.files_without_a_row(it)}")
    print(f"derived rows that differ from the records: {differing}")
    print(
        f"mails: {mails.written} written, {mails.taken_twice} arrived twice, {mails.taken_more} "
        f"more often, {mails.not_taken} never, {mails.unknown} under another Message-ID"
    )
    away = [f"{row.kind}: {row.turned_away}" for row in ledger.rows if row.turned_away]
    for words in [*away[:5], *problems[:5]]:
        print(f"WRONG {words}")
    bars = [row.is_bad for row in lines] + [bool(broken), mails.is_bad, bool(problems)]
    return sum(bars) + sum(differing.values())


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=500)
    parser.add_argument("--seed", type=int, default=20261130)
    given = parser.parse_args()
    sys.exit(bool(main(given.kills, given.seed)))
