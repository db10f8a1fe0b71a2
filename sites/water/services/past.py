"""What a spell had cost on a past day: computed when a page shows it, nothing is stored."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from sites.models import Meter
from sites.stopgaps.engines.spells import Interval
from sites.water.services.gathered import Gathered, gather
from sites.water.services.metering import ledger_of, meters_of


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
