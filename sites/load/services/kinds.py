"""The kinds of sheets: name, columns and the function that plans their rows."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from sites.cells.engines.plain_words import normal
from sites.cells.services.columns import Column

if TYPE_CHECKING:
    from django.db.models import Model
    from django_stubs_ext import StrOrPromise

    from sites.load.services.planning import Load
    from sites.load.services.rows import Sheet

Planner = Callable[["Load", "Sheet"], None]


@dataclass(frozen=True)
class SheetKind:
    """One sheet of the contract. Kinds are planned in the order in which they are listed.

    `also` and each column's `also` name near-synonyms, separated by |. `marks` are fields that
    no other kind has: one of them tells the kind. Without a planner the sheet is left alone.
    """

    name: str
    columns: tuple[Column, ...]
    plan: Planner | None = None
    also: str = ""
    marks: frozenset[str] = frozenset()
    left_alone: "StrOrPromise" = ""
    # Whose references the column `ref` holds.
    model: "type[Model] | None" = None

    @cached_property
    def by_field(self) -> dict[str, Column]:
        """Columns by their canonical heading."""
        return {column.field: column for column in self.columns}

    @cached_property
    def required(self) -> frozenset[str]:
        """Fields without which no row can be read."""
        return frozenset(column.field for column in self.columns if column.required)

    def named(self, name: str) -> list[tuple[Column, bool]]:
        """Return the column of this plain name, and whether the name is canonical."""
        found = self._names.get(name)
        return [found] if found else []

    @cached_property
    def _names(self) -> dict[str, tuple[Column, bool]]:
        names: dict[str, tuple[Column, bool]] = {}
        for column in self.columns:
            names[normal(column.field)] = column, True
        for column in self.columns:
            for other in filter(None, column.also.split("|")):
                names.setdefault(normal(other), (column, False))
        return names


Kinds = Mapping[str, SheetKind]
