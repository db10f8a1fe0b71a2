"""Pages of tables: a unique order, and only the rows of one page computed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.paginator import EmptyPage, PageNotAnInteger
from django.core.validators import EMPTY_VALUES
from django.forms import Form
from django.forms.boundfield import BoundField
from django.http import HttpRequest
from django_filters import FilterSet
from django_tables2 import RequestConfig

from sites.kernel.tables import SheetTable


class LateRows:
    """An ordered QuerySet that finds a page's keys first, and then computes those rows alone.

    A database computes every column, counts in subqueries too, of each row that an OFFSET
    skips; keys alone cost next to nothing.
    """

    def __init__(self, rows: Any, known_count: int | None = None) -> None:
        self._rows, self._known_count = rows, known_count
        self.query = rows.query
        self.model = rows.model

    def count(self) -> int:
        """Return how many rows there are in all."""
        number: int = self._rows.count() if self._known_count is None else self._known_count
        return number

    def __len__(self) -> int:
        return self.count()

    def __iter__(self) -> Iterator[Any]:
        return iter(self._rows)

    def order_by(self, *names: str) -> "LateRows":
        """Return the rows in another order."""
        return LateRows(self._rows.order_by(*names), self._known_count)

    def __getitem__(self, key: slice) -> list[Any]:
        keys = list(self._rows.values_list("pk", flat=True)[key])
        found = {row.pk: row for row in self._rows.order_by().filter(pk__in=keys)}
        return [found[pk] for pk in keys if pk in found]


def arrange(request: HttpRequest, table: SheetTable, *, known_count: int | None = None) -> Any:
    """Order the table as requested, with a unique tie-break, and turn to the requested page.

    Args:
        known_count: how many rows there are, where the caller has counted them already.

    Returns:
        All rows in that order, for a file.
    """
    RequestConfig(request, paginate=False).configure(table)
    rows = table.data.data.order_by(*table.data.data.query.order_by, "pk")
    table.data.data = LateRows(rows, known_count)
    turn(request, table)
    return rows


def is_narrowed(filtered: FilterSet) -> bool:
    """Return whether anything is asked for that leaves rows out."""
    form = filtered.form
    return not form.is_valid() or any(
        value not in EMPTY_VALUES for value in form.cleaned_data.values()
    )


@dataclass(frozen=True)
class Chip:
    """One thing that a list is narrowed by, and the list without it."""

    words: str
    url: str


def chips_of(request: HttpRequest, form: Form, *, without: Sequence[str] = ()) -> list[Chip]:
    """Return what the visible fields of a filter narrow the list by, each with its way out.

    Args:
        without: what else the address drops, such as the number of the page.
    """
    if not form.is_valid():
        return []
    return [
        Chip(f"{field.label}: {_shown(field)}", _left_out(request, (field.name, *without)))
        for field in form.visible_fields()
        if form.cleaned_data.get(field.name) not in EMPTY_VALUES
    ]


def _shown(field: BoundField) -> str:
    """Return the word of a choice, else what was typed."""
    typed = str(field.value())
    choices: Any = getattr(field.field, "choices", ())
    return str(dict(choices).get(typed, typed))


def _left_out(request: HttpRequest, names: Sequence[str]) -> str:
    asked = request.GET.copy()
    for name in names:
        asked.pop(name, None)
    return f"?{asked.urlencode()}"


def turn(request: HttpRequest, table: SheetTable) -> None:
    """Turn to the requested page: no number is the first, one beyond the end the last."""
    page = request.GET.get(table.prefixed_page_field, "1")
    per_page = table.Meta.per_page
    try:
        table.paginate(page=page, per_page=per_page)
    except PageNotAnInteger:
        table.paginate(page=1, per_page=per_page)
    except EmptyPage:
        table.paginate(page=table.paginator.num_pages, per_page=per_page)
