"""Derived rows: which there are, in the order in which each follows from those before.

A derived table holds nothing that the records do not say. The verb that changes the records
rebuilds what follows in the same transaction (`collecting.py` gathers what a verb touched), and
each table can be rebuilt from scratch, which writes only what differs. Each app declares its own
when it is ready; `manage.py rebuild` goes through all of them.
"""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from datetime import datetime
from graphlib import TopologicalSorter
from typing import Protocol


class RebuildAll(Protocol):
    """Recompute a whole derived table, write what differs, and return how many rows changed."""

    def __call__(self, *, at: datetime) -> int:
        """Rebuild as of this moment."""


# Collects what is touched inside, and rebuilds once when it is left: `Collector.kept`.
Kept = Callable[[], AbstractContextManager[None]]

# What reads derived rows once they all are true, such as messages to other programs.
_when_settled: list[Kept] = []
_rebuilds: dict[str, RebuildAll] = {}
_kept: dict[str, Kept] = {}
_after: dict[str, tuple[str, ...]] = {}


def declare_derived(
    name: str, rebuild_all: RebuildAll, *, kept: Kept, after: tuple[str, ...] = ()
) -> None:
    """Enter a derived table.

    Args:
        kept: entered around each outermost verb; what it raises at its end undoes the verb.
        after: the derived tables that it follows from, beside the records.
    """
    _rebuilds[name], _kept[name], _after[name] = rebuild_all, kept, after


def declare_when_settled(kept: Kept) -> None:
    """Enter around each outermost verb what ends after all derived rows are rebuilt."""
    _when_settled.append(kept)


@contextmanager
def derived_kept() -> Iterator[None]:
    """Rebuild at the end, in their order, what follows from what is touched inside.

    An error inside rebuilds nothing.
    """
    with ExitStack() as stack:
        for settled in _when_settled:
            stack.enter_context(settled())
        for name in reversed(derived_names()):
            stack.enter_context(_kept[name]())
        yield


def derived_names() -> list[str]:
    """Return the names of derived tables in the order of rebuilding."""
    return list(TopologicalSorter(_after).static_order())


def rebuild_derived(
    *, at: datetime, only: tuple[str, ...] = (), say: Callable[[str, int], None]
) -> None:
    """Rebuild derived tables from scratch, in their order.

    Args:
        only: their names; all of them when empty.
        say: called with each name and how many of its rows were wrong.

    Raises:
        KeyError: there is no derived table of that name.
    """
    if unknown := set(only) - set(_rebuilds):
        raise KeyError(", ".join(sorted(unknown)))
    for name in derived_names():
        if not only or name in only:
            say(name, _rebuilds[name](at=at))
