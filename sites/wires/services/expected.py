"""What each station's ohmmeter reading should be, from its route, its wires and its coil.

Three queries serve a chunk of stations: the page of one controller and the whole register ask
alike.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache

from django.db.models import Count, Exists, OuterRef, Q, Sum

from sites.models import Feed, Station, Termination, WireKind, Wiring
from sites.wires.engines.copper import copper_factor
from sites.wires.engines.judge import side_by_side
from sites.wires.engines.sizes import size_from_words

# Expected ohms are at this warmth, and readings are brought to it before they are compared
# (`sites.wires.services.warmth`). Buried wire is about so warm most of the year, where nobody says.
GROUND_C = 20.0
CHUNK = 10_000
# Keys that lie this close together are queried as one range: a database reads a span of its
# index faster than ten thousand keys one by one.
MOST_SPREAD = 4


@dataclass(frozen=True, slots=True)
class Expected:
    """What one station should read at 20 C, and from what that was computed.

    `missing` says in a word what is not known: then there is no figure. `is_guessed` where the
    run was not surveyed, or the common's size was taken from the hot's. `serves` = how many
    stations the wire runs at once (a doubled one), whose coils lie side by side, as do two coils of
    one station: `coils` are their ohms where all are known. `as_now_since` is the day since which
    it is these stations: what was read before was another circuit.
    """

    station_id: int
    length_ft: float | None = None
    wire_ohms: float | None = None
    total_ohms: float | None = None
    is_guessed: bool = False
    is_common_known: bool = False
    missing: str = ""
    wire_id: int | None = None
    serves: int = 1
    coils: tuple[float, ...] = ()
    as_now_since: date | None = None


# Of one station: its coil, and a second one where it has two.
_Coils = tuple[float | None, float | None]


@dataclass(frozen=True, slots=True)
class _Run:
    length_ft: float | None
    size: str
    is_surveyed: bool
    wire_id: int | None = None
    is_shared: bool = False
    others: "_Others | None" = None


@dataclass(frozen=True, slots=True)
class _Others:
    """The other stations of a wire: their coils now, and since when they are these."""

    coils: tuple["_Coils", ...]
    since: date | None


def expected_for(
    station_ids: Iterable[int], *, temperature_c: float = GROUND_C
) -> dict[int, Expected]:
    """Return the expected ohms of these stations."""
    ids = sorted(set(station_ids))
    result: dict[int, Expected] = {}
    for start in range(0, len(ids), CHUNK):
        result |= _chunk(ids[start : start + CHUNK], temperature_c)
    return result


def _chunk(ids: Sequence[int], temperature_c: float) -> dict[int, Expected]:
    wanted = set(ids)
    stations = [
        row
        for row in Station.objects.filter(_among("pk", ids)).values_list(
            *("pk", "controller_id", "controller__wiring", "run_length_ft", "wire_size"),
            *("coil_ohms", "second_coil_ohms"),
        )
        if row[0] in wanted
    ]
    runs = _runs(ids)
    commons = _common_sizes({row[1] for row in stations})
    return {
        pk: _one(
            pk,
            wiring,
            _best_run(runs.get(pk), run_length_ft, wire_size),
            commons.get(controller_id, ""),
            (coil_ohms, second_ohms),
            temperature_c,
        )
        for pk, controller_id, wiring, run_length_ft, wire_size, coil_ohms, second_ohms in stations
    }


def _among(field: str, ids: Iterable[int]) -> Q:
    """Return where `field` is one of these keys; may let others in that lie between them."""
    keys = sorted(ids)
    if keys and keys[-1] - keys[0] < MOST_SPREAD * len(keys):
        return Q(**{f"{field}__range": (keys[0], keys[-1])})
    return Q(**{f"{field}__in": keys})


def _runs(ids: Sequence[int]) -> dict[int, _Run]:
    """The feet of the hot wire that serves each station: the sum of the legs it lies in.

    A wire that serves two stations (doubled) branches, and its sum may be too long.
    """
    of_others = Feed.objects.filter(wire=OuterRef("wire")).exclude(station=OuterRef("station"))
    rows = (
        Feed.objects.open()
        .filter(_among("station__pk", ids))
        .order_by()
        .values_list("station_id", "wire_id", "wire__size")
        .annotate(
            was_shared=Exists(of_others),
            length=Sum("wire__lies__leg__length_ft"),
            total=Count("wire__lies"),
            surveyed=Count("wire__lies", filter=Q(wire__lies__leg__is_surveyed=True)),
        )
    )
    found = list(rows)
    others = _others({(row[0], row[1]) for row in found if row[3]})
    runs = {}
    for station_id, wire_id, size, _was, length, total, surveyed in found:
        beside = others.get((station_id, wire_id))
        is_shared = beside is not None and bool(beside.coils)
        is_surveyed = surveyed == total and not is_shared
        runs[station_id] = _Run(length, size, is_surveyed, wire_id, is_shared, beside)
    return runs


def _others(wanted: set[tuple[int, int]]) -> dict[tuple[int, int], _Others]:
    """Return the other stations on the wire of each station that ever shared it."""
    if not wanted:
        return {}
    by_wire: dict[int, list[tuple[int, date | None, date | None, _Coils]]] = {}
    rows = Feed.objects.filter(wire__in={wire for _station, wire in wanted}).order_by("pk")
    for wire_id, *row in rows.values_list(
        *("wire_id", "station_id", "from_on", "to_on"),
        *("station__coil_ohms", "station__second_coil_ohms"),
    ):
        by_wire.setdefault(wire_id, []).append((row[0], row[1], row[2], (row[3], row[4])))
    found = {}
    for station_id, wire_id in wanted:
        others = [row for row in by_wire[wire_id] if row[0] != station_id]
        coils = tuple(of_one for _pk, _from, to_on, of_one in others if to_on is None)
        days = [day for _pk, from_on, to_on, _ in others for day in (from_on, to_on) if day]
        found[station_id, wire_id] = _Others(coils, max(days, default=None))
    return found


def _best_run(run: _Run | None, run_length_ft: float | None, wire_size: str) -> _Run:
    """Return the wire's own way, or else the run that the station is said to have.

    Of a wire that serves two stations the run that is said goes first: the legs hold both ways.
    """
    if run is None:
        return _Run(run_length_ft, wire_size, False)
    if run.is_shared and run_length_ft is not None:
        return replace(run, length_ft=run_length_ft, size=wire_size or run.size)
    if run.length_ft is not None:
        return run
    return replace(run, length_ft=run_length_ft, size=wire_size, is_surveyed=False)


def _common_sizes(controller_ids: Iterable[int]) -> dict[int, str]:
    """The size of each controller's common, where one is registered."""
    rows = (
        Termination.objects.open()
        .filter(_among("controller__pk", controller_ids), wire__kind=WireKind.COMMON)
        .order_by("pk")
        .values_list("controller_id", "wire__size")
    )
    return dict(rows)


def _one(
    pk: int,
    wiring: str,
    run: _Run,
    common_words: str,
    own_coils: _Coils,
    temperature_c: float,
) -> Expected:
    others = run.others or _Others((), None)
    stations = (own_coils, *others.coils)
    known = Expected(pk, wire_id=run.wire_id, serves=len(stations), as_now_since=others.since)
    if wiring == Wiring.TWO_WIRE:
        return replace(known, missing="two-wire path")
    if run.length_ft is None:
        return replace(known, missing="run length")
    known = replace(known, length_ft=run.length_ft)
    hot = _ohms_per_kft(run.size, temperature_c)
    if hot is None:
        return replace(known, missing="wire size")
    common = _ohms_per_kft(common_words, temperature_c)
    is_guessed = common is None or not run.is_surveyed
    wire = run.length_ft / 1000 * (hot + (hot if common is None else common))
    is_known = common is not None
    known = replace(known, wire_ohms=wire, is_guessed=is_guessed, is_common_known=is_known)
    # No coil has 0 ohms: who wrote it down did not know.
    if not all(first for first, _second in stations):
        return replace(known, missing="coil ohms")
    warm = copper_factor(temperature_c)
    coils = tuple(coil * warm for of_one in stations for coil in of_one if coil)
    return replace(known, coils=coils, total_ohms=side_by_side(coils) + wire)


@lru_cache(maxsize=256)
def _ohms_per_kft(words: str, temperature_c: float) -> float | None:
    """Return the ohms of a size; a register of 200,000 stations names a handful of them."""
    size = size_from_words(words)
    return size.ohms_per_kft(temperature_c) if size else None
