"""Stored values as cells: each exactly as the loader reads it back."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from sites.cells.engines.days import window_text
from sites.cells.engines.measures import plain_unit
from sites.cells.engines.plain_words import as_kept
from sites.cells.services.columns import Choice, Column, Measure, Names, Text
from sites.cells.services.day_columns import Span

Cell = str | int | float | date


def heading_of(column: Column) -> str:
    """Return the heading with the stored unit where units differ: exact, whatever the property."""
    if isinstance(column, Measure) and column.dimension.us != column.dimension.metric:
        return f"{column.field} ({column.dimension.stored})"
    return column.field


def cell_of(column: Column, value: Any) -> Cell:
    """Return a stored value as a cell of this column; nothing is an empty cell."""
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(column, Measure):
        return number(value)
    if isinstance(column, Span) and isinstance(value, tuple):
        return window_text(value)
    if isinstance(column, Names):
        return names(value)
    if isinstance(column, Choice):
        return _word(column, str(value))
    if isinstance(value, int | date):
        return value
    return as_kept(str(value), keep_lines=isinstance(column, Text) and column.lines)


def number(value: float | Decimal) -> int | float:
    """Return a number, whole where it is: 120 and not 120.0."""
    exact = float(value)
    return int(exact) if exact.is_integer() else exact


def number_text(value: float) -> str:
    """Return a number with all its digits and no exponent, which no reader of lists knows."""
    return format(Decimal(repr(value)), "f")


def names(values: Iterable[str]) -> str:
    """Join names; a lone one that holds a comma must not be taken for two."""
    each = list(values)
    joined = "; ".join(each)
    return f"{joined};" if len(each) == 1 and "," in joined else joined


def _word(column: Choice, value: str) -> str:
    """A word that the loader does not know would stop the whole file."""
    return value if plain_unit(value) in (column.words or {}) else ""
