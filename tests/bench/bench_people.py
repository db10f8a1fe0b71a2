"""Fifty people at work, a hundred phones back in signal, ten files beside: run as a script.

    uv run python -m tests.bench.bench_people [--people 50] [--seconds 1800] [--phones 100]
        [--things 50] [--files 10] [--register demo]

The service runs as its operator starts it (gunicorn, worker and beat by the unit files, PostgreSQL
and Redis of its own), on the demo's register. People of all roles open pages, read for 3 to 13 s,
follow a link of the page, and write a reading now and then. After a third of the time the files are
asked for, all at once; after a half all phones send all that they hold, 20 things a request.

Bars: pages p95 < 500 ms over the whole time and nothing wrong; a request of a phone p95 < 3 s; what
was acknowledged is there once.
A quick look, to see that it works: --people 10 --seconds 30 --phones 5 --register small
"""

import argparse
import json
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

from tests.bench.kills import reckoning
from tests.bench.kills.ledger import Ledger
from tests.bench.kills.services import Service, service, started
from tests.bench.people.figures import Figures, took
from tests.bench.people.phones import come_back, take_files
from tests.bench.people.walking import Walker

SETTINGS = "tests.settings_people"
DEMO, SMALL = "demo", "small"
PAGES_P95_MS, PHONES_P95_MS = 500.0, 3000.0
SLOWEST_SHOWN = 15
TAKE_FILES = {"owner", "water manager", "dispatcher"}


def main(given: argparse.Namespace, migrated: str = "") -> int:
    """Let all of them work, print what came of it, and return how many bars were broken.

    Args:
        migrated: the address of a database whose tables are copied; empty = made anew.
    """
    folder = tempfile.TemporaryDirectory(prefix="rejoin-people-")
    with folder as name, service(Path(name), migrated, SETTINGS) as it:
        if given.register == DEMO:
            # The demo refuses to be made where other machines may ask.
            it.run("demo", "--yes", "--no-serve", without=["ALLOWED_HOSTS"])
        words = (str(given.people), str(given.phones))
        made = it.python("-m", "tests.bench.people.scene", *words)
        scene = json.loads(made.splitlines()[-1])
        figures, ledger = Figures(), Ledger()
        with started(it):
            _work(it, scene, given, figures, ledger)
        return _report(it, figures, ledger, given)


def _work(
    it: Service,
    scene: dict[str, Any],
    given: argparse.Namespace,
    figures: Figures,
    ledger: Ledger,
) -> None:
    is_over, began = threading.Event(), time.monotonic()
    walkers = [
        Walker(it.url, person, scene["stations"], given.seed + number)
        for number, person in enumerate(scene["people"])
    ]
    threads = [
        threading.Thread(target=each.walk, args=(is_over, figures, ledger)) for each in walkers
    ]
    for thread in threads:
        thread.start()
    sessions = [each["session"] for each in scene["people"] if each["role"] in TAKE_FILES]
    is_over.wait(given.seconds / 3)
    take_files(it.url, sessions, given.files, figures)
    is_over.wait(max(0.0, began + given.seconds / 2 - time.monotonic()))
    come_back(it.url, scene["phones"], given.things, figures, ledger)
    is_over.wait(max(0.0, began + given.seconds - time.monotonic()))
    is_over.set()
    for thread in threads:
        thread.join()


def _report(it: Service, figures: Figures, ledger: Ledger, given: argparse.Namespace) -> int:
    pages, phones, files = figures.pages(), took(figures.of_phones_ms), took(figures.of_files_ms)
    whole = took(figures.whole_phones_ms)
    print(f"\n{given.people} people for {given.seconds} s, seed {given.seed}, {given.register}")
    print(f"\n{'':60s} times    p50    p95   most ms")
    rows = {"pages": pages, "a phone's request": phones, "a phone's all": whole, "files": files}
    by_route = {route: took(times) for route, times in figures.times_ms.items()}
    slowest = sorted(by_route, key=lambda route: -by_route[route].p95_ms)[:SLOWEST_SHOWN]
    rows |= {route: by_route[route] for route in slowest}
    for name, each in rows.items():
        print(
            f"{name[:60]:60s}{each.count:6d}{each.p50_ms:7.0f}{each.p95_ms:7.0f}{each.most_ms:7.0f}"
        )
    print(f"phones were asked {figures.come_again} times to come again later")
    lines = [each for each in reckoning.lines(it, ledger) if each.begun]
    for line in lines:
        print(
            f"{line.kind}: {line.acknowledged} of {line.begun} acknowledged, {line.lost} lost, "
            f"{line.doubled} doubled, {line.turned_away} turned away"
        )
    away = {row.turned_away for row in ledger.rows if row.turned_away}
    for words, count in figures.wrong.most_common():
        print(f"WRONG {count} times: {words}")
    for words in sorted(away)[:5]:
        print(f"WRONG turned away: {words}")
    bars = {
        f"pages p95 {pages.p95_ms:.0f} ms, bar {PAGES_P95_MS:.0f}": pages.p95_ms > PAGES_P95_MS,
        f"phones p95 {phones.p95_ms:.0f} ms, bar {PHONES_P95_MS:.0f}": phones.p95_ms
        > PHONES_P95_MS,
        "nothing wrong": bool(figures.wrong),
        "all once": any(line.is_bad for line in lines),
    }
    for name, is_broken in bars.items():
        print(f"{'MISSED' if is_broken else 'kept'}: {name}")
    return sum(bars.values())


def parsed(words: list[str]) -> argparse.Namespace:
    """Return what was asked for on the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=50)
    parser.add_argument("--seconds", type=int, default=1800)
    parser.add_argument("--phones", type=int, default=100)
    parser.add_argument("--things", type=int, default=50)
    parser.add_argument("--files", type=int, default=10)
    parser.add_argument("--seed", type=int, default=20261130)
    parser.add_argument("--register", choices=(DEMO, SMALL), default=DEMO)
    return parser.parse_args(words)


if __name__ == "__main__":
    sys.exit(bool(main(parsed(sys.argv[1:]))))
