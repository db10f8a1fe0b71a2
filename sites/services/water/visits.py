"""Visits to change batteries during a spell: one for each set, however many valves it runs."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.conf import settings
from django.db.models import Count, Q

from sites.engines.spells import Interval
from sites.models import Device, Station, Stopgap, Tariff


@dataclass(frozen=True)
class BatteryVisits:
    """Battery changes of one device within a spell, and how many valves share each of them."""

    device: Device
    visits: int
    valves: int
    labour_cost: float | None

    @property
    def share_of_cost(self) -> float | None:
        """This station's part of what the visits cost."""
        return None if self.labour_cost is None else self.labour_cost / self.valves


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
    valves = Count("stopgaps__station", filter=Q(stopgaps__removed_on=None), distinct=True)
    devices = Device.objects.filter(pk__in=gaps.values("device")).annotate(valves=valves)
    changed = _changes(device.pk for device in devices)
    rate = tariff.labour_rate if tariff is not None else None
    found = []
    for device in sorted(devices, key=lambda each: (each.name, each.pk)):
        visits = sum(days.holds(day) for day in changed.get(device.pk, ()))
        hours = visits * settings.BATTERY_VISIT_MINUTES / 60
        cost = None if rate is None else hours * float(rate)
        found.append(BatteryVisits(device, visits, max(1, device.valves), cost))
    return found


def _changes(device_ids: Iterable[int]) -> dict[int, set[date]]:
    found: dict[int, set[date]] = {}
    rows = Device.history.filter(id__in=list(device_ids), battery_changed_on__isnull=False)
    for device_id, day in rows.values_list("id", "battery_changed_on"):
        found.setdefault(device_id, set()).add(day)
    return found
