"""The kinds of sheets: their names, columns and how a sheet of each is told."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from sites.cells.engines.plain_words import normal
from sites.cells.services.columns import Column

if TYPE_CHECKING:
    from django.db.models import Model
    from django_stubs_ext import StrOrPromise


@dataclass(frozen=True)
class SheetKind:
    """One sheet of the contract. Kinds are planned in the order in which they are listed.

    `also` and each column's `also` name near-synonyms, separated by |. `marks` are fields that
    no other kind has: one of them tells the kind. `left_alone` says why no row is loaded.
    """

    name: str
    columns: tuple[Column, ...]
    also: str = ""
    marks: frozenset[str] = frozenset()
    left_alone: "StrOrPromise" = ""
    # Whose references the column `ref` holds.
    model: "type[Model] | None" = None

    @property
    def is_left_alone(self) -> bool:
        """Whether sheets of this kind are recognised, and then not loaded."""
        return bool(self.left_alone)

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
