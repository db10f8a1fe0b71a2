"""What a station's return saves until a day: water that nobody needed, and visits for batteries."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from django.conf import settings

from faults.due.services.rules import rules_now
from faults.models import FollowUpKind
from faults.prices.engines.pricing import Prices
from sites.models import Stopgap
from sites.water.services.ahead import Saved, saved_between
from sites.water.services.gathered import Gathered, gather


@dataclass(frozen=True)
class Visits:
    """The battery set of a station's timer: when it was changed, and how many valves share it."""

    since: date
    valves: int

    def days(self, start: date, until: date, every_days: int) -> int:
        """Return how many changes fall due in [start, until), one each `every_days`.

        What falls due before it is back has to be done in any case.
        """
        every = max(every_days, 1)
        before = max((start - self.since).days - 1, 0) // every
        return max((until - self.since).days - 1, 0) // every - before


@dataclass(frozen=True)
class Saving:
    """What is saved. `visits_cost` is this station's share; None without a rate of labour."""

    water: Saved
    visits: float
    visits_cost: float | None

    @property
    def money(self) -> float | None:
        """Water and visits together; None where a part is not known."""
        if self.water.cost is None or self.visits_cost is None:
            return None
        return self.water.cost + self.visits_cost


class Savings:
    """The savings of some stations, read at once."""

    def __init__(self, station_ids: Sequence[int], *, today: date) -> None:
        self._water = {one.pk: one for one in gather(station_ids, ahead_from=today.replace(day=1))}
        self._visits = _visits_of(station_ids)
        rule = rules_now()[FollowUpKind.BATTERY]
        self._every_days = rule.days

    def water_of(self, station_id: int) -> Gathered | None:
        """Return what the water of a station follows from."""
        return self._water.get(station_id)

    def of(self, station_id: int, prices: Prices, start: date, until: date) -> Saving:
        """Return what a station saves if it is back on `start`, until the day before `until`."""
        one = self._water.get(station_id)
        # A spell that the ledger does not know is no day without cost.
        nothing = Saved(None, None, None, frozenset())
        water = nothing if one is None else saved_between(one, start, until)
        set_of = self._visits.get(station_id)
        visits = 0 if set_of is None else set_of.days(start, until, self._every_days)
        rate = prices.labour_rate()
        share = visits / set_of.valves if set_of else 0.0
        minutes = share * settings.BATTERY_VISIT_MINUTES
        cost = 0.0 if not visits else None if rate is None else minutes / 60 * float(rate)
        return Saving(water, share, cost)


def _visits_of(station_ids: Collection[int]) -> dict[int, Visits]:
    rows = list(
        Stopgap.objects.open()
        .filter(station__in=station_ids, device__isnull=False)
        .select_related("device")
        .order_by("station", "-counted_from", "-pk")
    )
    valves: dict[int, set[int]] = {}
    sharing = Stopgap.objects.open().filter(device__in={row.device_id for row in rows})
    for device, station in sharing.order_by().values_list("device_id", "station_id"):
        if device is not None:
            valves.setdefault(device, set()).add(station)
    found: dict[int, Visits] = {}
    for row in rows:
        assert row.device is not None
        since = row.device.battery_changed_on or row.counted_from
        found.setdefault(row.station_id, Visits(since, len(valves[row.device.pk])))
    return found
