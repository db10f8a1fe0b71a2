"""Measure one page: server time, queries, bytes, and what its bare SQL takes."""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from statistics import quantiles
from typing import Any

from django.db import connection
from django.test import Client

WARM_UP = 3
REQUESTS = 30
SQL_ROUNDS = 10


@dataclass(frozen=True)
class Budget:
    """What a page may take; times in milliseconds."""

    queries: int
    p95_ms: float = 300
    times_sql: float = 3
    beside_sql_ms: float = 80


@dataclass(frozen=True)
class Figures:
    """What a page took; times in milliseconds."""

    p50_ms: float
    p95_ms: float
    sql_ms: float
    queries: int
    kilobytes: float

    def over(self, budget: Budget) -> list[str]:
        """Return in words what is over budget."""
        beside = max(budget.times_sql * self.sql_ms, self.sql_ms + budget.beside_sql_ms)
        checks = {
            f"p95 {self.p95_ms:.0f} > {budget.p95_ms:.0f} ms": self.p95_ms > budget.p95_ms,
            f"p50 {self.p50_ms:.0f} > {beside:.0f} ms beside its SQL": self.p50_ms > beside,
            f"{self.queries} > {budget.queries} queries": self.queries > budget.queries,
        }
        return [words for words, is_over in checks.items() if is_over]


@dataclass
class Recorder:
    """Keeps the SQL texts that run through a connection, with their parameters."""

    statements: list[tuple[str, Any]] = field(default_factory=list)

    def __call__(
        self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any
    ) -> Any:
        """Note the statement and let it run."""
        self.statements.append((sql, params))
        return execute(sql, params, many, context)

    @property
    def reads(self) -> list[tuple[str, Any]]:
        """The statements that only read."""
        return [each for each in self.statements if each[0].lstrip().startswith("SELECT")]


class PageFails(Exception):
    """A page that should be measured did not answer with 200."""


def measure(client: Client, url: str, headers: Mapping[str, str]) -> Figures:
    """Ask for the page some 30 times, then run its SQL alone.

    Raises:
        PageFails: it does not answer with 200.
    """
    for _ in range(WARM_UP):
        _timed(client, url, headers)
    recorder = Recorder()
    with connection.execute_wrapper(recorder):
        _, size = _timed(client, url, headers)
    times = [_timed(client, url, headers)[0] for _ in range(REQUESTS)]
    return Figures(
        p50_ms=quantiles(times, n=20)[9],
        p95_ms=quantiles(times, n=20)[18],
        sql_ms=_bare(recorder),
        queries=len(recorder.statements),
        kilobytes=size / 1024,
    )


def slowest(client: Client, url: str, headers: Mapping[str, str]) -> tuple[float, str]:
    """Return the slowest statement of a page, in milliseconds and in full."""
    recorder = Recorder()
    with connection.execute_wrapper(recorder):
        _timed(client, url, headers)
    return max((_run([each]), str(each[0])) for each in recorder.reads)


def plan_of(client: Client, url: str, headers: Mapping[str, str]) -> list[str]:
    """Return how the database does a page's slowest statement, with its indexes and row counts."""
    recorder = Recorder()
    with connection.execute_wrapper(recorder):
        _timed(client, url, headers)
    _took, sql, params = max((_run([each]), *each) for each in recorder.reads)
    with connection.connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN (ANALYZE, COSTS OFF, TIMING OFF) {sql}", params)
        return [line for (line,) in cursor.fetchall()]


def _timed(client: Client, url: str, headers: Mapping[str, str]) -> tuple[float, int]:
    start = time.perf_counter()
    response: Any = client.get(url, headers=dict(headers))
    took = (time.perf_counter() - start) * 1000
    if response.status_code != 200:
        raise PageFails(f"{url} answered {response.status_code}")
    return took, len(
        b"".join(response.streaming_content) if response.streaming else response.content
    )


def _bare(recorder: Recorder) -> float:
    rounds = [_run(recorder.reads) for _ in range(SQL_ROUNDS)]
    return sorted(rounds)[SQL_ROUNDS // 2]


def _run(statements: list[tuple[str, Any]]) -> float:
    """Run the statements on a cursor of the driver and fetch every row; return milliseconds."""
    start = time.perf_counter()
    with connection.connection.cursor() as cursor:
        for sql, params in statements:
            cursor.execute(sql, params)
            cursor.fetchall()
    return (time.perf_counter() - start) * 1000
