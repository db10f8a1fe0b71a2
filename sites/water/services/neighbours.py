"""How much more a station was given than its linked neighbours of the same kind."""

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import Q

from sites.models import Central, Property, Spell, Station, StationFacts
from sites.stopgaps.engines.spells import Interval
from sites.water.engines.inputs import Depths, Facts, Off, StandsIn
from sites.water.engines.inputs import Station as Water
from sites.water.engines.months import months
from sites.water.services.gathered import Gathered, gather, schedules_of

# Enough for a mean; a property may have thousands of lawns.
MOST_NEIGHBOURS = 30


@dataclass(frozen=True)
class Beside:
    """What linked neighbours were given on the same days, as a volume on this station's area.

    `months` are those in which both are known, of `of_months` that the time has.
    """

    neighbours: int
    months: int
    of_months: int
    applied_gal: float
    theirs_gal: float

    @property
    def more_gal(self) -> float:
        """What it was given above them; below 0 = less."""
        return self.applied_gal - self.theirs_gal

    @property
    def less_gal(self) -> float:
        """What it was given below them."""
        return -self.more_gal


class _NoNeed:
    """No climate: only what was applied is needed."""

    def of(self, _month: date) -> list[Depths]:
        return []


def beside_neighbours(station: Station, *, days: Interval, until: date) -> Beside | None:
    """Compare over the months of `days` in which both are known; None where none is.

    Neighbours are stations of the same property and plant kind that were on central control all
    these days, on a linked controller; those of the same controller come first.
    """
    facts = station.facts.open().order_by("pk").first()
    if facts is None or not facts.area_sqft or not facts.plant_kind:
        return None
    found = _neighbours(station, facts.plant_kind, days)
    if not found:
        return None
    own = gather([station.pk])
    return _compare(own[0], found, days, until, facts.area_sqft) if own else None


def _compare(
    own: Gathered, neighbours: list[Water], days: Interval, until: date, area_sqft: float
) -> Beside | None:
    mine = {
        row.month: row.applied_gal for row in months(_only(own.water, days), _NoNeed(), until=until)
    }
    given: dict[date, list[tuple[float, float]]] = defaultdict(list)
    for water in neighbours:
        for row in months(water, _NoNeed(), until=until):
            if row.applied_gal is not None:
                given[row.month].append((row.applied_gal, water.facts[-1].area_sqft or 0.0))
    both = [month for month, gallons in mine.items() if gallons is not None and given[month]]
    if not both:
        return None
    theirs = 0.0
    for month in both:
        gallons, area = (sum(each) for each in zip(*given[month], strict=True))
        theirs += gallons / area * area_sqft
    return Beside(
        neighbours=max(len(given[month]) for month in both),
        months=len(both),
        of_months=len(mine),
        applied_gal=sum(mine[month] or 0.0 for month in both),
        theirs_gal=theirs,
    )


def _only(water: Water, days: Interval) -> Water:
    off = tuple(
        replace(
            each,
            days=Interval(max(each.days.from_on, days.from_on), _end(each.days, days)),
        )
        for each in water.off
        if days_in_common(each.days, days)
    )
    return replace(water, off=off)


def days_in_common(one: Interval, other: Interval) -> bool:
    """Return whether two stretches share a day."""
    starts = max(one.from_on, other.from_on)
    end = _end(one, other)
    return end is None or starts < end


def _end(one: Interval, other: Interval) -> date | None:
    ends = [each for each in (one.to_on, other.to_on) if each is not None]
    return min(ends) if ends else None


def _neighbours(station: Station, plant_kind: str, days: Interval) -> list[Water]:
    place: Property = station.controller.property
    off = Spell.objects.filter(station__controller__property=place).filter(
        Q(to_on=None) | Q(to_on__gt=days.from_on)
    )
    if days.to_on is not None:
        off = off.filter(from_on__lt=days.to_on)
    rows = (
        StationFacts.objects.open()
        .filter(
            station__in=Station.objects.in_care().filter(
                controller__property=place, controller__central=Central.LINKED
            ),
            plant_kind__iexact=plant_kind,
            area_sqft__gt=0,
            station__schedules__isnull=False,
        )
        .exclude(station=station.pk)
        .exclude(station__in=off.values("station"))
        .values_list(
            "station_id", "area_sqft", "flow_gpm", "precipitation_in_per_h",
            "station__controller_id", "station__number",
        )
        .distinct()
    )  # fmt: skip
    listed = sorted(
        rows,
        key=lambda row: (row[4] != station.controller_id, abs(row[5] - station.number), row[0]),
    )[:MOST_NEIGHBOURS]
    schedules = schedules_of([row[0] for row in listed])
    return [
        Water(
            off=(Off(days, StandsIn.CLOCK),),
            schedules=schedules[pk],
            facts=(Facts(Interval(date.min), area, flow, rate),),
            season=place.season,
        )
        for pk, area, flow, rate, _controller, _number in listed
    ]
