"""Keep derived waits up to date in each verb's transaction: collect what changed, rebuild once.

Outside of a verb (a command, the admin, a test that makes rows) each change rebuilds at once.
Bulk writes send no signal: their caller has to call `rebuild_waits`.
"""

from dataclasses import dataclass, field
from typing import Any

from django.db.models import Q
from django.db.models.signals import m2m_changed

from faults.models import (
    Asked,
    ClosedDay,
    ClosedDays,
    DigOverride,
    Fault,
    FaultStation,
    Job,
    Notice,
    NoticeRule,
    OperatorAnswer,
    Reading,
    ReadingKind,
    StageMove,
)
from faults.waits.services.waits import rebuild_waits
from sites.kernel.services.collecting import Collector
from sites.models import Property, Stopgap
from sites.stopgaps.services.spells import spells_rebuilt


@dataclass
class Touched:
    """Keys of what was changed; the stations behind them are looked up once, at the end."""

    stations: set[int] = field(default_factory=set)
    faults: set[int] = field(default_factory=set)
    jobs: set[int] = field(default_factory=set)
    places: set[int] = field(default_factory=set)
    regions: set[str] = field(default_factory=set)
    closed_days: set[int] = field(default_factory=set)

    def rebuild(self) -> None:
        """Rebuild the waits of all touched stations."""
        if self.closed_days:
            rules = NoticeRule.objects.filter(closed_days__in=self.closed_days)
            self.regions |= set(rules.values_list("region", flat=True))
        rows = Q()
        if self.faults:
            rows |= Q(fault__in=self.faults)
        if self.places:
            rows |= Q(fault__property__in=self.places)
        if self.regions:
            rows |= Q(fault__property__notice_region__in=self.regions)
        station_ids = set(self.stations)
        if rows:
            found = FaultStation.objects.filter(rows).values_list("station_id", flat=True)
            station_ids |= set(found)
        if self.jobs:
            named = Job.stations.through.objects.filter(job__in=self.jobs)
            station_ids |= set(named.values_list("station_id", flat=True))
        if station_ids:
            rebuild_waits(station_ids)


_collector = Collector("waits_touched", Touched)
waits_kept = _collector.kept
# Say what was changed without a signal, by the names of `Touched`.
touch = _collector.touch


def _fault_station(instance: FaultStation, **_: Any) -> None:
    touch(stations=[instance.station_id])


def _stage_move(instance: StageMove, **_: Any) -> None:
    touch(stations=[instance.fault_station.station_id])


def _fault(instance: Fault, **_: Any) -> None:
    touch(faults=[instance.pk])


def _job(instance: Job, **_: Any) -> None:
    touch(jobs=[instance.pk], faults=[instance.fault_id])


def _job_stations(instance: Any, action: str, pk_set: set[int] | None, **_: Any) -> None:
    """A job that names stations is for those alone, so its fault's others are touched too."""
    if action == "pre_clear":
        touch(jobs=[instance.pk])
    elif action.startswith("post_"):
        touch(stations=pk_set or (), faults=[instance.fault_id])


def _notice(instance: Notice, **_: Any) -> None:
    _touch_notice(instance)


def _operator(instance: OperatorAnswer, **_: Any) -> None:
    _touch_notice(instance.notice)


def _touch_notice(notice: Notice) -> None:
    """A notice without a fault is for the whole property."""
    touch(faults=[notice.fault_id], places=[notice.property_id] if notice.fault_id is None else [])


def _override(instance: DigOverride, **_: Any) -> None:
    touch(faults=[instance.job.fault_id])


def _asked(instance: Asked, **_: Any) -> None:
    touch(faults=[instance.fault_id])


def _rule(instance: NoticeRule, **_: Any) -> None:
    touch(regions=[instance.region])


def _closed_days(instance: ClosedDays, **_: Any) -> None:
    touch(closed_days=[instance.pk])


def _closed_day(instance: ClosedDay, **_: Any) -> None:
    touch(closed_days=[instance.of_id])


def _place(instance: Property, created: bool = False, **_: Any) -> None:
    """Its time zone says which day it is, its region which rule of notices holds."""
    if not created:
        touch(places=[instance.pk])


def _reading(instance: Reading, **_: Any) -> None:
    """A bring-home test. What else bears on it, such as a leg's length, the next round finds."""
    if instance.kind == ReadingKind.LOOP:
        touch(stations=[instance.station_id])


def _stopgap(instance: Stopgap, **_: Any) -> None:
    touch(stations=[instance.station_id])


def _spells(station_ids: list[int], **_: Any) -> None:
    touch(stations=station_ids)


_WHEN_SAVED: dict[Any, Any] = {
    FaultStation: _fault_station,
    StageMove: _stage_move,
    Fault: _fault,
    Job: _job,
    Notice: _notice,
    OperatorAnswer: _operator,
    Asked: _asked,
    DigOverride: _override,
    NoticeRule: _rule,
    ClosedDays: _closed_days,
    ClosedDay: _closed_day,
    Property: _place,
    Reading: _reading,
    Stopgap: _stopgap,
}


def connect() -> None:
    """Listen to all that waits follow from. Called once, when the app is ready."""
    _collector.listen(_WHEN_SAVED, deleted=(FaultStation, Notice, OperatorAnswer, Asked))
    m2m_changed.connect(_job_stations, sender=Job.stations.through, dispatch_uid="wait stations")
    spells_rebuilt.connect(_spells, dispatch_uid="wait spells")
