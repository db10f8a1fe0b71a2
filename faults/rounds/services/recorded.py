"""What was recorded of stations and timers, as it counts for the kinds of round."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from faults.models import Fault, FaultStation, JobKind, Reading, ReadingKind, WalkNote
from sites.models import Device, Station
from sites.stopgaps.services.batteries import BatterySet, sets_of

Thing = Station | Device
# What a reading has to be for a round of its kind.
READ_FOR: Mapping[str, tuple[str, ...]] = {
    JobKind.CHECK_UP.value: (ReadingKind.OHMS.value, ReadingKind.VOLTS.value),
    JobKind.BRING_HOME.value: (ReadingKind.LOOP.value,),
}


@dataclass(frozen=True)
class Span:
    """The days on which a record counts; both are in it, no end = until today."""

    since: date
    until: date | None = None

    def holds(self, day: date) -> bool:
        """Whether a day lies in it."""
        return self.since <= day and (self.until is None or day <= self.until)


@dataclass
class Recorded:
    """All that was recorded of some stations and timers since a day."""

    walked: dict[int, list[tuple[date, str]]] = field(default_factory=lambda: defaultdict(list))
    read: dict[tuple[int, str], list[date]] = field(default_factory=lambda: defaultdict(list))
    changed: Mapping[int, Sequence[BatterySet]] = field(default_factory=dict)
    faults: dict[int, list[Fault]] = field(default_factory=lambda: defaultdict(list))

    def first_day(self, kind: str, thing: Thing, span: Span | None) -> date | None:
        """Return the first day on which something counts for a job of this kind; None = not yet."""
        if span is None:
            return None
        if isinstance(thing, Device):
            days = [each.on for each in self.changed.get(thing.pk, ())]
        elif kind in READ_FOR:
            days = [day for each in READ_FOR[kind] for day in self.read[thing.pk, each]]
        else:
            days = [day for day, _result in self.walked[thing.pk]]
        return min((day for day in days if span.holds(day)), default=None)

    def last_seen(self, station: Station, span: Span) -> str:
        """Return what the station did when it was walked last in these days; empty = not seen."""
        seen = [each for each in self.walked[station.pk] if span.holds(each[0])]
        return max(seen)[1] if seen else ""


def recorded_of(stations: Collection[int], devices: Collection[int], *, since: date) -> Recorded:
    """Read all that counts, in four queries at most."""
    found = Recorded(changed=sets_of(devices) if devices else {})
    if not stations:
        return found
    notes = WalkNote.objects.filter(station__in=stations, seen_on__gte=since).order_by("pk")
    for key, day, result in notes.values_list("station", "seen_on", "result"):
        found.walked[key].append((day, result))
    kinds = [kind for several in READ_FOR.values() for kind in several]
    rows = Reading.objects.filter(station__in=stations, taken_on__gte=since, voided_on=None)
    rows = rows.filter(kind__in=kinds).order_by("pk")
    for key, kind, day in rows.values_list("station", "kind", "taken_on"):
        found.read[key, kind].append(day)
    faulty = FaultStation.objects.filter(station__in=stations).select_related("fault__property")
    for row in faulty.order_by("fault__reported_on", "pk"):
        found.faults[row.station_id].append(row.fault)
    return found
