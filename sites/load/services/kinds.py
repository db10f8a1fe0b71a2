"""The kinds of sheets: their names, columns and how a sheet of each is told."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from sites.cells.engines.plain_words import normal
from sites.cells.services.columns import Column, Text

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
    # Needs no other sheet: a row makes the property and the controller that it names.
    makes_what_it_implies: bool = False

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
        """Return the columns that a plain name can mean, and whether it is the canonical one.

        The canonical one comes first, then those whose cells can be told from others (days,
        numbers), then words, which hold anything.
        """
        return self._names.get(name, [])

    @cached_property
    def _names(self) -> dict[str, list[tuple[Column, bool]]]:
        names: dict[str, list[tuple[Column, bool]]] = {}
        for column in self.columns:
            names.setdefault(normal(column.field), []).append((column, True))
            for other in filter(None, column.also.split("|")):
                names.setdefault(normal(other), []).append((column, False))
        return {
            name: sorted(found, key=lambda one: (not one[1], isinstance(one[0], Text)))
            for name, found in names.items()
        }


Kinds = Mapping[str, SheetKind]
