"""What battery sets had to do while they were in, and how long they lasted so.

The register keeps no temperatures: a day is taken as cold whose month has a reference
evapotranspiration of less than an inch and a half (our own choice, no source), by the property's
climate table or the mean of its years; without one, a day outside of its season.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from sites.models import Device, Property, Stopgap
from sites.stopgaps.engines.battery_life import Conditions, Life
from sites.stopgaps.engines.spells import Interval, in_season
from sites.stopgaps.services.batteries import ended_sets
from sites.water.engines.inputs import Season, days_of
from sites.water.engines.months import next_month
from sites.water.engines.schedules import Schedule
from sites.water.services.climate import PlaceClimate, climates_of
from sites.water.services.gathered import schedules_of

COLD_BELOW_IN_A_DAY = 1.5 / 30


@dataclass(frozen=True)
class InUse:
    """A set of a timer over [from_on, to_on)."""

    device_id: int
    from_on: date
    to_on: date


def lives_by_kind() -> dict[str, list[Life]]:
    """Return the lives of the company's own sets by kind, with what each of them had to do."""
    ended = ended_sets()
    sets = [InUse(one.device_id, one.from_on, one.to_on) for one in ended]
    found: dict[str, list[Life]] = defaultdict(list)
    for one, conditions in zip(ended, conditions_of(sets), strict=True):
        life = Life((one.to_on - one.from_on).days, one.is_empty, conditions)
        found[one.kind].append(life)
    return dict(found)


def conditions_of(sets: Sequence[InUse]) -> list[Conditions]:
    """Return what each of these sets has to do, in as many queries for many as for few."""
    if not sets:
        return []
    devices = Device.objects.select_related("property").in_bulk({one.device_id for one in sets})
    places = {device.property_id: device.property for device in devices.values()}
    climates = climates_of(places.values(), ahead_from=date.min)
    fitted: dict[int, list[tuple[int, Interval]]] = defaultdict(list)
    for device, station, from_on, to_on in (
        Stopgap.objects.filter(device__in=devices)
        .order_by("counted_from", "pk")
        .values_list("device_id", "station_id", "counted_from", "removed_on")
    ):
        fitted[device or 0].append((station, Interval(from_on, to_on)))
    stations = {station for some in fitted.values() for station, _ in some}
    schedules = schedules_of(sorted(stations))
    found = []
    for one in sets:
        place = devices[one.device_id].property
        found.append(
            Conditions(
                _hours_a_day(one, fitted[one.device_id], schedules, place.season),
                _cold(one, place, climates[place.pk]),
            )
        )
    return found


def _hours_a_day(
    one: InUse,
    fitted: Sequence[tuple[int, Interval]],
    schedules: dict[int, list[Schedule]],
    season: Season | None,
) -> float | None:
    """Return the hours of watering a day, of all valves; None where a schedule lacks, or its days.

    Only what the timer itself runs counts, and nothing runs outside of the season.
    """
    minutes, is_known = 0.0, False
    for station, days in fitted:
        start, end = max(days.from_on, one.from_on), min(days.to_on or one.to_on, one.to_on)
        own = [each for each in schedules.get(station, ()) if not each.is_by_clock]
        day = start
        for each in own:
            first = max(each.days.from_on, day)
            last = min(each.days.to_on or end, end)
            if first > day or last <= first:
                continue
            if each.pattern is None:
                return None
            minutes += sum(each.minutes_in(a, b) for a, b in _watered(first, last, season))
            day = last
        if day < end:
            return None
        is_known = is_known or start < end
    return minutes / 60 / (one.to_on - one.from_on).days if is_known else None


def _watered(start: date, end: date, season: Season | None) -> Iterator[tuple[date, date]]:
    """Yield the parts of [start, end) that lie in the season."""
    if season is None:
        yield start, end
        return
    since: date | None = None
    for day in days_of(start, end):
        if in_season(day, season):
            since = since or day
        elif since is not None:
            yield since, day
            since = None
    if since is not None:
        yield since, end


def _cold(one: InUse, place: Property, climate: PlaceClimate) -> float | None:
    """Return the share of the days that is cold; None where nothing says it."""
    whole, cold = (one.to_on - one.from_on).days, 0
    if not climate.tables:
        if place.season is None:
            return None
        in_it = sum(in_season(day, place.season) for day in days_of(one.from_on, one.to_on))
        return 1 - in_it / whole
    start = one.from_on
    while start < one.to_on:
        month = start.replace(day=1)
        end, days = min(next_month(start), one.to_on), (next_month(start) - month).days
        known = next((each for each in climate.of(month) if each.covers(start, end)), None)
        if known is None:
            return None
        if known.in_days(start, end, days)[0] / (end - start).days < COLD_BELOW_IN_A_DAY:
            cold += (end - start).days
        start = end
    return cold / whole
