"""The rows of a table as HTML: what belongs to a column is worked out once, not for each cell.

The library asks each column, for each cell, for the arguments of its `render` method, for its
classes and for its translated heading, and renders each cell by the template's own loop: most of
the time that a page of rows took.
"""

import inspect
from collections.abc import Callable, Iterator
from datetime import datetime
from functools import cache
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.db.models import Model
from django.utils.formats import localize
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.timezone import localtime
from django_tables2.rows import BoundRow

LEAD_CLASS = "lead-cell"


def table_body(table: Any) -> SafeString:
    """Return the table rows of the shown page, each cell with its column's heading for a phone."""
    columns = [_Column(table, bound) for bound in table.columns]
    rows = ["".join(_cells(columns, row)) for row in table.paginated_rows]
    return mark_safe("".join(f"<tr>{row}</tr>\n" for row in rows))  # every cell escapes itself


def _cells(columns: "list[_Column]", row: BoundRow) -> Iterator[str]:
    for column in columns:
        yield f"{column.start}{_text(column.cell(row))}{column.end}"


class _Column:
    """One column: its tags, and how a cell's content is found."""

    def __init__(self, table: Any, bound: Any) -> None:
        self._table, self._bound, self._accessor = table, bound, bound.accessor
        self._empty, self._default = bound.column.empty_values, bound.default
        self._render, self._wanted = bound.render, _wanted(_plain(bound.render))
        self._named: dict[type, str] = {}
        classes = bound.attrs["td"]["class"] or ""
        if LEAD_CLASS in classes:
            self.start, self.end = format_html('<th scope="row" class="{}">', classes), "</th>"
        else:
            named = format_html(' class="{}"', classes) if classes else ""
            self.start = format_html('<td{} data-label="{}">', named, bound.header)
            self.end = "</td>"

    def cell(self, row: BoundRow) -> Any:
        """Return what the column's `render` makes of the row, or the default where it is empty."""
        value = self._value(row.record)
        if value in self._empty:
            return self._default
        found = {
            "value": value,
            "record": row.record,
            "column": self._bound.column,
            "bound_column": self._bound,
            "bound_row": row,
            "table": self._table,
        }
        names = found if self._wanted is None else self._wanted
        return self._render(**{name: found[name] for name in names})

    def _value(self, record: Any) -> Any:
        """Return the word of a choice, else the value."""
        name = self._named.get(type(record))
        if name is None:
            name = self._named[type(record)] = _display_name(self._accessor, record)
        if not name:
            return self._accessor.resolve(record, quiet=True)
        holder, _last = self._accessor.penultimate(record)
        return getattr(holder, name)() if isinstance(holder, Model) else None


def _display_name(accessor: Any, record: Any) -> str:
    """Return the method that words a field with choices; empty for any other value."""
    try:
        field = accessor.get_field(record)
    except FieldDoesNotExist:
        return ""
    last = accessor.bits[-1]
    if getattr(field, "name", "") != last or not getattr(field, "choices", ()):
        return ""
    return f"get_{last}_display"


def _plain(function: Callable[..., Any]) -> Callable[..., Any]:
    """Return the function behind a method, which is the same for every table of its class."""
    return getattr(function, "__func__", function)


@cache
def _wanted(function: Callable[..., Any]) -> tuple[str, ...] | None:
    """Return the names of a `render` method's arguments; None where it takes them all."""
    given = inspect.signature(function).parameters.values()
    if any(each.kind is each.VAR_KEYWORD for each in given):
        return None
    return tuple(each.name for each in given if each.name != "self")


def _text(value: Any) -> str:
    """Escape and localise a cell as a template does."""
    if isinstance(value, datetime):
        value = localtime(value)
    if not isinstance(value, str):
        value = localize(value)
    return conditional_escape(value)
