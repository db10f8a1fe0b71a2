"""What each request took, by who asked for what, and what was wrong."""

import re
import threading
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

_REF = re.compile(r"/[2-9b-hj-np-z]{10}(?=/)")
_NUMBER = re.compile(r"/\d+(?=/)")


@dataclass(frozen=True)
class Took:
    """How many there were of a kind, and their times in milliseconds."""

    count: int
    p50_ms: float
    p95_ms: float
    most_ms: float


def took(times_ms: Iterable[float]) -> Took:
    """Return the figures of some times, by the nearest rank; of none all are 0."""
    rows = sorted(times_ms)
    if not rows:
        return Took(0, 0.0, 0.0, 0.0)

    def rank(percent: int) -> float:
        return rows[-(-percent * len(rows) // 100) - 1]

    return Took(len(rows), rank(50), rank(95), rows[-1])


def route_of(path: str) -> str:
    """Return the address of a page without which thing it is about and what it was asked."""
    plain = path.partition("?")[0]
    return _NUMBER.sub("/N", _REF.sub("/REF", plain))


@dataclass
class Figures:
    """All requests, from all who ask; safe to be written to from several threads."""

    times_ms: defaultdict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    of_phones_ms: list[float] = field(default_factory=list)
    whole_phones_ms: list[float] = field(default_factory=list)
    of_files_ms: list[float] = field(default_factory=list)
    come_again: int = 0
    wrong: Counter[str] = field(default_factory=Counter)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def page(self, route: str, ms: float) -> None:
        """Note a page that was answered."""
        with self._lock:
            self.times_ms[route].append(ms)

    def went_wrong(self, what: str) -> None:
        """Note what should not be."""
        with self._lock:
            self.wrong[what] += 1

    def asked_to_come_again(self) -> None:
        """Note a phone that was asked to send later, because others were sending."""
        with self._lock:
            self.come_again += 1

    def pages(self) -> Took:
        """Return the figures of all pages together."""
        return took(each for times in self.times_ms.values() for each in times)
