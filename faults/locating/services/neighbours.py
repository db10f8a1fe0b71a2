"""Other stations of the controller: which run, which do not, and where their wires lie.

A station counts as running only where somebody saw it run since the fault was reported; one that
nobody tried says nothing.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum, auto

from django.db.models import Exists, OuterRef, Subquery

from faults.cases.engines.stages import Stage
from faults.locating.engines.belief import Neighbour
from faults.models import STILL_RUN, Fault, FaultStation, Symptom, WalkNote, WalkResult
from sites.models import Feed, Station, StationKind, Termination, WireKind

# Stages at which a station of a fault still stands still for want of its wire.
STILL_DEAD = frozenset({Stage.REPORTED, Stage.SCHEDULED, Stage.FOUND, Stage.AGREED})


# What other stations may depend on for their water.
MASTERS = frozenset({StationKind.MASTER_VALVE, StationKind.PUMP_START})


class Master(Enum):
    """Whether a station gets its water by a master valve or pump, as far as the register says.

    Not known: its controller has one, and nobody said whether this station depends on it.
    """

    NONE = auto()
    NOT_KNOWN = auto()
    ITS_OWN = auto()


@dataclass(frozen=True)
class Others:
    """The other stations as the engine reads them, and how many run, do not, and were not tried.

    `master`: whether our own depends on a master valve or pump. `comes_on` is the station that
    comes on with ours, `beside` the legs (by their place) on which both wires lie; None where
    nobody knows.
    """

    told: tuple[Neighbour, ...] = ()
    works: int = 0
    dead: int = 0
    untried: int = 0
    elsewhere: int = 0
    master: Master = Master.NONE
    comes_on: Station | None = None
    beside: frozenset[int] | None = None


def neighbours_of(station: Station, fault: Fault, legs: Sequence[int]) -> Others:
    """Return what the other stations of the controller say.

    One whose wire runs on another common than ours says nothing of our common.
    """
    seen, masters, master = _seen(station, fault)
    untried = sum(works is None for works in seen.values())
    told_of = {pk: works for pk, works in sorted(seen.items()) if works is not None}
    ways = _ways([*told_of, station.pk])
    place = {leg: i for i, leg in enumerate(legs)}
    commons = _commons_of(ways, station)
    # A dead one whose way nobody registered may well lie beside ours all along: taken to lie
    # nowhere, it would accuse the common at the controller. One that runs is left to say little.
    everywhere = frozenset(range(max(len(legs), 1)))
    ours = (commons or {}).get(station.pk)
    told = []
    for pk, works in told_of.items():
        way = ways.get(pk)
        if way is None:
            beside = frozenset() if works else everywhere
        else:
            beside = frozenset(place[leg] for leg in way if leg in place)
        is_on_ours = commons is None or (ours is not None and commons.get(pk) == ours)
        common = beside if is_on_ours else frozenset()
        # Where nobody said on which ours depends, nobody knows who shares it.
        is_on_master = master is not Master.NOT_KNOWN and masters[pk] == station.depends_on_id
        told.append(Neighbour(works, beside, common, is_on_ours, is_on_master))
    running = sum(told_of.values())
    comes_on = _comes_on(station, fault)
    return Others(
        tuple(told),
        running,
        len(told_of) - running,
        untried,
        sum(not each.is_on_ours for each in told),
        master,
        comes_on,
        _beside(comes_on, place) if comes_on is not None else None,
    )


def _comes_on(station: Station, fault: Fault) -> Station | None:
    """Return the station that comes on with ours; of a fault of two each has the other."""
    if fault.symptom != Symptom.RUNS_WITH:
        return None
    if fault.runs_with_id is not None and fault.runs_with_id != station.pk:
        return fault.runs_with
    others = fault.stations.exclude(station=station).select_related("station__controller")
    two = list(others.order_by("pk")[:2])
    return two[0].station if len(two) == 1 else None


def _beside(other: Station, place: Mapping[int, int]) -> frozenset[int] | None:
    """Return the legs on which the other's wire lies too; None where its way is not registered."""
    way = _ways([other.pk]).get(other.pk)
    return None if way is None else frozenset(place[leg] for leg in way if leg in place)


def _seen(
    station: Station, fault: Fault
) -> tuple[dict[int, bool | None], dict[int, int | None], Master]:
    """Return of each other station whether it runs, its master valve, and whether ours has one.

    None where nobody tried it since the report. One of the same fault is dead until it is proven;
    of any other the last check-up tells. Our own master valve is not beside us but before us: what
    was seen of it counts as its own (`known`).
    """
    # What stays on, or comes on unasked, does not stand still.
    stages = [] if fault.symptom in STILL_RUN else [stage.value for stage in STILL_DEAD]
    dead = FaultStation.objects.filter(fault=fault, stage__in=stages, station=OuterRef("pk"))
    notes = WalkNote.objects.filter(station=OuterRef("pk"), seen_on__gte=fault.reported_on)
    last = notes.exclude(result=WalkResult.TIMER).order_by("-seen_on").values("result")[:1]
    rows = (
        Station.objects.in_care()
        .filter(controller=station.controller_id)
        .exclude(pk__in=[station.pk, station.depends_on_id or 0])
        .annotate(is_dead=Exists(dead), last_seen=Subquery(last))
        .values_list("pk", "is_dead", "last_seen", "depends_on", "kind")
    )
    seen: dict[int, bool | None] = {}
    masters: dict[int, int | None] = {}
    has_some = False
    for pk, is_dead, said, master, kind in rows:
        has_some |= kind in MASTERS
        seen[pk] = False if is_dead else (None if said is None else said == WalkResult.WORKS)
        masters[pk] = master
    if station.depends_on_id is not None:
        return seen, masters, Master.ITS_OWN
    is_asked = has_some and station.kind not in MASTERS
    return seen, masters, Master.NOT_KNOWN if is_asked else Master.NONE


def _ways(stations: Collection[int]) -> dict[int, set[int]]:
    """Return the legs of each station's wire, where anybody registered them."""
    ways: dict[int, set[int]] = defaultdict(set)
    rows = Feed.objects.open().filter(station__in=stations, wire__lies__isnull=False)
    for pk, leg in rows.values_list("station_id", "wire__lies__leg_id"):
        ways[pk].add(leg)
    return ways


def _commons_of(ways: Mapping[int, set[int]], station: Station) -> Mapping[int, int] | None:
    """Return the common along which each station's wire lies; None where there is one common.

    A common serves a station whose whole way it lies along; where that is not one common alone,
    nobody knows which, and the station is left out.
    """
    commons = Termination.objects.open().filter(
        controller=station.controller_id,
        wire__kind=WireKind.COMMON,
        wire__retired_on__isnull=True,
        wire__out_of_use_on__isnull=True,
    )
    lies: dict[int, set[int]] = defaultdict(set)
    for pk, leg in commons.values_list("wire_id", "wire__lies__leg_id"):
        lies[pk].update([] if leg is None else [leg])
    if len(lies) < 2:
        return None
    found = {}
    for pk, way in ways.items():
        along = [common for common, legs in lies.items() if way <= legs]
        if len(along) == 1:
            found[pk] = along[0]
    return found
