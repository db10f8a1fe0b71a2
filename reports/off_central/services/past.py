"""Water on a past day, put on the rows that show it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import Any

from django.db.models import QuerySet

from sites.models import Meter, SpellPart
from sites.water.queries.meters import Totals, totals_of
from sites.water.services.past import meters_on

ROWS_AT_ONCE = 500
# Some seconds of computing: beyond it, the sums of a day are left to the pages of properties.
MOST_SUMMED = 2000


@dataclass(frozen=True)
class WaterThen:
    """Meters of a day by station; and the currency of each property whose cost may be seen."""

    meters: Mapping[int, Meter]
    priced: Mapping[int, str]

    def put_on(self, parts: Sequence[Any]) -> None:
        """Put on each part its spell's meter of that day, and the cost that may be seen."""
        for part in parts:
            part.spell.meter = self.meters[part.station_id]
            part.seen_cost = None if self.currency(part) is None else part.spell.meter.cost

    def currency(self, part: SpellPart) -> str | None:
        """In which currency the part's water costs; None where the user may not see it."""
        return self.priced.get(part.station.controller.property_id)


def water_then(priced: Mapping[int, str], parts: Sequence[SpellPart], day: date) -> WaterThen:
    """Return the water of rows of `off_central_rows_on`, in the same queries for any number.

    Args:
        priced: the currency of each property whose prices the user sees (`currencies_for`).
    """
    return WaterThen(meters_on([part.station_id for part in parts], day), priced)


def put_water_on(priced: Mapping[int, str], parts: Sequence[SpellPart], day: date) -> None:
    """Put on rows of a page or file what each spell had cost by that day."""
    water_then(priced, parts, day).put_on(parts)


@dataclass(frozen=True)
class Summed:
    """The longest off on a day, and the water of all; the latter not where they are too many."""

    oldest: SpellPart | None = None
    totals: Totals | None = None
    water: WaterThen | None = None

    def put_on(self, priced: Mapping[int, str], parts: Sequence[SpellPart], day: date) -> None:
        """Put its water on the rows shown, from what was computed already."""
        (self.water or water_then(priced, parts, day)).put_on(parts)


def summed(priced: Mapping[int, str], parts: QuerySet[SpellPart], day: date) -> Summed:
    """Return the sums over the stations that were off on that day, at most `MOST_SUMMED`."""
    rows: list[Any] = list(parts.order_by("spell__from_on", "pk")[: MOST_SUMMED + 1])
    oldest = rows[0] if rows else None
    if len(rows) > MOST_SUMMED:
        return Summed(oldest)
    water = water_then(priced, rows, day)
    water.put_on(rows)
    pairs = [(part.spell.meter, water.currency(part)) for part in rows]
    return Summed(oldest, totals_of(pairs), water)


@dataclass(frozen=True)
class RowsOnDay:
    """All rows of a file, read and computed some at a time."""

    priced: Mapping[int, str]
    rows: QuerySet[SpellPart]
    day: date

    def iterator(self, chunk_size: int = ROWS_AT_ONCE) -> Iterator[SpellPart]:
        """Yield the rows in order, each with its water."""
        rest = self.rows.iterator(chunk_size=chunk_size)
        while parts := list(islice(rest, ROWS_AT_ONCE)):
            put_water_on(self.priced, parts, self.day)
            yield from parts
