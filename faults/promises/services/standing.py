"""How promises stand: which were kept, which were not, and which share."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import F, Max, QuerySet

from faults.cases.engines.stages import Stage
from faults.models import CLOSED_STAGES, Fault, Promise
from faults.promises.engines.promising import share_kept
from sites.models import today_at

# The share of fewer says nothing.
LEAST = 5


@dataclass(frozen=True)
class Shares:
    """Of those stated alike, how many are decided and kept; the interval of 95 %."""

    tenths: int
    of: int
    kept: int
    low: float
    high: float


def standing_promises() -> QuerySet[Promise]:
    """Return the newest promise of each open fault."""
    newest = (
        Promise.objects.filter(fault__in=Fault.objects.open())
        .values("fault")
        .annotate(last=Max("pk"))
        .values("last")
    )
    return Promise.objects.filter(pk__in=newest, fault__property__retired_on=None).select_related(
        "fault__property"
    )


def is_kept(promise: Promise, *, at: datetime) -> bool | None:
    """Return whether it was kept; None = not decided, or never to be: the fault was given up."""
    fault = promise.fault
    if fault.stage == Stage.RETURNED:
        return fault.closed_on is not None and fault.closed_on <= promise.by_on
    if fault.stage in CLOSED_STAGES:
        return None
    return False if today_at(fault.property, at) > promise.by_on else None


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
    return promises.select_related("fault__property", "said_by").order_by(closed, "by_on", "pk")
