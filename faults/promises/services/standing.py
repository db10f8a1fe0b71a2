"""How promises stand: which were kept, which were not, and which share."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol, cast

from django.db.models import Exists, F, Max, OuterRef, Q, QuerySet, Subquery

from faults.access import promises_for
from faults.cases.engines.stages import Stage
from faults.models import CLOSED_STAGES, Fault, FaultStation, Promise, StageMove
from faults.promises.engines.promising import share_kept
from sites.models import Station, User, today_at

# The share of fewer says nothing.
LEAST = 5


class _WithStation(Protocol):
    station_stage: str | None
    station_moved_on: date | None


@dataclass(frozen=True)
class Shares:
    """Of those stated alike, how many are decided and kept; the interval of 95 %."""

    tenths: int
    of: int
    kept: int
    low: float
    high: float


def standing_promises() -> QuerySet[Promise]:
    """Return the newest promise of each open fault, and of each open station that has its own."""
    closed = FaultStation.objects.filter(
        fault=OuterRef("fault"), station=OuterRef("station"), stage__in=CLOSED_STAGES
    )
    newest = (
        Promise.objects.filter(~Exists(closed), fault__in=Fault.objects.open())
        .order_by()
        .values("fault", "station")
        .annotate(last=Max("pk"))
        .values("last")
    )
    return with_station_ends(
        Promise.objects.filter(pk__in=newest, fault__property__retired_on=None)
    ).select_related("fault__property", "station__controller")


def promises_of_station(user: User, station: Station) -> list[Promise]:
    """Return by when a station is promised to be back, as this user may see it: its own day of
    each open fault, else that of the whole fault."""
    still = FaultStation.objects.filter(station=station).exclude(stage__in=CLOSED_STAGES)
    rows = standing_promises().filter(
        Q(station=station) | Q(station=None), fault__in=still.values("fault")
    )
    seen = rows.filter(pk__in=promises_for(user).order_by().values("pk"))
    found: dict[int, Promise] = {}
    for one in seen.order_by(F("station").asc(nulls_first=True), "pk"):
        found[one.fault_id] = one
    return sorted(found.values(), key=lambda one: (one.by_on, one.pk))


def with_station_ends(promises: QuerySet[Promise]) -> QuerySet[Promise]:
    """Add of a promise's own station its stage in the fault, and when it came to it last."""
    own = FaultStation.objects.filter(fault=OuterRef("fault"), station=OuterRef("station"))
    moves = StageMove.objects.filter(
        fault_station__fault=OuterRef("fault"), fault_station__station=OuterRef("station")
    ).order_by("-moved_at", "-pk")
    return promises.annotate(
        station_stage=Subquery(own.values("stage")[:1]),
        station_moved_on=Subquery(moves.values("on")[:1]),
    )


def is_kept(promise: Promise, *, at: datetime) -> bool | None:
    """Return whether it was kept; None = not decided, or never to be: the fault was given up.

    The promise comes from `with_station_ends` where it is of one station.
    """
    stage, over_on = _stage_of(promise), promise.fault.closed_on
    if promise.station_id is not None:
        over_on = cast("_WithStation", promise).station_moved_on
    if stage == Stage.RETURNED:
        return over_on is not None and over_on <= promise.by_on
    if stage in CLOSED_STAGES:
        return None
    return False if today_at(promise.fault.property, at) > promise.by_on else None


def is_over(promise: Promise) -> bool:
    """Return whether its fault, or its station, is back or will not come back."""
    return _stage_of(promise) in CLOSED_STAGES


def _stage_of(promise: Promise) -> str:
    if promise.station_id is None:
        return promise.fault.stage
    # A station that is no longer one of the fault goes with it.
    return cast("_WithStation", promise).station_stage or promise.fault.stage


def shares_of(promises: Iterable[Promise], *, at: datetime) -> list[Shares]:
    """Return the share kept by what was stated; of several for one fault each counts."""
    counts: dict[int, list[bool]] = {}
    for one in promises:
        kept = is_kept(one, at=at)
        if kept is not None:
            counts.setdefault(one.tenths, []).append(kept)
    return [
        Shares(tenths, len(kept), sum(kept), *share_kept(sum(kept), len(kept)))
        for tenths, kept in sorted(counts.items())
    ]


def in_order(promises: QuerySet[Promise]) -> QuerySet[Promise]:
    """Return them with what pages show, open ones first, by their day."""
    closed = F("fault__closed_on").asc(nulls_first=True)
    rows = with_station_ends(promises).select_related(
        "fault__property", "station__controller", "said_by"
    )
    return rows.order_by(closed, "by_on", "pk")
