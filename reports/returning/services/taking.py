"""What a station's return takes: visits, drives, and what its fault and its trench share."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from faults.access import crews_for, faults_for
from faults.cases.engines.stages import Stage
from faults.locating.services.minutes import search_minutes
from faults.models import (
    CLOSED_STAGES,
    OPEN_JOB_STATES,
    Break,
    Fault,
    FaultStation,
    Job,
    JobKind,
    Wait,
)
from faults.promises.services.standing import standing_promises
from faults.rota.services.drives import UNKNOWN_DRIVE_MIN, rounded_up
from faults.waits.engines.waits import WaitsOn
from faults.work.engines.travel import Place, travel_minutes
from faults.work.services.defaults import facts_for, kind_for
from reports.returning.engines.effort import Minutes, Step, shared_minutes
from sites.models import Property, Station, User, today_at
from sites.stopgaps.engines.spells import Reason

# Laying out, probing for other lines, closing the ground again: once for each trench, within the
# minutes of a dig. Our own choice.
TRENCH_MIN = 30.0

_KINDS = {
    Step.SEARCH: JobKind.LOCATE,
    Step.RETURN: JobKind.RETURN,
    Step.TEST: JobKind.BRING_HOME,
}


@dataclass(frozen=True)
class Known:
    """What is written of some stations: their open fault, its stage, what they wait on.

    `legs` are those on which an open break of a fault was found; `promised` the day that was
    promised for it, or the last day of an open job of it.
    """

    faults: dict[int, tuple[Fault, Stage]]
    waits: dict[int, Wait]
    legs: dict[int, set[int]]
    promised: dict[int, date]

    @classmethod
    def of(cls, user: User, stations: Sequence[Station]) -> "Known":
        """Read it: five queries for any number of stations."""
        ids = [station.pk for station in stations]
        rows = (
            FaultStation.objects.filter(station__in=ids, fault__in=faults_for(user))
            .exclude(stage__in=CLOSED_STAGES)
            .select_related("fault__property")
            .order_by("-fault__reported_on", "-pk")
        )
        faults = {row.station_id: (row.fault, Stage(row.stage)) for row in rows}
        keys = {fault.pk for fault, _stage in faults.values()}
        legs: dict[int, set[int]] = defaultdict(set)
        breaks = Break.objects.filter(fault__in=keys, mended_on=None, leg__isnull=False)
        for fault, leg in breaks.values_list("fault_id", "leg_id"):
            legs[fault].add(leg)
        return cls(faults, _waits(ids), legs, _promised(faults.values()))


def _waits(ids: Collection[int]) -> dict[int, Wait]:
    return {row.station_id: row for row in Wait.objects.filter(station__in=ids)}


def _promised(faults: Iterable[tuple[Fault, Stage]]) -> dict[int, date]:
    """The first day that was promised for each fault, or until which a job of it has to be done."""
    found = {fault.pk: fault.promised_on for fault, _stage in faults}
    for one in standing_promises().filter(fault__in=found):
        known = found[one.fault_id]
        found[one.fault_id] = one.by_on if known is None else min(known, one.by_on)
    rows = Job.objects.filter(fault__in=found, state__in=OPEN_JOB_STATES, due_on__isnull=False)
    for fault, day in rows.order_by("pk").values_list("fault_id", "due_on"):
        if fault is not None and day is not None:
            known = found[fault]
            found[fault] = day if known is None else min(known, day)
    return {fault: day for fault, day in found.items() if day is not None}


@dataclass
class Taking:
    """The set-ups that stations share, made as they are met: name, minutes, and in whose place.

    `assumed` are faults whose search is taken as a new job has it, because no way of their wire
    is known; `without_place` are properties whose drive is assumed.
    """

    user: User
    known: Known
    at: datetime
    minutes: dict[str, float] = field(default_factory=dict)
    place_of: dict[str, Property] = field(default_factory=dict)
    fault_of: dict[str, Fault] = field(default_factory=dict)
    assumed: set[str] = field(default_factory=set)
    without_place: set[str] = field(default_factory=set)
    _yards: list[Place] | None = None
    _takes: dict[int, Minutes] = field(default_factory=dict)
    _usual: dict[JobKind, float] = field(default_factory=dict)

    def drive(self, place: Property) -> str:
        """Return the set-up of driving to a property and back, from the nearest yard."""
        name = f"drive:{place.pk}"
        if name not in self.minutes:
            self.minutes[name], self.place_of[name] = 2.0 * self._drive_min(place), place
        return name

    def fault(self, fault: Fault, step: Step) -> tuple[str, ...]:
        """Return the set-ups of all that the stations of a fault share from this step on."""
        name = f"fault:{fault.pk}:{step.value}"
        legs = sorted(self.known.legs.get(fault.pk, ())) if step is Step.MEND else []
        if name not in self.minutes:
            whole = shared_minutes(step, self.takes(fault, step))
            self.minutes[name] = max(0.0, whole - TRENCH_MIN * len(legs))
            self.place_of[name], self.fault_of[name] = fault.property, fault
        trenches = [f"leg:{leg}" for leg in legs]
        for trench in trenches:
            self.minutes[trench], self.place_of[trench] = TRENCH_MIN, fault.property
        return (name, *trenches)

    def takes(self, fault: Fault | None, step: Step) -> Minutes:
        """Return the minutes of the visits; those of the search from the search itself."""
        mend_by = kind_for(fault) if fault is not None and step is Step.MEND else JobKind.DIG
        mend, back = self.usual(mend_by), self.usual(JobKind.RETURN)
        locate = self.usual(JobKind.LOCATE)
        if fault is None or step is not Step.SEARCH:
            return Minutes(locate, mend, back)
        if fault.pk not in self._takes:
            found = search_minutes(fault, today=today_at(fault.property, self.at))
            if found is None:
                self.assumed.add(str(fault))
            search = locate if found is None else found.mean
            self._takes[fault.pk] = Minutes(search, mend, back)
        return self._takes[fault.pk]

    def usual(self, kind: JobKind) -> float:
        """Return the minutes of a visit of this kind: asked once, however many stations there are.

        They hang on the kind alone; what a search takes comes from the search itself.
        """
        if kind not in self._usual:
            self._usual[kind] = float(facts_for(kind).expected_minutes)
        return self._usual[kind]

    def _drive_min(self, place: Property) -> int:
        if self._yards is None:
            self._yards = [
                Place(crew.yard_latitude, crew.yard_longitude)
                for crew in crews_for(self.user).filter(retired_on=None)
                if crew.yard_latitude is not None and crew.yard_longitude is not None
            ]
        if place.latitude is None or place.longitude is None or not self._yards:
            self.without_place.add(str(place))
            return UNKNOWN_DRIVE_MIN
        there = Place(place.latitude, place.longitude)
        return min(rounded_up(travel_minutes(yard, there)) for yard in self._yards)


def kind_of(step: Step, fault: Fault | None, reason: str) -> JobKind | None:
    """Return the kind of visit that is planned for a step; None where no crew goes."""
    if step is Step.MEND:
        return kind_for(fault)
    if step is Step.REPAIR:
        return JobKind.VALVE if reason == Reason.VALVE.value else JobKind.CONTROLLER
    return _KINDS.get(step)


def waits_on(row: Wait | None) -> WaitsOn | None:
    """Return what a station waits on; None where that was not worked out yet."""
    return None if row is None else WaitsOn(row.waits_on)
