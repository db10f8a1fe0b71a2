"""Derived rows: which there are, in the order in which each follows from those before.

A derived table holds nothing that the records do not say. Whoever changes the records rebuilds
what follows in the same transaction (`collecting.py` gathers what a verb touched), and each table
can be rebuilt from scratch, which writes only what differs. Each app declares its own when it is
ready; `manage.py rebuild` goes through all of them.
"""

from collections.abc import Callable
from datetime import datetime
from typing import Protocol


class RebuildAll(Protocol):
    """Recompute a whole derived table, write what differs, and return how many rows changed."""

    def __call__(self, *, at: datetime) -> int:
        """Rebuild as of this moment."""


# By name, in the order of rebuilding.
DERIVED: dict[str, RebuildAll] = {}


def declare_derived(name: str, rebuild_all: RebuildAll) -> None:
    """Enter a derived table; what it follows from has been declared before it."""
    DERIVED[name] = rebuild_all


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
    if unknown := set(only) - set(DERIVED):
        raise KeyError(", ".join(sorted(unknown)))
    for name, rebuild_all in DERIVED.items():
        if not only or name in only:
            say(name, rebuild_all(at=at))
