"""Collect what a verb touches, and rebuild what is derived from it once, at the verb's end.

Two derived tables follow this way: the waits of stations and the ledger of water.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, Generic, Protocol, TypeVar


class Rebuilds(Protocol):
    """Sets of primary keys by name, and how to rebuild what is derived from those rows."""

    @property
    def rebuild(self) -> Callable[..., None]:
        """Rebuild what the keys touch; `Collector.kept` passes its keyword arguments on to it."""


T = TypeVar("T", bound=Rebuilds)


class Collector(Generic[T]):
    """Where keys are collected; outside of `kept` each `touch` rebuilds at once."""

    def __init__(self, name: str, empty: Callable[[], T]) -> None:
        self._empty = empty
        self._touched: ContextVar[T | None] = ContextVar(name, default=None)

    @contextmanager
    def kept(self, **how: Any) -> Iterator[None]:
        """Collect what is touched inside, and rebuild once at the end; an error rebuilds nothing.

        Args:
            how: keyword arguments passed on to `rebuild`.
        """
        touched = self._empty()
        token = self._touched.set(touched)
        try:
            yield
        finally:
            self._touched.reset(token)
        touched.rebuild(**how)

    def touch(self, **keys: Iterable[Any]) -> None:
        """Say what was changed, by the names of the sets; what is empty or None is left out."""
        touched = self._touched.get()
        target = self._empty() if touched is None else touched
        for name, values in keys.items():
            getattr(target, name).update(value for value in values if value is not None)
        if touched is None:
            target.rebuild()
