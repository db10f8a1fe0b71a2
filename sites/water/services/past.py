"""What staying off central cost by a past day, or over a period: computed, nothing is stored."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from sites.models import Meter
from sites.stopgaps.engines.spells import Interval
from sites.water.services.gathered import Gathered, gather
from sites.water.services.metering import LedgerRow, ledger_of, meters_of


def meters_on(station_ids: Sequence[int], day: date) -> dict[int, Meter]:
    """Return by station the unsaved meter of the spell that held on `day`.

    It is counted until `day`, like a meter of today until today, from what is recorded now.
    """
    found: dict[int, Meter] = {}
    for one in gather(station_ids):
        past = _as_of(one, day)
        for spell, meter in zip(
            past.spells, meters_of(past, ledger_of(past, until=day), until=day), strict=True
        ):
            if spell.days.to_on is None:
                found[one.pk] = meter
    return found


def _as_of(one: Gathered, day: date) -> Gathered:
    """Return a station as if `day` were today: nobody knows yet when the spell will end."""
    spells = [
        replace(spell, days=Interval(spell.days.from_on)) if spell.days.holds(day) else spell
        for spell in one.spells
        if spell.days.from_on <= day
    ]
    return replace(one, spells=spells)


def ledger_between(
    station_ids: Sequence[int], from_on: date, until: date
) -> dict[int, list[LedgerRow]]:
    """Return by station the rows of its months, over its days off central of a period alone.

    Args:
        until: the day after the last one.
    """
    period = Interval(from_on, until)
    return {one.pk: ledger_of(_within(one, period), until=until) for one in gather(station_ids)}


def _within(one: Gathered, period: Interval) -> Gathered:
    """Return a station as if it had been off central within these days only."""
    kept = [
        replace(off, days=days)
        for off in one.water.off
        if (days := _shared(off.days, period)) is not None
    ]
    return replace(one, water=replace(one.water, off=kept))


def _shared(days: Interval, period: Interval) -> Interval | None:
    assert period.to_on is not None
    start = max(days.from_on, period.from_on)
    end = period.to_on if days.to_on is None else min(days.to_on, period.to_on)
    return Interval(start, end) if start < end else None
