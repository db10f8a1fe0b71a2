"""Keep what each station off central control waits on: one row for each, none for any other.

Derived, like spells: `rebuild_waits` writes what differs, inside the transaction of whatever
changed the facts (see `keeping_waits`). What only the clock changes, `rebuild_all_waits` finds.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from itertools import islice

from django.db import connection, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.models import Wait
from faults.waits.engines.waits import WaitsOn, waiting
from faults.waits.services.wait_facts import Known, facts_of
from sites.kernel.services.collecting import bulk_written
from sites.models import SpellPart
from sites.runs.services import Progress, Silent

CHUNK = 2000
KEPT = ["waits_on", "mover", "since", "until", "fault_id", "job_id"]


@transaction.atomic
def rebuild_waits(station_ids: Iterable[int], *, at: datetime | None = None) -> int:
    """Recompute the waits of these stations, write what differs; return how many changed."""
    now = at or timezone.now()
    return sum(_rebuild_chunk(chunk, now) for chunk in _chunks(sorted(set(station_ids))))


def _nothing() -> None:
    """Nobody has to know that the round is alive."""


def keep_waits_true(*, at: datetime, go_on: Callable[[], None] = _nothing) -> dict[str, int]:
    """Find what only the clock changed: a visit's day that came, a ticket that cleared."""
    return {"changed": rebuild_all_waits(at=at, go_on=go_on)}


def rebuild_all_waits(
    *,
    at: datetime | None = None,
    progress: Progress | None = None,
    go_on: Callable[[], None] = _nothing,
) -> int:
    """Recompute all waits and write what differs, some thousand stations at a time.

    Each chunk is a transaction of its own, so that nobody waits long for it.
    """
    progress, now = progress or Silent(), at or timezone.now()
    off = SpellPart.objects.open().order_by().values_list("station_id", flat=True)
    standing = Wait.objects.order_by().values_list("station_id", flat=True)
    station_ids = sorted({*off, *standing})
    changed = 0
    for start in range(0, len(station_ids), CHUNK):
        progress.say(_("Working out what each station waits on"), start, len(station_ids))
        changed += rebuild_waits(station_ids[start : start + CHUNK], at=now)
        go_on()
    return changed


def _chunks(ids: Sequence[int]) -> Iterator[list[int]]:
    rest = iter(ids)
    while chunk := list(islice(rest, CHUNK)):
        yield chunk


def _rebuild_chunk(station_ids: list[int], at: datetime) -> int:
    # Locked before the facts are read: of two that work at once, the later one reads what the
    # earlier one has written, and the last word is true.
    rows = Wait.objects.filter(station__in=station_ids).order_by("station")
    if connection.features.has_select_for_update:
        rows = rows.select_for_update()
    standing = {row.station_id: row for row in rows}
    wanted = {pk: row_of(pk, known) for pk, known in facts_of(station_ids, at=at).items()}
    gone = {row.pk for pk, row in standing.items() if pk not in wanted}
    differing = [
        row
        for pk, row in wanted.items()
        if pk not in standing or _shape(row) != _shape(standing[pk])
    ]
    if gone or differing:
        over = [row for row in standing.values() if row.pk in gone]
        bulk_written.send(Wait, records=[*over, *differing])
    if gone:
        Wait.objects.filter(pk__in=gone).delete()
    if differing:
        Wait.objects.bulk_create(
            differing, update_conflicts=True, unique_fields=["station"], update_fields=KEPT
        )
    return len(gone) + len(differing)


# Here the fault that is over says why the station is still off.
AFTER_ITS_FAULT = (WaitsOn.GIVEN_UP, WaitsOn.AFTER_RETURN)


def row_of(station_id: int, known: Known) -> Wait:
    """Return what a station waits on, not kept yet."""
    found = waiting(known.facts)
    is_after = found.on in AFTER_ITS_FAULT
    return Wait(
        station_id=station_id,
        waits_on=found.on.value,
        mover=found.mover.value,
        since=found.since,
        until=found.until,
        fault_id=known.closed_fault_id if is_after else known.fault_id,
        job_id=found.visit,
    )


def _shape(row: Wait) -> tuple[object, ...]:
    return tuple(getattr(row, name) for name in KEPT)
