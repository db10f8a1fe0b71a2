"""Two worked spells and the climate tables that they stand on.

Sources: monthly evapotranspiration of Vacaville: a local ordinance (ecode360.com/48417178,
found); of Carneros: a city's code (law.cityofamericancanyon.org, found). The spells are our own,
worked by hand, with fractions and with numpy.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sites.stopgaps.engines.spells import Interval
from sites.water.engines.inputs import Depths, Facts, Off, Station
from sites.water.engines.schedules import Schedule, read_pattern

VACAVILLE = (0.7, 1.4, 3.2, 5.2, 6.3, 7.6, 8.2, 7.2, 5.5, 4.3, 1.6, 1.1)
CARNEROS = (0.8, 1.5, 3.1, 4.6, 5.5, 6.6, 6.9, 6.2, 4.7, 3.5, 1.4, 1.0)


@dataclass(frozen=True)
class Table:
    """Twelve months of any year, and the rain of single months (number: inches)."""

    eto_in: Sequence[float]
    rain_in: Mapping[int, float]
    rain_elsewhere_in: float | None = 0.0

    def of(self, month: date) -> list[Depths]:
        """Return the one row of the month."""
        rain = self.rain_in.get(month.month, self.rain_elsewhere_in)
        return [Depths("table", self.eto_in[month.month - 1], rain)]


@dataclass(frozen=True)
class Days:
    """Daily values only: a month with a day missing has nothing."""

    by_day: Mapping[date, tuple[float, float | None]]

    def of(self, _month: date) -> list[Depths]:
        """Return the days."""
        return [Depths("days", by_day=self.by_day)]


class NoClimate:
    """A place without a table."""

    def of(self, _month: date) -> list[Depths]:
        """Return nothing."""
        return []


ALWAYS = Interval(date.min)


def schedule(
    days: str, starts: int, minutes: float, start: date = date(2000, 1, 1), end: date | None = None
) -> Schedule:
    """Return a schedule from "Mon Wed Fri" or "every 3"."""
    return Schedule(Interval(start, end), read_pattern(days), starts, minutes)


LAWN = Facts(ALWAYS, area_sqft=2400, flow_gpm=18, plant_factor=0.8, efficiency=0.75)
LAWN_SPELL = Interval(date(2025, 7, 18), date(2025, 11, 11))
LAWN_CLIMATE = Table(VACAVILLE, {10: 1.20, 11: 2.50})
LAWN_STATION = Station(
    off=(Off(LAWN_SPELL),),
    schedules=(schedule("Mon Tue Thu Sat", 3, 14, LAWN_SPELL.from_on),),
    facts=(LAWN,),
)

SHRUBS = Facts(ALWAYS, area_sqft=1150, flow_gpm=7.2, plant_factor=0.5, efficiency=0.81)
SHRUB_SPELL = Interval(date(2026, 4, 6), date(2026, 7, 1))
SHRUB_CLIMATE = Table(CARNEROS, {4: 1.0})
SHRUB_STATION = Station(
    off=(Off(SHRUB_SPELL),),
    schedules=(
        schedule("Mon Wed Fri", 1, 25, date(2026, 4, 6), date(2026, 5, 18)),
        schedule("Mon Wed Fri", 1, 35, date(2026, 5, 18)),
    ),
    facts=(SHRUBS,),
    outages=(Interval(date(2026, 6, 10), date(2026, 6, 17)),),
)
