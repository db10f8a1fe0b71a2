"""What a spell will have cost if it stays until a chosen day."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sites.models import Meter
from sites.water.services.gathered import gather
from sites.water.services.metering import ledger_of, meters_of


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


def _sum(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if known else None
