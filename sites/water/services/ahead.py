"""What a spell will have cost if it stays until a chosen day, and what its return would save."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sites.models import Meter
from sites.water.services.gathered import Gathered, gather
from sites.water.services.metering import PRICE, LedgerRow, ledger_of, meters_of


@dataclass(frozen=True)
class Ahead:
    """Sums over the open spells of some stations until a day; None where nothing is known."""

    until: date
    excess_gal: float | None
    cost: float | None
    shortfall_gal: float | None
    not_known: int
    stations: int
    is_least: bool
    cost_is_least: bool


def if_it_stays(station_ids: Sequence[int], *, until: date, today: date) -> Ahead:
    """Return what the open spells will have cost by a day to come.

    Schedules, facts and prices hold on as they stand; months to come take the long-term mean, or
    the mean of the years that the table holds. Recomputed at each call; nothing is stored.
    """
    meters: list[Meter] = []
    is_least = False
    for one in gather(station_ids, ahead_from=today.replace(day=1)):
        is_open = {spell.pk for spell in one.spells if spell.days.to_on is None}
        found = meters_of(one, ledger_of(one, until=until), until=until)
        meters += [meter for meter in found if meter.spell_id in is_open]
        is_least |= any(spell.pk in is_open and not spell.is_exact for spell in one.spells)
    not_known = sum(meter.months_known < meter.months for meter in meters)
    return Ahead(
        until,
        _sum([meter.excess_gal for meter in meters]),
        _sum([meter.cost for meter in meters]),
        _sum([meter.shortfall_gal for meter in meters]),
        not_known,
        len(meters),
        is_least or bool(not_known),
        is_least or any(meter.months_priced < meter.months for meter in meters),
    )


@dataclass(frozen=True)
class Saved:
    """What a station's return saves over days to come; None where something is missing.

    `lacks` names what is missing: inputs of the water, and the price.
    """

    excess_gal: float | None
    shortfall_gal: float | None
    cost: float | None
    lacks: frozenset[str] = frozenset()


def saved_between(one: Gathered, start: date, until: date) -> Saved:
    """Return what a station that is off would still cost from `start` to `until`, if it stayed.

    A month is pooled over all of its days off, as in the ledger, so the first month counts as
    what it comes to until its end, less what it comes to until `start`. Gather it with
    `ahead_from` on the first of the month of `start`, or before.
    """
    if start >= until:
        return Saved(0.0, 0.0, 0.0)
    since = start.replace(day=1)
    rows = ledger_of(one, until=until, since=since)
    before = ledger_of(one, until=start, since=since)
    lacks = {each for row in rows for each in row.lacks.split(";") if each}
    if any(row.excess_gal is not None and row.cost is None for row in rows):
        lacks.add(PRICE)
    return Saved(
        _less(rows, before, "excess_gal"),
        _less(rows, before, "shortfall_gal"),
        _less(rows, before, "cost"),
        frozenset(lacks),
    )


def _less(rows: Sequence[LedgerRow], before: Sequence[LedgerRow], name: str) -> float | None:
    """Return the sum of `rows` less that of `before`; None where any of them is not known."""
    found = [getattr(row, name) for row in rows]
    gone = [getattr(row, name) for row in before]
    if None in found or None in gone:
        return None
    return float(sum(found) - sum(gone))


def _sum(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if known else None
