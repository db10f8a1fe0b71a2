"""Visits to change batteries during a spell: one for each set, however many valves it runs."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.conf import settings
from django.db.models import Min, Q

from sites.models import Device, Station, Stopgap, Tariff
from sites.stopgaps.engines.spells import Interval


@dataclass(frozen=True)
class BatteryVisits:
    """Battery changes of one device within a spell, and how many valves share each of them.

    `valves` is the most valves that one set ran. `is_least`: the device was written down after
    the spell began, so that earlier changes are not known. `share_of_cost` is this station's part,
    by the valves that ran on each day of a change.
    """

    device: Device
    visits: int
    valves: int
    is_least: bool
    labour_cost: float | None
    share_of_cost: float | None

    @property
    def is_shared(self) -> bool:
        """Whether others bear a part."""
        return self.valves > 1


def battery_visits(
    station: Station, *, days: Interval, tariff: Tariff | None
) -> list[BatteryVisits]:
    """Return the visits for each device that ran the station in these days.

    Each day of a battery change that the device's history holds is one visit.
    """
    gaps = Stopgap.objects.filter(station=station, device__isnull=False).filter(
        Q(removed_on=None) | Q(removed_on__gt=days.from_on)
    )
    if days.to_on is not None:
        gaps = gaps.filter(counted_from__lt=days.to_on)
    devices = list(Device.objects.filter(pk__in=gaps.values("device")).order_by("name", "pk"))
    keys = [device.pk for device in devices]
    changed, known, runs = _changes(keys), _known_since(keys), _runs(keys)
    rate = tariff.labour_rate if tariff is not None else None
    each_cost = None if rate is None else settings.BATTERY_VISIT_MINUTES / 60 * float(rate)
    found = []
    for device in devices:
        visits = [day for day in changed.get(device.pk, ()) if days.holds(day)]
        valves = [_valves_on(runs[device.pk], day) for day in visits]
        found.append(
            BatteryVisits(
                device,
                len(visits),
                max(valves, default=1),
                known[device.pk] > days.from_on,
                None if each_cost is None else each_cost * len(visits),
                None if each_cost is None else sum(each_cost / n for n in valves),
            )
        )
    return found


def _changes(device_ids: Iterable[int]) -> dict[int, set[date]]:
    found: dict[int, set[date]] = {}
    rows = Device.history.filter(id__in=list(device_ids), battery_changed_on__isnull=False)
    for device_id, day in rows.values_list("id", "battery_changed_on"):
        found.setdefault(device_id, set()).add(day)
    return found


def _known_since(device_ids: Iterable[int]) -> dict[int, date]:
    """Return the day on which each device was first written down."""
    rows = Device.history.filter(id__in=list(device_ids)).order_by()
    firsts = rows.values_list("id").annotate(first=Min("history_date"))
    found = dict.fromkeys(device_ids, date.max)
    return found | {device_id: first.date() for device_id, first in firsts}


def _runs(device_ids: Iterable[int]) -> dict[int, list[tuple[int, Interval]]]:
    """Return which stations each device ran, and when."""
    found: dict[int, list[tuple[int, Interval]]] = defaultdict(list)
    rows = Stopgap.objects.filter(device__in=list(device_ids))
    for device_id, station_id, start, end in rows.values_list(
        "device_id", "station_id", "counted_from", "removed_on"
    ):
        found[device_id].append((station_id, Interval(start, end)))
    return found


def _valves_on(runs: Iterable[tuple[int, Interval]], day: date) -> int:
    """Return how many valves a device ran on a day; a change before any was fitted serves one."""
    return len({station_id for station_id, days in runs if days.holds(day)}) or 1
