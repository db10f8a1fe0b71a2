"""What each station's ohmmeter reading should be, from its route, its wires and its coil.

A handful of queries serves any number of stations: the page of one controller and the whole
register ask alike.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, Q, Sum

from sites.engines.wire.copper import Stretch, WireSize, expected_ohms
from sites.engines.wire.sizes import size_from_words
from sites.models import Feed, Station, Termination, WireKind, WireLeg, Wiring

# Buried wire is about this warm most of the year: common practice, no source.
GROUND_C = 20.0
CHUNK = 5000


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


@dataclass(frozen=True, slots=True)
class _Run:
    length_ft: float
    size: str
    is_surveyed: bool


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
    stations = list(
        Station.objects.filter(pk__in=ids).values_list(
            "pk", "controller_id", "controller__wiring", "run_length_ft", "wire_size", "coil_ohms"
        )
    )
    runs = _runs(ids)
    commons = _common_sizes({row[1] for row in stations})
    return {
        pk: _one(
            pk,
            wiring,
            runs.get(pk) or _bare_run(run_length_ft, wire_size),
            commons.get(controller_id, ""),
            coil_ohms,
            temperature_c,
        )
        for pk, controller_id, wiring, run_length_ft, wire_size, coil_ohms in stations
    }


def _runs(ids: Sequence[int]) -> dict[int, _Run]:
    """The feet of the hot wire that serves each station: the sum of the legs it lies in.

    A wire that serves two stations (doubled) branches, and its sum would be too long.
    """
    feeds = list(
        Feed.objects.open()
        .filter(station__in=ids)
        .values_list("station_id", "wire_id", "wire__size")
    )
    wires = {wire_id for _, wire_id, _ in feeds}
    lengths = {
        wire_id: (length, surveyed == total)
        for wire_id, length, total, surveyed in WireLeg.objects.filter(wire__in=wires)
        .order_by()
        .values_list("wire_id")
        .annotate(
            length=Sum("leg__length_ft"),
            total=Count("pk"),
            surveyed=Count("pk", filter=Q(leg__is_surveyed=True)),
        )
    }
    served = dict(
        Feed.objects.open()
        .filter(wire__in=wires)
        .order_by()
        .values_list("wire_id")
        .annotate(n=Count("pk"))
    )
    return {
        station_id: _Run(lengths[wire_id][0], size, lengths[wire_id][1])
        for station_id, wire_id, size in feeds
        if wire_id in lengths and served[wire_id] == 1
    }


def _bare_run(run_length_ft: float | None, wire_size: str) -> _Run | None:
    return None if run_length_ft is None else _Run(run_length_ft, wire_size, False)


def _common_sizes(controller_ids: Iterable[int]) -> dict[int, str]:
    """The size of each controller's common, where one is registered."""
    rows = (
        Termination.objects.open()
        .filter(controller__in=controller_ids, wire__kind=WireKind.COMMON)
        .order_by("pk")
        .values_list("controller_id", "wire__size")
    )
    return dict(rows)


def _one(
    pk: int,
    wiring: str,
    run: _Run | None,
    common_words: str,
    coil_ohms: float | None,
    temperature_c: float,
) -> Expected:
    if wiring == Wiring.TWO_WIRE:
        return Expected(pk, missing="two-wire path")
    if run is None:
        return Expected(pk, missing="run length")
    hot = size_from_words(run.size)
    if hot is None:
        return Expected(pk, length_ft=run.length_ft, missing="wire size")
    common = size_from_words(common_words)
    is_guessed = common is None or not run.is_surveyed
    wire = _wire_ohms(run.length_ft, hot, common or hot, temperature_c)
    if coil_ohms is None:
        return Expected(pk, run.length_ft, wire, None, is_guessed, "coil ohms")
    total = expected_ohms(
        hot=[Stretch(run.length_ft, hot)],
        common=[Stretch(run.length_ft, common or hot)],
        coil_ohms_at_20_c=coil_ohms,
        temperature_c=temperature_c,
    )
    return Expected(pk, run.length_ft, wire, total, is_guessed)


def _wire_ohms(length_ft: float, hot: WireSize, common: WireSize, temperature_c: float) -> float:
    return Stretch(length_ft, hot).ohms(temperature_c) + Stretch(length_ft, common).ohms(
        temperature_c
    )
