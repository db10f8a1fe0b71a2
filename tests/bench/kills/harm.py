"""What is done to the service while it is written to, drawn from a shuffled deck."""

import os
import random
import resource
import signal
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import suppress

import psycopg

from tests.bench.kills.clock import LOOK_EVERY_S, set_clock
from tests.bench.kills.services import Service

PAUSE_S = (0.3, 2.0)
# One kill in so many does not wait until the service answers again after the one before.
SHARE_IN_A_ROW = 0.25
OUTAGE_S = (0.2, 1.5)
# From what phones are forgiven to an hour, as when summer time was set by hand.
LEAST_OFF_S, MOST_OFF_S = 60.0, 3600.0
# Photos are larger, and what else a web process writes into files is its log.
LOOK_AGAIN_S = 0.3
FULL_AT_BYTES = 8192
A_BACKEND = """
SELECT pid FROM pg_stat_activity
WHERE datname = current_database() AND pid <> pg_backend_pid() ORDER BY backend_start
"""


class Harm:
    """Kills and other faults, each of which waits until what it takes away is given back.

    What a kill ends is started again by what keeps it running, while the next kill may come.
    """

    def __init__(self, service: Service, seed: int) -> None:
        self._service, self._draw = service, random.Random(seed)
        self.times: Counter[str] = Counter()
        self._ways: dict[str, Callable[[], bool]] = {
            "gunicorn worker": lambda: service.web.kill_a_child(self._draw.random()),
            "gunicorn": service.web.kill,
            "phones' worker": lambda: service.phones.kill_a_child(self._draw.random()),
            "phones' gunicorn": service.phones.kill,
            "Celery child": lambda: service.worker.kill_a_child(self._draw.random()),
            "Celery worker": service.worker.kill,
            "beat": service.beat.kill,
            "Redis": self._redis,
            "PostgreSQL": self._postgresql,
            "PostgreSQL backend": self._backend,
            "line cut": lambda: self._line("cut"),
            "line without answers": lambda: self._line("silent"),
            "disk full": self._disk_full,
            "clock ahead": lambda: self._clock(1),
            "clock behind": lambda: self._clock(-1),
        }

    def do(self, kills: int) -> Iterator[int]:
        """Do so many, and yield how many are done after each."""
        deck: list[str] = []
        while sum(self.times.values()) < kills:
            if not deck:
                deck = list(self._ways)
                self._draw.shuffle(deck)
            what = deck.pop()
            if not self._ways[what]():  # it is not up just now
                time.sleep(LOOK_AGAIN_S)
                deck.insert(0, what)
                continue
            self.times[what] += 1
            if self._draw.random() > SHARE_IN_A_ROW:
                self._service.wait_until_well()
            time.sleep(self._draw.uniform(*PAUSE_S))
            yield sum(self.times.values())

    def _outage(self) -> float:
        return self._draw.uniform(*OUTAGE_S)

    def _redis(self) -> bool:
        self._service.redis.stop()
        time.sleep(self._outage())
        self._service.redis.start()
        return True

    def _postgresql(self) -> bool:
        self._service.database.stop()
        time.sleep(self._outage())
        self._service.database.start()
        return True

    def _backend(self) -> bool:
        """Kill what serves one connection: PostgreSQL ends all others and recovers."""
        with suppress(psycopg.OperationalError, ProcessLookupError):
            with psycopg.connect(self._service.direct, autocommit=True) as database:
                found = [int(row[0]) for row in database.execute(A_BACKEND)]
            if found:
                os.kill(self._draw.choice(found), signal.SIGKILL)
                return True
        return False

    def _line(self, word: str) -> bool:
        self._service.line.order(word, self._outage())
        return True

    def _clock(self, way: int) -> bool:
        """For a while the clocks of all programs are off, then right again."""
        off_s = way * self._draw.uniform(LEAST_OFF_S, MOST_OFF_S)
        for each in (off_s, 0.0):
            set_clock(self._service.clock, each)
            time.sleep(LOOK_EVERY_S + self._outage())
        return True

    def _disk_full(self) -> bool:
        """For a while no process of gunicorn can write a file larger than a few kB."""
        began = self._limit(FULL_AT_BYTES)
        time.sleep(self._outage())
        # The parent first: children that it starts from now on have no limit.
        self._limit(resource.RLIM_INFINITY)
        return began

    def _limit(self, size_bytes: int) -> bool:
        served = (self._service.web, self._service.phones)
        pids = [pid for each in served for pid in (each.pid, *each.children()) if pid]
        for pid in pids:
            with suppress(ProcessLookupError):
                _soft, hard = resource.prlimit(pid, resource.RLIMIT_FSIZE)
                resource.prlimit(pid, resource.RLIMIT_FSIZE, (size_bytes, hard))
        return len(pids) > len(served)
