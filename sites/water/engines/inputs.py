"""What the water of a station follows from: days off, schedules, facts, outages, climate."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Protocol

from sites.stopgaps.engines.spells import Interval
from sites.water.engines import constants
from sites.water.engines.schedules import Schedule

Season = tuple[tuple[int, int], tuple[int, int]]


class Lacks(StrEnum):
    """What is missing and has to be entered before a month can be known."""

    SCHEDULE = "schedule"
    DAYS = "days"
    FLOW = "flow"
    AREA = "area"
    PLANT_FACTOR = "plant factor"
    EFFICIENCY = "efficiency"
    CLIMATE = "climate"
    MAIN = "main valve"


class Note(StrEnum):
    """What was taken for granted; it stands beside the figure."""

    DERIVED_FLOW = "derived flow"
    ONE_START = "one start"
    NO_RAIN = "no rain"
    MEAN_CLIMATE = "mean climate"
    SEASON = "season"
    TWO_SCHEDULES = "two schedules"
    TEMPERATURES = "estimated"
    PRICE = "price"


class StandsIn(StrEnum):
    """What waters the station on a day off central."""

    TIMER = "timer"
    SHUT = "shut"
    CLOCK = "clock"


class Main(StrEnum):
    """Whether water comes through the master valve or pump above a station."""

    OPENS = "opens"
    SHUT = "shut"
    NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Off:
    """Days off central control, none of them in two of these, and what stands in.

    `main` is what was said of all that stands above the station for these days.
    """

    days: Interval
    stands_in: StandsIn = StandsIn.TIMER
    main: Main = Main.NOT_KNOWN


@dataclass(frozen=True, slots=True)
class Facts:
    """What the station waters over `days`; None = not known."""

    days: Interval
    area_sqft: float | None = None
    flow_gpm: float | None = None
    rate_in_per_h: float | None = None
    plant_factor: float | None = None
    efficiency: float | None = None

    @property
    def is_flow_derived(self) -> bool:
        """Whether the flow follows from a precipitation rate."""
        return self.flow_gpm is None and self.flow is not None

    @property
    def flow(self) -> float | None:
        """The flow as measured, or as rate and area make it."""
        if self.flow_gpm is not None or self.rate_in_per_h is None or self.area_sqft is None:
            return self.flow_gpm
        return constants.flow_gpm(self.rate_in_per_h, self.area_sqft)


@dataclass(frozen=True, slots=True)
class MainDays:
    """Days on which it is known of one master valve or pump that it stands open, or shut."""

    days: Interval
    is_open: bool


NOTHING_KNOWN = Facts(Interval(date.min))


@dataclass(frozen=True, slots=True)
class Depths:
    """Evapotranspiration and rain of a calendar month, or of single days, from one table.

    `estimated` are days that stand on temperatures alone.
    """

    table: str
    eto_in: float = 0.0
    rain_in: float | None = None
    by_day: Mapping[date, tuple[float, float | None]] | None = None
    is_mean: bool = False
    estimated: frozenset[date] = frozenset()

    def covers(self, start: date, end: date) -> bool:
        """Whether no day of [start, end) is missing."""
        by_day = self.by_day
        return by_day is None or all(day in by_day for day in days_of(start, end))

    def in_days(self, start: date, end: date, days_in_month: int) -> tuple[float, float | None]:
        """Return evapotranspiration and rain of [start, end): day by day, or its share."""
        if self.by_day is None:
            share = (end - start).days / days_in_month
            return self.eto_in * share, None if self.rain_in is None else self.rain_in * share
        found = [self.by_day[day] for day in days_of(start, end)]
        fell = [rain for _, rain in found if rain is not None]
        return sum(eto for eto, _ in found), sum(fell) if len(fell) == len(found) else None


class Climate(Protocol):
    """Where depths come from."""

    def of(self, month: date) -> Sequence[Depths]:
        """Return what is known of the month, the best first."""


@dataclass(frozen=True, slots=True)
class Station:
    """All that the water of one station follows from.

    `outages` are days on which nothing ran: a dead battery, switched off, emptied for winter.
    Nothing runs outside of `season` either. What plants need goes on. `mains` are the master
    valves and pumps above it, each with the days on which its state is known; the clock opens
    them for what it runs itself, a timer does not.
    """

    off: Sequence[Off]
    schedules: Sequence[Schedule] = ()
    facts: Sequence[Facts] = ()
    outages: Sequence[Interval] = ()
    season: Season | None = None
    mains: Sequence[Sequence[MainDays]] = ()


def days_of(start: date, end: date) -> Iterator[date]:
    """Yield the days of [start, end)."""
    return (start + timedelta(days=n) for n in range((end - start).days))
