"""What was added, changed or taken out since a moment: from the history that pages show.

A program keeps the cursor of the last page, and asks for what came after it.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db.models import Model, QuerySet

from faults.access import faults_for, follow_ups_for, jobs_for, notices_for
from reports.api.services.paging import Slice, cursor_of, read_cursor
from sites.kernel.access import (
    controllers_for,
    devices_for,
    legs_for,
    points_for,
    properties_for,
    stations_for,
    stopgaps_for,
    wires_for,
)
from sites.kernel.engines.roles import Action
from sites.models import User

WORDS = {"+": "added", "~": "changed", "-": "deleted"}
# Before and after every change. The first and last days that a program can write have no moment in
# UTC, which databases keep.
EARLIEST, LATEST = datetime(1970, 1, 1, tzinfo=UTC), datetime(9000, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Changed:
    """One change: of which kind of thing, which one, how and when."""

    kind: str
    ref: str
    change: str
    at: datetime


def _seen_by(user: User) -> list[tuple[str, "QuerySet[Any]"]]:
    """The kinds with a reference, each with the rows that the user may see; the order is kept."""
    return [
        ("property", properties_for(user)),
        ("controller", controllers_for(user)),
        ("station", stations_for(user)),
        ("point", points_for(user)),
        ("leg", legs_for(user)),
        ("wire", wires_for(user)),
        ("device", devices_for(user)),
        ("stopgap", stopgaps_for(user)),
        ("fault", faults_for(user)),
        ("job", jobs_for(user, Action.SEE_WORK)),
        ("notice", notices_for(user, Action.SEE_WORK)),
        ("due", follow_ups_for(user, Action.SEE_WORK)),
    ]


def changes_since(user: User, since: datetime, *, cursor: str, limit: int) -> Slice[Changed]:
    """Return changes from a moment on, oldest first, those at one moment by kind and number.

    What was taken out altogether is not told: it belongs to nobody any more; things with a
    history are retired, which is a change.

    Raises:
        UnableToPage: the cursor is none.
    """
    after = read_cursor(cursor, size=3)
    since = min(max(since, EARLIEST), LATEST)
    found: list[tuple[tuple[int, int, int], Changed]] = []
    for number, (kind, rows) in enumerate(_seen_by(user)):
        for record in _records(rows, since, after, number)[: limit + 1]:
            key = (_micros(record.history_date), number, record.history_id)
            word = WORDS[record.history_type]
            found.append((key, Changed(kind, record.ref, word, record.history_date)))
    found.sort(key=lambda pair: pair[0])
    page = found[:limit]
    more = len(found) > limit
    return Slice([each for _key, each in page], cursor_of(*page[-1][0]) if more else None)


def _records(
    rows: "QuerySet[Any]", since: datetime, after: tuple[int, ...] | None, number: int
) -> "QuerySet[Any]":
    model: type[Model] = rows.model
    history: Any = model.history  # type: ignore[attr-defined]
    records = history.filter(id__in=rows.order_by().values("pk"), history_date__gte=since)
    if after is not None:
        records = _behind(records, after, number)
    ordered: QuerySet[Any] = records.order_by("history_date", "history_id")
    return ordered


def _behind(records: Any, after: tuple[int, ...], number: int) -> Any:
    """Those behind a cursor: by moment, then by kind, then by number."""
    moment = _moment(after[0])
    later = records.filter(history_date__gt=moment)
    if number < after[1]:
        return later
    same = records.filter(history_date=moment)
    if number == after[1]:
        same = same.filter(history_id__gt=after[2])
    return later | same


def _micros(at: datetime) -> int:
    return (at - _EPOCH) // timedelta(microseconds=1)


def _moment(micros: int) -> datetime:
    try:
        return _EPOCH + timedelta(microseconds=micros)
    except OverflowError:
        return _LAST


_EPOCH = datetime.fromisoformat("1970-01-01T00:00:00+00:00")
_LAST = datetime.fromisoformat("9999-12-31T23:59:59+00:00")
