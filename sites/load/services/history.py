"""History rows made by the database itself, from the rows that were just written.

`bulk_create_with_history` builds an object for each history row and hands it back to the
database; for a register of tens of thousands of rows that is half of the time of a load. Here
the database copies the rows. What stands in the history afterwards is the same.
"""

from collections.abc import Sequence
from datetime import datetime

from django.db import connection
from django.db.models import Model
from simple_history.exceptions import NotHistoricalModelError
from simple_history.utils import get_history_manager_for_model

from sites.models import User

KEYS_AT_ONCE = 5000
CREATED, CHANGED = "+", "~"


def has_history(model: type[Model]) -> bool:
    """Return whether changes of this model are kept."""
    try:
        get_history_manager_for_model(model)
    except NotHistoricalModelError:
        return False
    return True


def write_history(
    records: Sequence[Model],
    model: type[Model],
    *,
    how: str,
    by: User | None,
    at: datetime,
    why: str,
) -> None:
    """Copy the rows of these records, as they stand now, into the history of their model."""
    history = get_history_manager_for_model(model).model
    quote = connection.ops.quote_name
    columns = ", ".join(quote(field.column) for field in history.tracked_fields)
    marks = {
        "history_type": how,
        "history_date": connection.ops.adapt_datetimefield_value(at),
        "history_change_reason": why,
        "history_user_id": by.pk if by else None,
    }
    names = ", ".join(map(quote, marks))
    key = quote(model._meta.pk.column)
    with connection.cursor() as cursor:
        for start in range(0, len(records), KEYS_AT_ONCE):
            keys = [record.pk for record in records[start : start + KEYS_AT_ONCE]]
            holes = ", ".join(["%s"] * len(keys))
            # Every name comes from the models; every value is a parameter.
            cursor.execute(
                f"INSERT INTO {quote(history._meta.db_table)} ({columns}, {names}) "
                f"SELECT {columns}, %s, %s, %s, %s FROM {quote(model._meta.db_table)} "
                f"WHERE {key} IN ({holes}) ORDER BY {key}",
                [*marks.values(), *keys],
            )
