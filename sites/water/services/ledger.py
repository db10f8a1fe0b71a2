"""Rebuild the ledger and the meters: one row a station and month, one meter a spell.

Derived, like spells: `rebuild_water` writes what differs, inside the transaction of whatever
changed the facts (see `keeping`). A change to many stations, and a new day, mark meters as
stale; they are rebuilt in the background, and until then pages say so. A full rebuild and many
small ones give the same rows, because each row is computed from the records alone.
"""

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any

from django.db import connection, transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from sites.kernel.services.collecting import bulk_written
from sites.models import Meter, Spell, WaterMonth
from sites.runs.services import Progress, Silent
from sites.water.services.gathered import gather, today_in
from sites.water.services.metering import LedgerRow, ledger_of, meters_of
from sites.water.services.writing import write_meters, write_months

CHUNK = 500


@transaction.atomic
def rebuild_water(station_ids: Iterable[int], *, at: datetime | None = None) -> int:
    """Recompute ledger and meters of these stations, write what differs; return rows changed."""
    now = at or timezone.now()
    ids = sorted(set(station_ids))
    return sum(_rebuild(ids[start : start + CHUNK], now) for start in range(0, len(ids), CHUNK))


def _rebuild(station_ids: list[int], at: datetime) -> int:
    # Locked before the facts are read: of two that work at once, the later one reads what the
    # earlier one has written, and the last word is true.
    if connection.features.has_select_for_update:
        meters = Meter.objects.filter(spell__station__in=station_ids)
        list(meters.select_for_update(of=("self",)).order_by("pk").values_list("pk"))
    rows: list[LedgerRow] = []
    wanted: list[Meter] = []
    for one in gather(station_ids):
        today = today_in(one.place.time_zone, at)
        found = ledger_of(one, until=today)
        rows += found
        wanted += meters_of(one, found, until=today)
    return write_months(station_ids, rows) + write_meters(station_ids, wanted)


def mark_stale(station_ids: Iterable[int]) -> None:
    """Mark the meters of these stations as stale; `rebuild_due` finds and rebuilds them."""
    ids = sorted(set(station_ids))
    for start in range(0, len(ids), CHUNK):
        chunk = ids[start : start + CHUNK]
        meters = Meter.objects.filter(spell__station__in=chunk)
        meters.update(counted_until=None)
        bulk_written.send(Meter, records=list(meters.only("spell_id")))
        # A station that was never off after all has no meter by which it would be found.
        gone = WaterMonth.objects.filter(station__in=chunk).exclude(
            station__in=Spell.objects.filter(station__in=chunk).values("station")
        )
        gone.delete()


def _nothing() -> None:
    """Nobody has to know that the round is alive."""


def keep_water_true(*, at: datetime, go_on: Callable[[], None] = _nothing) -> dict[str, int]:
    """Rebuild what is stale, and what a new day adds; the round of the periodic task."""
    return {"changed": rebuild_due(at=at, go_on=go_on)}


def rebuild_in_background(progress: Progress, **_later: Any) -> dict[str, int]:
    """Rebuild what is stale, as a background run."""
    return {"changed": rebuild_due(at=timezone.now(), progress=progress)}


def rebuild_due(
    *,
    at: datetime,
    progress: Progress | None = None,
    go_on: Callable[[], None] = _nothing,
) -> int:
    """Rebuild the stations that are stale, new, or behind the day, some at a time.

    Each chunk is a transaction of its own: a stop half way loses nothing.
    """
    return _in_chunks(due_stations(at=at), at=at, progress=progress, go_on=go_on)


def due_stations(*, at: datetime) -> list[int]:
    """Return the stations whose meter is missing, marked, or behind the day at the property."""
    rows = Spell.objects.filter(
        Q(meter=None) | Q(meter__counted_until=None) | Q(to_on=None)
    ).values_list("station_id", "meter__counted_until", "station__controller__property__time_zone")
    return sorted(
        {
            station_id
            for station_id, counted_until, zone in rows.iterator(chunk_size=5000)
            if counted_until is None or counted_until < today_in(zone, at)
        }
    )


def rebuild_all_water(*, at: datetime | None = None, progress: Progress | None = None) -> int:
    """Recompute the whole ledger and write what differs: idempotent, safe at any time."""
    stations = set(Spell.objects.order_by().values_list("station_id", flat=True))
    stations |= set(WaterMonth.objects.order_by().values_list("station_id", flat=True).distinct())
    return _in_chunks(sorted(stations), at=at or timezone.now(), progress=progress, go_on=_nothing)


def _in_chunks(
    station_ids: list[int],
    *,
    at: datetime,
    progress: Progress | None,
    go_on: Callable[[], None],
) -> int:
    progress, changed = progress or Silent(), 0
    for start in range(0, len(station_ids), CHUNK):
        progress.say(_("Working out what staying off central costs"), start, len(station_ids))
        changed += rebuild_water(station_ids[start : start + CHUNK], at=at)
        go_on()
    return changed
