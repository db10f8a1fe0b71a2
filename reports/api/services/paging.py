"""Pages of a list that stay whole while others write: by the key of the last row that was read.

A row that is added or removed between two pages moves no other row from one page to the next.
"""

import base64
import binascii
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from django.db.models import Model, QuerySet
from django.utils.translation import gettext as _

from sites.kernel.services.verbs import UnableToAct

MOST_ROWS = 500
Row = TypeVar("Row")


class UnableToPage(UnableToAct):
    """A cursor that was not given by the page before."""


@dataclass(frozen=True)
class Slice(Generic[Row]):
    """The rows of one page, and the cursor of the next; None where it is the last."""

    rows: Sequence[Row]
    cursor: str | None


def cursor_of(*keys: int) -> str:
    """Return whole numbers as a text for an address."""
    return base64.urlsafe_b64encode(json.dumps(keys).encode()).decode().rstrip("=")


def read_cursor(text: str, *, size: int) -> tuple[int, ...] | None:
    """Return the numbers of a cursor; None for the first page.

    Raises:
        UnableToPage: with what to do.
    """
    if not text:
        return None
    try:
        keys = json.loads(base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)))
    except (ValueError, binascii.Error, RecursionError):
        keys = None
    fits = isinstance(keys, list) and len(keys) == size
    if not fits or not all(type(key) is int and 0 <= key < 2**63 for key in keys):
        raise UnableToPage(
            _("This cursor is none of ours. Begin without one, then follow `next`."),
            field="cursor",
        )
    return tuple(keys)


M = TypeVar("M", bound=Model)


def page_of_rows(rows: "QuerySet[M]", *, cursor: str, limit: int) -> Slice[M]:
    """Return one page of rows in the order of their keys.

    Raises:
        UnableToPage: the cursor is none.
    """
    after = read_cursor(cursor, size=1)
    ordered = rows.order_by("pk")
    if after is not None:
        ordered = ordered.filter(pk__gt=after[0])
    found = list(ordered[: limit + 1])
    more = len(found) > limit
    return Slice(found[:limit], cursor_of(found[limit - 1].pk) if more else None)
