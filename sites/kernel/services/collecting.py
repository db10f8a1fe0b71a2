"""Collect what a verb touches, and rebuild what is derived from it once, at the verb's end.

All derived tables follow this way: each has a `Collector` and says which rows it listens to.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, Generic, Protocol, TypeVar

from django.db.models import Model
from django.db.models.signals import post_delete, post_save
from django.dispatch import Signal

# What writes in bulk, which sends no `post_save`, may send this instead: `sender` is the model,
# `records` are those that it made or changed.
bulk_written = Signal()


class Rebuilds(Protocol):
    """Sets of primary keys by name, and how to rebuild what is derived from those rows."""

    @property
    def rebuild(self) -> Callable[..., None]:
        """Rebuild what the keys touch; `Collector.kept` passes its keyword arguments on to it."""


T = TypeVar("T", bound=Rebuilds)


class Collector(Generic[T]):
    """Where keys are collected; outside of `kept` each `touch` rebuilds at once."""

    def __init__(self, name: str, empty: Callable[[], T]) -> None:
        self._name, self._empty = name, empty
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

    def listen(
        self, saved: Mapping[type[Model], Callable[..., None]], *, deleted: Sequence[type[Model]]
    ) -> None:
        """Call what touches a row's keys after each save of it. Bulk writes send no signal.

        Args:
            saved: by model, called with the `instance`, and `created` for a new row.
            deleted: those of these models that it also follows from when a row is deleted.
        """
        for model, heard in saved.items():
            uid = f"{self._name} {model.__name__}"
            post_save.connect(heard, sender=model, dispatch_uid=uid)
            if model in deleted:
                post_delete.connect(heard, sender=model, dispatch_uid=uid)

    def listen_to_bulk(self, saved: Mapping[type[Model], Callable[..., None]]) -> None:
        """Call the same once more for all that was written in bulk, and rebuild once for it."""

        def heard(sender: type[Model], records: Iterable[Model], **_: Any) -> None:
            if sender in saved:
                with self.kept():
                    for record in records:
                        saved[sender](instance=record)

        bulk_written.connect(heard, weak=False, dispatch_uid=f"{self._name} in bulk")

    def touch(self, **keys: Iterable[object]) -> None:
        """Say what was changed, by the names of the sets; what is empty or None is left out."""
        touched = self._touched.get()
        target = self._empty() if touched is None else touched
        for name, values in keys.items():
            getattr(target, name).update(value for value in values if value is not None)
        if touched is None:
            target.rebuild()
