"""Evidence of properties: made from what is collected, kept as a summary, joined for a page."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date

from django.db.models import Model

from faults.models import Break, Fault, FaultStation, Search
from reports.hotspots.engines.evidence import KINDS, Counts, Evidence, Packed, joined, packed
from reports.hotspots.queries import newest_day
from reports.hotspots.services.collecting import Collected, collect
from reports.hotspots.services.scope import WIRE_CAUSES, Scope
from reports.summaries.services.summaries import Figures, Keys, summaries_of
from sites.kernel.lazily import np
from sites.models import Feed, Leg, Property, Renewal, Wire, WireLeg

# A change of what is kept raises the number.
SUBJECT = "hotspots 2"
# So many properties are made in about a second.
MOST_AT_ONCE = 40
# All that is known, whatever day it is: what is kept must not hang on today.
WHOLE = Scope(date.max)


def evidence_for(places: Sequence[Property], scope: Scope) -> Evidence:
    """Return what the ground of the properties has shown, all causes and days up to the last.

    Kept figures hold all that is recorded: where a day recorded lies beyond the last one in
    view, they are of no use, and that property is collected.
    """
    kept = summaries_of(SUBJECT, [place.pk for place in places])
    until = scope.to_on.isoformat()
    return joined(
        [
            Packed(place.pk, kept[place.pk].figures, kept[place.pk].columns)
            if kept[place.pk].figures["newest"] < until
            else packed_of(place.pk, collect([place], scope))
            for place in places
        ]
    )


def make(places: Collection[int]) -> dict[int, Figures]:
    """Make what is kept of each property from its records."""
    found = {}
    for place in Property.objects.filter(pk__in=places).order_by("pk"):
        one = packed_of(place.pk, collect([place], WHOLE))
        found[place.pk] = Figures(
            {**one.head, "newest": newest_day(place).isoformat()}, one.columns
        )
    return found


def evidence_of(collected: Collected) -> Evidence:
    """Return what was collected, of whatever properties, as columns."""
    one = joined([packed_of(0, collected)])
    owners = [collected.stretches[key].place.pk for key in one.key.tolist()]
    return replace(one, owner=np.array(owners, dtype=np.int64))


def packed_of(owner: int, collected: Collected) -> Packed:
    """Return what was collected as columns, packed."""
    covers: dict[str, int] = {}
    causes: dict[str, int] = {}
    columns: dict[str, list[float]] = {name: [] for name in KINDS}

    def add(**values: float) -> None:
        for name, value in values.items():
            columns[name].append(value)

    for at, (key, one) in enumerate(collected.stretches.items()):
        cover = covers.setdefault(one.parts[0].row.cover, len(covers))
        add(key=key, cover=cover, spread=one.spread)
        for part in one.parts:
            add(part_of=at, part_leg=part.row.pk, part_wires=part.wires)
            add(part_since=part.since.toordinal(), part_ft=part.row.length_ft)
        for event in one.events:
            cause = causes.setdefault(event.cause, len(causes))
            add(fault_of=at, fault_on=event.on.toordinal(), fault_cause=cause)
        for life in one.ended.values():
            by_wire = sum(cause in WIRE_CAUSES for cause in life.causes)
            add(ended_ground=life.ground, ended_wire=life.wire, ended_by_wire=by_wire)
            add(ended_by_ground=len(life.causes) - by_wire)
    for event in collected.found_elsewhere:
        cause = causes.setdefault(event.cause, len(causes))
        add(other_on=event.on.toordinal(), other_cause=cause)
    counts = Counts(*(int(getattr(collected, name)) for name in Counts._fields))
    return packed(owner, columns, covers=list(covers), causes=list(causes), counts=counts)


FOLLOWS_FROM: dict[type[Model], Keys] = {
    Property: lambda row: {"places": [row.pk]},
    Leg: lambda row: {"places": [row.property_id]},
    Wire: lambda row: {"places": [row.property_id]},
    Fault: lambda row: {"places": [row.property_id]},
    Renewal: lambda row: {"legs": [row.leg_id]},
    WireLeg: lambda row: {"wires": [row.wire_id]},
    Feed: lambda row: {"wires": [row.wire_id]},
    Break: lambda row: {"faults": [row.fault_id]},
    FaultStation: lambda row: {"faults": [row.fault_id]},
    Search: lambda row: {"faults": [row.fault_id]},
}
DELETED = tuple(model for model in FOLLOWS_FROM if model is not Property)
