"""What falls due because of notices: digging may start, and the notice runs out."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django.db.models import Q, QuerySet

from faults.cases.engines.stages import Stage
from faults.due.services.family import Candidate, Family, Told
from faults.due.services.notice_days import NoticeDays, days_of
from faults.models import FollowUpKind, Notice

BEFORE_THE_MEND = [
    Stage.REPORTED.value,
    Stage.SCHEDULED.value,
    Stage.FOUND.value,
    Stage.AGREED.value,
]
# After so many days a notice that has run out is no news any more.
LATE_DAYS = 30


def _notices() -> QuerySet[Any]:
    """Notices in force for a dig that is still ahead."""
    return (
        Notice.objects.filter(cancelled_on=None, property__retired_on=None)
        .filter(Q(fault=None) | Q(fault__stage__in=BEFORE_THE_MEND))
        .select_related("property")
        .prefetch_related("operators")
    )


def _candidate(notice: Notice, due_on: Any, word: str) -> Candidate:
    links = {"notice_id": notice.pk} | ({"fault_id": notice.fault_id} if notice.fault_id else {})
    return Candidate(
        f"notice:{notice.pk}:{word}",
        notice.property_id,
        notice.property.time_zone,
        due_on,
        links,
    )


def _clear(rows: Sequence[Any], told: Told) -> list[Candidate]:
    days = days_of(rows, at=told.at)
    known = ((notice, days[notice.pk].clear_on) for notice in rows)
    return [
        _candidate(notice, day + timedelta(days=told.days), "clear")
        for notice, day in known
        if day is not None
    ]


def _runs_out(rows: Sequence[Any], told: Told) -> list[Candidate]:
    days = days_of(rows, at=told.at)
    known = ((notice, _renewal_due_on(days[notice.pk], told.days)) for notice in rows)
    return [_candidate(notice, day, "runs out") for notice, day in known if day is not None]


def _renewal_due_on(days: NoticeDays, before: int) -> date | None:
    """Return the day by which its rule wants it renewed, or else so many days before its last."""
    if days.renew_on is not None or days.expiry_on is None:
        return days.renew_on
    return days.expiry_on - timedelta(days=before)


FAMILIES = [
    Family(FollowUpKind.NOTICE_CLEAR, _notices, _clear, late_days=LATE_DAYS),
    Family(FollowUpKind.NOTICE_RUNS_OUT, _notices, _runs_out, late_days=LATE_DAYS),
]
