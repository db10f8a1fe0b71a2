"""Fill tables fast: COPY with explicit keys, and history rows by one INSERT ... SELECT."""

import random
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, models

from sites.models.base import REF_ALPHABET, REF_LENGTH, new_ref

# One seed for all: two runs measure the same rows.
chance = random.Random(20250615)


def some_ref() -> str:
    """Return a reference like those of the register, faster than its own does."""
    return "".join(chance.choices(REF_ALPHABET, k=REF_LENGTH))


def fill(model: type[models.Model], rows: Iterable[Mapping[str, Any]]) -> int:
    """Copy rows into the model's table; columns that a row leaves out get their default.

    Every row names the same columns, and `id` where other rows will refer to it.
    """
    stream = iter(rows)
    first = next(stream, None)
    if first is None:
        return 0
    given = list(first)
    fields = [each for each in model._meta.concrete_fields if each.column not in given]
    rest = [each for each in fields if not each.primary_key]
    constants = [None if _is_ref(each) else each.get_default() for each in rest]
    refs = [place for place, each in enumerate(rest) if _is_ref(each)]
    columns = ", ".join(f'"{name}"' for name in [*given, *(each.column for each in rest)])
    count = 0
    with connection.cursor() as cursor:
        statement = f'COPY "{model._meta.db_table}" ({columns}) FROM STDIN'
        with cursor.copy(statement) as copy:
            for row in _chained(first, stream):
                for place in refs:
                    constants[place] = some_ref()
                copy.write_row([*row.values(), *constants])
                count += 1
    return count


def _is_ref(field: "models.Field[Any, Any]") -> bool:
    return field.default is new_ref


def _chained(
    first: Mapping[str, Any], stream: Iterator[Mapping[str, Any]]
) -> Iterator[Mapping[str, Any]]:
    yield first
    yield from stream


def add_history(model: Any, kind: str = "+", where: str = "TRUE") -> int:
    """Give each row that meets the SQL condition one history row, as saving it would have."""
    history = model.history.model
    kept = {each.column for each in history._meta.concrete_fields}
    shared = [each.column for each in model._meta.concrete_fields if each.column in kept]
    names = ", ".join(f'"{name}"' for name in shared)
    with connection.cursor() as cursor:
        cursor.execute(
            f'INSERT INTO "{history._meta.db_table}" '
            f"({names}, history_date, history_type) "
            f"SELECT {names}, now() - interval '30 days', %s "
            f'FROM "{model._meta.db_table}" WHERE {where}',
            [kind],
        )
        return int(cursor.rowcount)


def settle() -> None:
    """Let keys go on after the copied ones, and let the planner know the tables."""
    ours = [
        model for label in ("sites", "faults") for model in apps.get_app_config(label).get_models()
    ]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), ours):
            cursor.execute(statement)
        cursor.execute("VACUUM ANALYZE")
