"""Other stations of the controller: which run and which do not, and where their wires lie."""

from collections import defaultdict
from collections.abc import Collection, Sequence

from faults.cases.engines.stages import CLOSED, Stage
from faults.locating.engines.belief import Neighbour
from faults.models import Fault, FaultStation
from sites.models import Feed, SpellPart, Station

# Stages at which a station of a fault still stands still for want of its wire.
STILL_DEAD = frozenset({Stage.REPORTED, Stage.SCHEDULED, Stage.FOUND, Stage.AGREED})


def neighbours_of(
    station: Station, fault: Fault, legs: Sequence[int]
) -> tuple[tuple[Neighbour, ...], int, int]:
    """Other stations of the controller of which it is known that they run, or do not.

    One that is off central for another fault, or for another reason, tells nothing.
    """
    dead = _dead(station, fault)
    doubtful = _doubtful(station)
    others = set(
        Station.objects.in_care()
        .filter(controller=station.controller_id)
        .exclude(pk=station.pk)
        .values_list("pk", flat=True)
    )
    known = others & dead | others - doubtful
    shares = _shared_legs(known, legs)
    # A dead one whose way nobody registered may well lie beside ours all along: taken to lie
    # nowhere, it would accuse the common at the controller. One that runs is left to say little.
    everywhere = frozenset(range(max(len(legs), 1)))
    told = []
    for pk in sorted(known):
        beside = shares.get(pk, everywhere if pk in dead else frozenset())
        told.append(Neighbour(works=pk not in dead, shares=beside, common=beside))
    n_dead = len(others & dead)
    return tuple(told), len(told) - n_dead, n_dead


def _dead(station: Station, fault: Fault) -> set[int]:
    rows = FaultStation.objects.filter(fault=fault, stage__in=[stage.value for stage in STILL_DEAD])
    return set(rows.exclude(station=station).values_list("station_id", flat=True))


def _doubtful(station: Station) -> set[int]:
    open_faults = FaultStation.objects.filter(station__controller=station.controller_id).exclude(
        stage__in=[stage.value for stage in CLOSED]
    )
    off = SpellPart.objects.open().filter(station__controller=station.controller_id)
    return set(open_faults.values_list("station_id", flat=True)) | set(
        off.values_list("station_id", flat=True)
    )


def _shared_legs(stations: Collection[int], legs: Sequence[int]) -> dict[int, frozenset[int]]:
    """Return for each station the legs of the line, by their place, in which its wire lies too."""
    if not legs:
        return {}
    place = {leg: i for i, leg in enumerate(legs)}
    found: dict[int, set[int]] = defaultdict(set)
    rows = Feed.objects.open().filter(station__in=stations, wire__lies__leg__in=legs)
    for station, leg in rows.values_list("station_id", "wire__lies__leg_id"):
        found[station].add(place[leg])
    return {station: frozenset(places) for station, places in found.items()}
