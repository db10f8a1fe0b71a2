"""Excess and shortfall of one station by calendar month, over the days that it was off central.

Applied water comes from the schedules that hold, needed water from climate, plants and area.
Excess is what a month was given above its need, shortfall what it lacked; the two are never
netted, so that a dry July does not pay for a wet November. All of a station's days in a month
are pooled first: a single watering carries the need of several days.

What is missing makes the month "not known", never 0. Nothing is rounded here.
"""

from calendar import isleap
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise

from sites.stopgaps.engines.spells import Interval, in_season
from sites.water.engines import rain
from sites.water.engines.constants import GAL_PER_IN_SQFT
from sites.water.engines.inputs import (
    NOTHING_KNOWN,
    Climate,
    Depths,
    Facts,
    Lacks,
    Main,
    Note,
    Off,
    StandsIn,
    Station,
)
from sites.water.engines.schedules import Schedule

LEAP_DAY = (2, 29)
APPLIED_LACKS = frozenset({Lacks.SCHEDULE, Lacks.DAYS, Lacks.FLOW, Lacks.MAIN})


@dataclass(frozen=True, slots=True)
class Month:
    """One calendar month of a station: gallons, or None where something is missing."""

    month: date
    days: int
    applied_gal: float | None
    needed_gal: float | None
    lacks: frozenset[Lacks] = frozenset()
    notes: frozenset[Note] = frozenset()
    table: str = ""

    @property
    def excess_gal(self) -> float | None:
        """What it was given above its need."""
        if self.applied_gal is None or self.needed_gal is None:
            return None
        return max(0.0, self.applied_gal - self.needed_gal)

    @property
    def shortfall_gal(self) -> float | None:
        """What it lacked."""
        if self.applied_gal is None or self.needed_gal is None:
            return None
        return max(0.0, self.needed_gal - self.applied_gal)


@dataclass(frozen=True, slots=True)
class Stretch:
    """Days of one month in which nothing changes."""

    start: date
    end: date
    off: Off

    @property
    def days(self) -> int:
        """How many."""
        return (self.end - self.start).days


def months(
    station: Station,
    climate: Climate,
    *,
    until: date,
    since: date = date.min,
    effective: Callable[[float], float] = rain.half,
) -> list[Month]:
    """Return the station's months with a day off central before `until`, in order.

    Args:
        since: months that begin before this day are left out.
        effective: what of a month's rain plants can use, inches in and out.
    """
    by_month: dict[date, list[Stretch]] = {}
    for stretch in stretches(station, until):
        if (month := stretch.start.replace(day=1)) >= since:
            by_month.setdefault(month, []).append(stretch)
    return [
        _Sum(station, month, effective).of(found, climate.of(month))
        for month, found in sorted(by_month.items())
    ]


def next_month(day: date) -> date:
    """Return the first day of the month after that of `day`."""
    return date(day.year + day.month // 12, day.month % 12 + 1, 1)


def stretches(station: Station, until: date) -> Iterator[Stretch]:
    """Cut the days off central wherever a month, a schedule, a fact or an outage changes."""
    edges = _edges(station)
    for off in station.off:
        start = off.days.from_on
        end = until if off.days.to_on is None else min(off.days.to_on, until)
        if end <= start:
            continue
        cuts = {start, end, *(edge for edge in edges if start < edge < end)}
        cuts |= set(_firsts(start, end))
        if station.season is not None:
            cuts |= {day for day in _turns(station.season, start, end) if start < day < end}
        for first, last in pairwise(sorted(cuts)):
            yield Stretch(first, last, off)


def _edges(station: Station) -> set[date]:
    dated: list[Interval] = [each.days for each in station.schedules]
    dated += [each.days for each in station.facts]
    dated += station.outages
    dated += [each.days for main in station.mains for each in main]
    ends = {each.to_on for each in dated if each.to_on is not None}
    return ends | {each.from_on for each in dated}


def _firsts(start: date, end: date) -> Iterator[date]:
    day = next_month(start)
    while day < end:
        yield day
        day = next_month(day)


def _turns(season: tuple[tuple[int, int], tuple[int, int]], start: date, end: date) -> list[date]:
    """Return the season's first and last days; a year without 29 February turns with March."""
    return [
        date(year, month, day)
        for year in range(start.year, end.year + 1)
        for month, day in season
        if (month, day) != LEAP_DAY or isleap(year)
    ]


@dataclass
class _Sum:
    """A month while its stretches are added up."""

    station: Station
    month: date
    effective: Callable[[float], float]
    lacks: set[Lacks] = field(default_factory=set)
    notes: set[Note] = field(default_factory=set)

    def of(self, found: Sequence[Stretch], known: Sequence[Depths]) -> Month:
        depths = next((each for each in known if _covers(each, found)), None)
        applied = sum(self._applied(stretch) for stretch in found)
        needed = self._needed(found, depths)
        return Month(
            self.month,
            sum(stretch.days for stretch in found),
            None if self.lacks & APPLIED_LACKS else applied,
            None if self.lacks - APPLIED_LACKS else needed,
            frozenset(self.lacks),
            frozenset(self.notes),
            depths.table if depths is not None else "",
        )

    def _applied(self, stretch: Stretch) -> float:
        """Flow times minutes; a stretch in which nothing runs needs no flow to be known."""
        main = self._main(stretch)
        if not self._may_run(stretch) or main is Main.SHUT:
            return 0.0
        minutes = sum(self._minutes(schedule, stretch) for schedule in self._holding(stretch))
        if not minutes:
            return 0.0
        if main is Main.NOT_KNOWN:
            self.lacks.add(Lacks.MAIN)
        facts = _facts_on(self.station.facts, stretch.start)
        flow = facts.flow
        if flow is None:
            self.lacks.add(Lacks.FLOW)
            return 0.0
        if facts.is_flow_derived:
            self.notes.add(Note.DERIVED_FLOW)
        return flow * minutes

    def _main(self, stretch: Stretch) -> Main:
        """Say whether water reaches the valve: through each master valve and pump above it.

        What is known of one of these by its own days goes before what was said for the station.
        """
        if stretch.off.stands_in is not StandsIn.TIMER:
            return Main.OPENS
        states = []
        for main in self.station.mains:
            known = next((each for each in main if each.days.holds(stretch.start)), None)
            if known is None:
                states.append(stretch.off.main)
            else:
                states.append(Main.OPENS if known.is_open else Main.SHUT)
        return next((each for each in (Main.SHUT, Main.NOT_KNOWN) if each in states), Main.OPENS)

    def _may_run(self, stretch: Stretch) -> bool:
        if stretch.off.stands_in is StandsIn.SHUT:
            return False
        if any(outage.holds(stretch.start) for outage in self.station.outages):
            return False
        season = self.station.season
        if season is not None and not in_season(stretch.start, season):
            self.notes.add(Note.SEASON)
            return False
        return True

    def _holding(self, stretch: Stretch) -> list[Schedule]:
        """Return the schedules that reach the valve now.

        One that ended while the station was off, with none after it, was ended on purpose; where
        there has been none since it went off, nobody wrote it down.
        """
        able = [
            each
            for each in self.station.schedules
            if stretch.off.stands_in is StandsIn.CLOCK or not each.is_by_clock
        ]
        holding = [each for each in able if each.days.holds(stretch.start)]
        went_off = stretch.off.days.from_on
        if not holding and not any(
            each.days.from_on < stretch.start and each.days.to_on and each.days.to_on > went_off
            for each in able
        ):
            self.lacks.add(Lacks.SCHEDULE)
        if sum(each.minutes > 0 for each in holding) > 1:
            self.notes.add(Note.TWO_SCHEDULES)
        return holding

    def _minutes(self, schedule: Schedule, stretch: Stretch) -> float:
        if schedule.pattern is None and schedule.minutes:
            self.lacks.add(Lacks.DAYS)
        if schedule.is_one_start_assumed:
            self.notes.add(Note.ONE_START)
        return schedule.minutes_in(stretch.start, stretch.end)

    def _needed(self, found: Sequence[Stretch], depths: Depths | None) -> float:
        """Need less effective rain, pooled over the month for each state of the facts."""
        if depths is None:
            self.lacks.add(Lacks.CLIMATE)
            return 0.0
        if depths.is_mean:
            self.notes.add(Note.MEAN_CLIMATE)
        length = (next_month(self.month) - self.month).days
        pooled: dict[tuple[float, float, float], list[float]] = {}
        for stretch in found:
            key = self._plants(_facts_on(self.station.facts, stretch.start))
            if any(stretch.start <= day < stretch.end for day in depths.estimated):
                self.notes.add(Note.TEMPERATURES)
            eto_in, rain_in = depths.in_days(stretch.start, stretch.end, length)
            if rain_in is None:
                self.notes.add(Note.NO_RAIN)
            total = pooled.setdefault(key, [0.0, 0.0])
            total[0] += eto_in
            total[1] += rain_in or 0.0
        rain_in = sum(rain for _, rain in pooled.values())
        usable = self._usable(depths, rain_in)
        return sum(
            max(0.0, eto * factor - rain * usable) / efficiency * area * GAL_PER_IN_SQFT
            for (factor, efficiency, area), (eto, rain) in pooled.items()
        )

    def _usable(self, depths: Depths, rain_in: float) -> float:
        """Return the usable share of rain: of the whole month, before it is shared by days."""
        whole = depths.rain_in if depths.by_day is None else rain_in
        return self.effective(whole) / whole if whole else 0.0

    def _plants(self, facts: Facts) -> tuple[float, float, float]:
        for value, lack in (
            (facts.area_sqft, Lacks.AREA),
            (facts.plant_factor, Lacks.PLANT_FACTOR),
            (facts.efficiency, Lacks.EFFICIENCY),
        ):
            if value is None:
                self.lacks.add(lack)
        return facts.plant_factor or 0.0, facts.efficiency or 1.0, facts.area_sqft or 0.0


def _covers(depths: Depths, found: Iterable[Stretch]) -> bool:
    return all(depths.covers(stretch.start, stretch.end) for stretch in found)


def _facts_on(facts: Sequence[Facts], day: date) -> Facts:
    return next((each for each in facts if each.days.holds(day)), NOTHING_KNOWN)
