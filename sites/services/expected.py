"""What each station's ohmmeter reading should be, from its route, its wires and its coil.

Three queries serve a chunk of stations: the page of one controller and the whole register ask
alike.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from django.db.models import Count, Exists, OuterRef, Q, Sum

from sites.engines.wire.copper import copper_factor
from sites.engines.wire.sizes import size_from_words
from sites.models import Feed, Station, Termination, WireKind, Wiring

# Expected ohms are at this warmth, and readings are brought to it before they are compared
# (`sites.services.warmth`). Buried wire is about so warm most of the year, where nobody says.
GROUND_C = 20.0
CHUNK = 10_000
# Keys that lie this close together are queried as one range: a database reads a span of its
# index faster than ten thousand keys one by one.
MOST_SPREAD = 4


@dataclass(frozen=True, slots=True)
class Expected:
    """What one station should read at 20 C, and from what that was computed.

    `missing` says in a word what is not known: then there is no figure. `is_guessed` where the
    run was not surveyed, or the common's size was taken from the hot's.
    """

    station_id: int
    length_ft: float | None = None
    wire_ohms: float | None = None
    total_ohms: float | None = None
    is_guessed: bool = False
    missing: str = ""
    wire_id: int | None = None


@dataclass(frozen=True, slots=True)
class _Run:
    length_ft: float | None
    size: str
    is_surveyed: bool
    wire_id: int | None = None


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
            "pk", "controller_id", "controller__wiring", "run_length_ft", "wire_size", "coil_ohms"
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
            coil_ohms,
            temperature_c,
        )
        for pk, controller_id, wiring, run_length_ft, wire_size, coil_ohms in stations
    }


def _among(field: str, ids: Iterable[int]) -> Q:
    """Return where `field` is one of these keys; may let others in that lie between them."""
    keys = sorted(ids)
    if keys and keys[-1] - keys[0] < MOST_SPREAD * len(keys):
        return Q(**{f"{field}__range": (keys[0], keys[-1])})
    return Q(**{f"{field}__in": keys})


def _runs(ids: Sequence[int]) -> dict[int, _Run]:
    """The feet of the hot wire that serves each station: the sum of the legs it lies in.

    A wire that serves two stations (doubled) branches, and its sum would be too long.
    """
    others = Feed.objects.open().filter(wire=OuterRef("wire")).exclude(pk=OuterRef("pk"))
    rows = (
        Feed.objects.open()
        .filter(_among("station__pk", ids))
        .order_by()
        .values_list("station_id", "wire_id", "wire__size")
        .annotate(
            is_shared=Exists(others),
            length=Sum("wire__lies__leg__length_ft"),
            total=Count("wire__lies"),
            surveyed=Count("wire__lies", filter=Q(wire__lies__leg__is_surveyed=True)),
        )
    )
    return {
        station_id: _Run(None if is_shared else length, size, surveyed == total, wire_id)
        for station_id, wire_id, size, is_shared, length, total, surveyed in rows
    }


def _best_run(run: _Run | None, run_length_ft: float | None, wire_size: str) -> _Run:
    """Return the wire's own way, or else the run that the station is said to have."""
    if run is not None and run.length_ft is not None:
        return run
    return _Run(run_length_ft, wire_size, False, run.wire_id if run else None)


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
    coil_ohms: float | None,
    temperature_c: float,
) -> Expected:
    if wiring == Wiring.TWO_WIRE:
        return Expected(pk, missing="two-wire path", wire_id=run.wire_id)
    if run.length_ft is None:
        return Expected(pk, missing="run length", wire_id=run.wire_id)
    hot = _ohms_per_kft(run.size, temperature_c)
    if hot is None:
        return Expected(pk, run.length_ft, missing="wire size", wire_id=run.wire_id)
    common = _ohms_per_kft(common_words, temperature_c)
    is_guessed = common is None or not run.is_surveyed
    wire = run.length_ft / 1000 * (hot + (hot if common is None else common))
    # No coil has 0 ohms: who wrote it down did not know.
    if not coil_ohms:
        return Expected(pk, run.length_ft, wire, None, is_guessed, "coil ohms", run.wire_id)
    total = coil_ohms * copper_factor(temperature_c) + wire
    return Expected(pk, run.length_ft, wire, total, is_guessed, "", run.wire_id)


@lru_cache(maxsize=256)
def _ohms_per_kft(words: str, temperature_c: float) -> float | None:
    """Return the ohms of a size; a register of 200,000 stations names a handful of them."""
    size = size_from_words(words)
    return size.ohms_per_kft(temperature_c) if size else None
