"""Write what differs of the ledger and the meters: little by the ORM, much by COPY."""

from collections.abc import Sequence
from typing import Any

from django.db import connection
from django.db.backends.utils import CursorWrapper

from sites.kernel.services.collecting import bulk_written
from sites.models import Meter, WaterMonth
from sites.water.services.metering import KEPT, KEPT_OF_METER, LedgerRow

# From so many rows on, a table beside it and one INSERT are several times as fast.
MANY = 1000
COLUMNS = ", ".join(f'"{name}"' for name in LedgerRow._fields)


def write_months(station_ids: Sequence[int], rows: Sequence[LedgerRow]) -> int:
    """Make the ledger of these stations hold these rows; return how many differed."""
    standing = {
        (found[1], found[2]): found
        for found in WaterMonth.objects.filter(station__in=station_ids).values_list(
            "pk", *LedgerRow._fields
        )
    }
    differing = []
    for row in rows:
        known = standing.pop((row.station_id, row.month), None)
        if known is None or known[1:] != row:
            differing.append(row)
    _delete([found[0] for found in standing.values()])
    if len(differing) >= MANY and connection.vendor == "postgresql":
        _copy(differing)
    elif differing:
        WaterMonth.objects.bulk_create(
            [WaterMonth(**row._asdict()) for row in differing],
            batch_size=2000,
            update_conflicts=True,
            unique_fields=["station", "month"],
            update_fields=KEPT,
        )
    return len(differing) + len(standing)


def _copy(rows: Sequence[LedgerRow]) -> None:
    table = WaterMonth._meta.db_table
    kept = ", ".join(f'"{name}" = excluded."{name}"' for name in KEPT)
    with connection.cursor() as cursor:
        cursor.execute(
            f'CREATE TEMPORARY TABLE coming AS SELECT {COLUMNS} FROM "{table}" WITH NO DATA'
        )
        _fill(cursor, rows)
        cursor.execute(
            f'INSERT INTO "{table}" ({COLUMNS}) SELECT {COLUMNS} FROM coming '
            f"ON CONFLICT (station_id, month) DO UPDATE SET {kept}"
        )
        cursor.execute("DROP TABLE coming")


def _fill(cursor: CursorWrapper, rows: Sequence[LedgerRow]) -> None:
    of_driver: Any = cursor
    with of_driver.copy(f"COPY coming ({COLUMNS}) FROM STDIN") as copy:
        for row in rows:
            copy.write_row(row)


def write_meters(station_ids: Sequence[int], meters: Sequence[Meter]) -> int:
    """Make the meters of these stations hold these values; return how many differed."""
    standing = {
        found[0]: found[1:]
        for found in Meter.objects.filter(spell__station__in=station_ids).values_list(
            "spell_id", *KEPT_OF_METER
        )
    }
    differing = [
        meter
        for meter in meters
        if standing.get(meter.spell_id) != tuple(getattr(meter, name) for name in KEPT_OF_METER)
    ]
    if differing:
        Meter.objects.bulk_create(
            differing,
            batch_size=2000,
            update_conflicts=True,
            unique_fields=["spell"],
            update_fields=KEPT_OF_METER,
        )
        bulk_written.send(Meter, records=differing)
    return len(differing)


def _delete(keys: Sequence[int]) -> None:
    for start in range(0, len(keys), 500):
        WaterMonth.objects.filter(pk__in=keys[start : start + 500]).delete()
