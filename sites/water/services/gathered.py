"""Gather what the water of stations follows from: some queries for any number of stations."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import lru_cache
from zoneinfo import ZoneInfo

from sites.models import (
    BY_CLOCK,
    MainValve,
    Outage,
    Property,
    Spell,
    StationFacts,
    Stopgap,
    StopgapKind,
    Tariff,
)
from sites.models import Schedule as ScheduleRow
from sites.models import Station as StationRow
from sites.stopgaps.engines.spells import Interval
from sites.water.engines.inputs import Facts, Main, MainDays, Off, StandsIn, Station
from sites.water.engines.money import Price
from sites.water.engines.schedules import Schedule, read_pattern
from sites.water.services.climate import PlaceClimate, climates_of

pattern_of = lru_cache(maxsize=4096)(read_pattern)


@dataclass(frozen=True)
class SpellDays:
    """One spell by its key."""

    pk: int
    days: Interval
    is_exact: bool = True


@dataclass(frozen=True)
class Gathered:
    """One station with all that its ledger needs."""

    pk: int
    place: Property
    spells: Sequence[SpellDays]
    water: Station
    prices: Sequence[Price]
    climate: PlaceClimate


def today_in(time_zone: str, at: datetime) -> date:
    """Return the day that it is in a time zone."""
    return at.astimezone(_zone(time_zone)).date()


@lru_cache(maxsize=256)
def _zone(name: str) -> ZoneInfo:
    return ZoneInfo(name)


def gather(station_ids: Sequence[int], *, ahead_from: date | None = None) -> list[Gathered]:
    """Return the stations of these that have ever been off central control."""
    spells = _spells(station_ids)
    ids = sorted(spells)
    owner = dict(StationRow.objects.filter(pk__in=ids).values_list("pk", "controller__property_id"))
    places = Property.objects.in_bulk(set(owner.values()))
    climates = climates_of(places.values(), ahead_from=ahead_from)
    prices = _prices(places)
    schedules, facts = schedules_of(ids), _facts(ids)
    outages, stopgaps, mains = _outages(ids), _stopgaps(ids), _mains(ids)
    return [
        Gathered(
            pk,
            places[owner[pk]],
            spells[pk],
            Station(
                off=offs(spells[pk], stopgaps[pk]),
                schedules=schedules[pk],
                facts=facts[pk],
                outages=outages[pk],
                season=places[owner[pk]].season,
                mains=mains[pk],
            ),
            prices[owner[pk]],
            climates[owner[pk]],
        )
        for pk in ids
    ]


def _spells(station_ids: Sequence[int]) -> dict[int, list[SpellDays]]:
    found: dict[int, list[SpellDays]] = defaultdict(list)
    rows = Spell.objects.filter(station__in=station_ids).order_by("from_on", "pk")
    for pk, station_id, from_on, to_on, is_exact in rows.values_list(
        "pk", "station_id", "from_on", "to_on", "from_is_exact"
    ):
        found[station_id].append(SpellDays(pk, Interval(from_on, to_on), is_exact))
    return found


Stood = tuple[Interval, StandsIn, Main]
SAID: dict[str, Main] = {
    "": Main.NOT_KNOWN,
    MainValve.SHUT.value: Main.SHUT,
    MainValve.SAME_MINUTES.value: Main.OPENS,
    MainValve.HELD_OPEN.value: Main.OPENS,
    MainValve.REMOVED.value: Main.OPENS,
}
# A station depends on a master valve, that on a pump: a register with more is in error.
MOST_ABOVE = 4


def _stopgaps(station_ids: Sequence[int]) -> dict[int, list[Stood]]:
    """What stood in, by days. Only a valve that is shut off gets nothing at all."""
    found: dict[int, list[Stood]] = defaultdict(list)
    rows = Stopgap.objects.off_central().filter(station__in=station_ids)
    for station_id, kind, start, end, said in rows.order_by("counted_from", "pk").values_list(
        "station_id", "kind", "counted_from", "removed_on", "main_valve"
    ):
        stands_in = StandsIn.SHUT if kind == StopgapKind.SHUT_OFF else StandsIn.TIMER
        found[station_id].append((Interval(start, end), stands_in, SAID[said]))
    return found


def _mains(station_ids: Sequence[int]) -> dict[int, list[list[MainDays]]]:
    """Return what is known by days of each master valve and pump above these stations."""
    above: dict[int, tuple[int | None, date | None]] = {}
    wanted = set(station_ids)
    for _level in range(MOST_ABOVE + 1):
        if not wanted:
            break
        rows = StationRow.objects.filter(pk__in=wanted)
        for pk, upper, gone in rows.values_list("pk", "depends_on_id", "retired_on"):
            above[pk] = (upper, gone)
        found = {above[pk][0] for pk in wanted if pk in above}
        wanted = {upper for upper in found if upper is not None and upper not in above}
    uppers = {upper for upper, _gone in above.values() if upper}
    if not uppers:
        return {pk: [] for pk in station_ids}
    known: dict[int, list[MainDays]] = defaultdict(list)
    for upper in uppers:
        if (gone := above.get(upper, (None, None))[1]) is not None:
            known[upper].append(MainDays(Interval(gone), is_open=True))
    for upper, start, end in Outage.objects.filter(station__in=uppers).values_list(
        "station_id", "from_on", "to_on"
    ):
        known[upper].append(MainDays(Interval(start, end), is_open=False))
    kinds = {StopgapKind.HELD_OPEN.value: True, StopgapKind.SHUT_OFF.value: False}
    standing = Stopgap.objects.filter(station__in=uppers, kind__in=kinds)
    for gap in standing:
        days = Interval(gap.counted_from, gap.removed_on)
        known[gap.station_id].append(MainDays(days, kinds[gap.kind]))
    return {pk: [known[upper] for upper in _chain(pk, above)] for pk in station_ids}


def _chain(pk: int, above: dict[int, tuple[int | None, date | None]]) -> list[int]:
    """Return what stands above a station, the nearest first."""
    found: list[int] = []
    upper = above.get(pk, (None, None))[0]
    while upper is not None and upper not in found and len(found) < MOST_ABOVE:
        found.append(upper)
        upper = above.get(upper, (None, None))[0]
    return found


def offs(spells: Sequence[SpellDays], stood: Sequence[Stood]) -> list[Off]:
    """Say for the days of each spell what stood in: where nothing did, the clock ran on."""
    found: list[Off] = []
    for spell in spells:
        day, end = spell.days.from_on, spell.days.to_on
        for days, stands_in, main in stood:
            start = max(days.from_on, day)
            if (days.to_on is not None and days.to_on <= day) or (end is not None and start >= end):
                continue
            if start > day:
                found.append(Off(Interval(day, start), StandsIn.CLOCK))
            ends = [each for each in (days.to_on, end) if each is not None]
            stop = min(ends) if ends else None
            found.append(Off(Interval(start, stop), stands_in, main))
            if stop is None:
                break
            day = stop
        else:
            if end is None or day < end:
                found.append(Off(Interval(day, end), StandsIn.CLOCK))
    return found


def schedules_of(station_ids: Sequence[int]) -> dict[int, list[Schedule]]:
    """Return when each of these stations waters."""
    found: dict[int, list[Schedule]] = defaultdict(list)
    rows = ScheduleRow.objects.filter(station__in=station_ids).order_by("from_on", "pk")
    # The rhythm of each schedule by the day on which it ends: who goes on there keeps it.
    rhythms: dict[tuple[int, str, str, date | None], date] = {}
    for station_id, from_on, to_on, run_by, days, starts, minutes in rows.values_list(
        "station_id", "from_on", "to_on", "run_by", "days", "starts", "minutes"
    ):
        if from_on != to_on:
            counted_from = rhythms.get((station_id, run_by, days, from_on), from_on)
            rhythms[station_id, run_by, days, to_on] = counted_from
            made = _schedule_of(Interval(from_on, to_on), run_by, days, starts, minutes)
            found[station_id].append(replace(made, counted_from=counted_from))
    return found


def _schedule_of(
    days: Interval, run_by: str, pattern: str, starts: str, minutes: float
) -> Schedule:
    """Return a schedule as it was written down."""
    count = len([each for each in starts.split(";") if each.strip()])
    return Schedule(
        days,
        pattern_of(pattern),
        count or 1,
        minutes,
        is_by_clock=run_by in BY_CLOCK,
        is_one_start_assumed=not count,
    )


def facts_of(station_id: int) -> list[Facts]:
    """Return what one station waters over days."""
    return _facts([station_id])[station_id]


def _facts(station_ids: Sequence[int]) -> dict[int, list[Facts]]:
    found: dict[int, list[Facts]] = defaultdict(list)
    rows = StationFacts.objects.filter(station__in=station_ids).order_by("from_on", "pk")
    for station_id, from_on, to_on, *values in rows.values_list(
        "station_id", "from_on", "to_on", "area_sqft", "flow_gpm", "precipitation_in_per_h",
        "plant_factor", "efficiency",
    ):  # fmt: skip
        if from_on is None or from_on != to_on:
            found[station_id].append(Facts(_days(from_on, to_on), *values))
    return found


def _outages(station_ids: Sequence[int]) -> dict[int, list[Interval]]:
    found: dict[int, list[Interval]] = defaultdict(list)
    rows = Outage.objects.filter(station__in=station_ids).order_by("from_on", "pk")
    for station_id, from_on, to_on in rows.values_list("station_id", "from_on", "to_on"):
        found[station_id].append(Interval(from_on, to_on))
    return found


def _prices(places: Iterable[int]) -> dict[int, list[Price]]:
    found: dict[int, list[Price]] = defaultdict(list)
    rows = Tariff.objects.filter(property__in=list(places)).order_by("from_on", "pk")
    for place_id, from_on, to_on, price, unit in rows.values_list(
        "property_id", "from_on", "to_on", "water_price", "price_unit"
    ):
        if from_on is None or from_on != to_on:
            amount = None if price is None else float(price)
            found[place_id].append(Price(_days(from_on, to_on), amount, unit))
    return found


def _days(from_on: date | None, to_on: date | None) -> Interval:
    return Interval(from_on or date.min, to_on)
