"""Run a module's own tests against its mutants, each in a process forked from a warm one.

The parent holds pytest, hypothesis and numpy, and none of our modules: the child reads the
mutant where the module would be read, so every `from x import y` sees it.
"""

import importlib.abc
import importlib.util
import os
import signal
import sys
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.machinery import ModuleSpec
from types import ModuleType

import numpy  # noqa: F401 - imported here once, for all children
import pytest
import scipy.stats  # noqa: F401
from hypothesis import HealthCheck, Phase, settings

from tests.mutation.mutants import Mutant, path_of
from tests.mutation.table import GUARDS, NEEDS_DJANGO, own_tests

# The same examples each time, and no search for a smaller one: one that fails is enough.
settings.register_profile(
    "mutation",
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)

PLAIN = ["-o", "addopts=", "-q", "-x", "-p", "no:cacheprovider"]
ENGINES = [*PLAIN, "--noconftest", "-p", "no:django", "-p", "no:xdist"]
ENGINES += [f"--deselect=tests/engines/{name}" for name in NEEDS_DJANGO]
PASSED, FAILED, INTERRUPTED = 0, 1, 2
LEAST_SECONDS = 30.0
TIMES = 8


class _Put(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Read one module from a text."""

    def __init__(self, mutant: Mutant) -> None:
        self._mutant = mutant
        self._path = str(path_of(mutant.module))

    def find_spec(self, fullname: str, path: object, target: object = None) -> ModuleSpec | None:
        if fullname != self._mutant.module:
            return None
        return importlib.util.spec_from_loader(fullname, self, origin=self._path)

    def exec_module(self, module: ModuleType) -> None:
        module.__file__ = self._path
        exec(compile(self._mutant.source, self._path, "exec"), module.__dict__)


@dataclass
class _Child:
    mutant: Mutant | None
    pid: int
    started: float


def _fork(tests: tuple[str, ...], mutant: Mutant | None, *, is_guard: bool) -> _Child:
    pid = os.fork()
    if pid:
        return _Child(mutant, pid, time.monotonic())
    status = 70
    try:
        os.setsid()
        nowhere = os.open(os.devnull, os.O_WRONLY)
        for stream in (1, 2):
            os.dup2(nowhere, stream)
        if mutant is not None:
            if mutant.module in sys.modules:
                os._exit(71)
            sys.meta_path.insert(0, _Put(mutant))
        plain = ENGINES
        if is_guard:
            plain = PLAIN
            _use_a_database_of_its_own()
        settings.load_profile("mutation")
        status = int(pytest.main([*plain, *tests]))
    finally:
        os._exit(status)


def _use_a_database_of_its_own() -> None:
    from django.db import connection

    connection.settings_dict["NAME"] = f"{connection.settings_dict['NAME']}-{os.getpid()}"


def baseline(module: str) -> float:
    """Return how many seconds a module's own tests take when nothing is wrong.

    Raises:
        SystemExit: they do not pass.
    """
    return _seconds_of(own_tests(module), is_guard=module in GUARDS)


@cache
def _seconds_of(tests: tuple[str, ...], *, is_guard: bool) -> float:
    child = _fork(tests, None, is_guard=is_guard)
    _, status = os.waitpid(child.pid, 0)
    if os.waitstatus_to_exitcode(status) != PASSED:
        raise SystemExit(f"These do not pass as they are: {' '.join(tests)}")
    return time.monotonic() - child.started


def outcomes(mutants: Iterable[Mutant], *, processes: int) -> Iterator[tuple[Mutant, str, float]]:
    """Yield each mutant with "killed", "survived" or "timeout", and the seconds it took."""
    waiting, running = iter(mutants), list[_Child]()
    is_more = True
    while running or is_more:
        while is_more and len(running) < processes:
            mutant = next(waiting, None)
            is_more = mutant is not None
            if mutant is not None:
                baseline(mutant.module)  # measured before its first mutant
                is_guard = mutant.module in GUARDS
                running.append(_fork(own_tests(mutant.module), mutant, is_guard=is_guard))
        time.sleep(0.02)
        for child in list(running):
            assert child.mutant is not None
            took = time.monotonic() - child.started
            pid, status = os.waitpid(child.pid, os.WNOHANG)
            if pid:
                running.remove(child)
                yield child.mutant, _verdict(child.mutant, os.waitstatus_to_exitcode(status)), took
            elif took > max(LEAST_SECONDS, TIMES * baseline(child.mutant.module)):
                os.killpg(child.pid, signal.SIGKILL)
                os.waitpid(child.pid, 0)
                running.remove(child)
                yield child.mutant, "timeout", took


def _verdict(mutant: Mutant, status: int) -> str:
    """A mutant that cannot be imported, or that kills its process, is found too."""
    if status == PASSED:
        return "survived"
    if status in (FAILED, INTERRUPTED) or status < 0:
        return "killed"
    raise SystemExit(f"pytest ended with {status} for {mutant.name}")
