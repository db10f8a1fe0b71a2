"""Rows that a verb is given are locked and read again before it runs.

A page may have been open for hours, and a phone's thing may be days old: a verb that acted on
what was read then, and saved it, would undo what others changed meanwhile. Here every row that a
verb is given, alone or in a list, is locked for the rest of the transaction and holds what the
database holds. So `save()`, which writes all columns, writes nobody's older values.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextvars import ContextVar

from django.contrib.auth import get_user_model
from django.db.models import ForeignKey, Model
from django.utils.translation import gettext as _


class Gone(Exception):
    """A row was deleted after it was read; the message tells the user what to do."""


# What the verb that runs now, or one around it, has locked: by table and key.
locked: ContextVar[frozenset[tuple[str, int]]] = ContextVar("locked", default=frozenset())


def lock_and_reload(given: Iterable[object]) -> frozenset[tuple[str, int]]:
    """Lock all rows among the values and put into each what the database holds now.

    Rows are locked table by table and key by key, in one order everywhere, so that two people
    never wait for each other. Who acts is no row that is acted on: users are left out, and so
    are new rows, and rows that a verb around this one has locked.

    Args:
        given: the values of a verb's arguments: rows, lists and mappings of rows, anything else.

    Returns:
        The keys that are locked now.

    Raises:
        Gone: a row is no more.
    """
    known = locked.get()
    wanted: dict[type[Model], dict[int, list[Model]]] = {}
    for row in _rows(given):
        if (row._meta.label, row.pk) not in known:
            wanted.setdefault(type(row), {}).setdefault(row.pk, []).append(row)
    for model in sorted(wanted, key=lambda each: each._meta.label):
        rows = wanted[model]
        held = model._base_manager.select_for_update(no_key=True)
        fresh = {row.pk: row for row in held.filter(pk__in=rows).order_by("pk")}
        for pk, same in rows.items():
            if pk not in fresh:
                raise Gone(_("This is no longer there. Go back and look again."))
            for row in same:
                _copy(fresh[pk], row)
    return known | {(model._meta.label, pk) for model, rows in wanted.items() for pk in rows}


def _rows(values: Iterable[object]) -> Iterator[Model]:
    for value in values:
        if isinstance(value, Model):
            if value.pk is not None and not isinstance(value, get_user_model()):
                yield value
        elif isinstance(value, Mapping) or (
            isinstance(value, Sequence) and not isinstance(value, str | bytes)
        ):
            yield from _rows(value)


def _copy(fresh: Model, row: Model) -> None:
    """Copy the columns; a related row that was read already stays where it is still the one."""
    left_out = row.get_deferred_fields()
    for field in row._meta.concrete_fields:
        if field.attname in left_out:
            continue
        value = getattr(fresh, field.attname)
        if getattr(row, field.attname) != value:
            setattr(row, field.attname, value)
            if isinstance(field, ForeignKey) and field.is_cached(row):
                field.delete_cached_value(row)
