"""Keep the derived ledger up to date in each verb's transaction: collect changes, rebuild once.

Outside of a verb (a command, the admin, a test that makes rows) each change rebuilds at once.
Bulk writes send no signal: their caller has to call `touch`. A change to more stations than a
request can rebuild in time marks them as stale, and a background run rebuilds them.
"""

from dataclasses import dataclass, field
from typing import Any

from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from sites.kernel.services.collecting import Collector
from sites.models import (
    ClimateRow,
    Outage,
    Property,
    Schedule,
    Spell,
    Station,
    StationFacts,
    Stopgap,
    Tariff,
    WaterMonth,
)
from sites.runs.services import start_run
from sites.stopgaps.services.spells import spells_rebuilt
from sites.water.services.ledger import mark_stale, rebuild_water

# So many stations are rebuilt in about half a second.
MOST_AT_ONCE = 400
IN_BACKGROUND = "rebuild water"


@dataclass
class Touched:
    """Keys of what was changed; the stations behind them are looked up once, at the end."""

    stations: set[int] = field(default_factory=set)
    mains: set[int] = field(default_factory=set)
    places: set[int] = field(default_factory=set)
    tables: set[str] = field(default_factory=set)

    def rebuild(self, *, may_start_run: bool = True) -> None:
        """Rebuild the ledger of all touched stations, or mark it as stale where they are many.

        Args:
            may_start_run: without a run, stale stations wait for the next round.
        """
        ids = self._station_ids()
        if len(ids) <= MOST_AT_ONCE:
            if ids:
                rebuild_water(ids)
            return
        mark_stale(ids)
        if may_start_run:
            start_run(
                service=IN_BACKGROUND,
                title=_("Work out what staying off central costs"),
                by=None,
                at=timezone.now(),
                arguments={},
            )

    def _below(self) -> set[int]:
        """Return the stations behind master valves and pumps that were changed."""
        found: set[int] = set()
        level = self.mains
        while level:
            rows = Station.objects.filter(depends_on__in=level).order_by()
            level = set(rows.values_list("pk", flat=True)) - found
            found |= level
        return found

    def _station_ids(self) -> set[int]:
        """Return those that were ever off central control: no other has a ledger."""
        ids: set[int] = set()
        touched = sorted(self.stations | self._below())
        for start in range(0, len(touched), 500):
            some = touched[start : start + 500]
            for model in (Spell, WaterMonth):
                rows = model.objects.filter(station__in=some).order_by()
                ids |= set(rows.values_list("station_id", flat=True))
        where = Q()
        if self.places:
            where |= Q(station__controller__property__in=self.places)
        if self.tables:
            where |= Q(station__controller__property__climate_table__in=self.tables)
        if where:
            rows = Spell.objects.filter(where).order_by()
            ids |= set(rows.values_list("station_id", flat=True))
        return ids


_collector = Collector("water_touched", Touched)
water_kept = _collector.kept
# Say what was changed without a signal, by the names of `Touched`.
touch = _collector.touch


def _of_station(instance: Any, **_: Any) -> None:
    touch(stations=[instance.station_id])


def _main(instance: Station, created: bool = False, **_: Any) -> None:
    """What it depends on, and whether it is there, for itself and for all behind it."""
    if not created:
        touch(stations=[instance.pk], mains=[instance.pk])


def _of_main(instance: Stopgap | Outage, **_: Any) -> None:
    """A master valve that is held open, shut or switched off concerns all behind it."""
    touch(stations=[instance.station_id], mains=[instance.station_id])


def _tariff(instance: Tariff, **_: Any) -> None:
    touch(places=[instance.property_id])


def _climate(instance: ClimateRow, **_: Any) -> None:
    if instance.property_id is not None:
        touch(places=[instance.property_id])
    else:
        touch(tables=[instance.table])


def _place(instance: Property, created: bool = False, **_: Any) -> None:
    """Its time zone, its season and its climate table."""
    if not created:
        touch(places=[instance.pk])


def _spells(station_ids: list[int], **_: Any) -> None:
    touch(stations=station_ids)


_WHEN_SAVED: dict[Any, Any] = {
    Schedule: _of_station,
    StationFacts: _of_station,
    Outage: _of_main,
    Station: _main,
    Stopgap: _of_main,
    Tariff: _tariff,
    ClimateRow: _climate,
    Property: _place,
}


def connect() -> None:
    """Listen to all that the ledger follows from. Called once, when the app is ready."""
    _collector.listen(_WHEN_SAVED, deleted=(Schedule, StationFacts, Outage, Tariff, ClimateRow))
    spells_rebuilt.connect(_spells, dispatch_uid="water spells")
