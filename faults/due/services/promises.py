"""What falls due because a promised day or visit slips: the plan no longer keeps it."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from django.db.models import QuerySet

from faults.due.services.family import Candidate, Family, Told
from faults.models import Fault, FollowUpKind, Job, JobState
from faults.models.kind import looks_for_fault
from faults.promises.engines.promising import slips
from faults.promises.services.outlook import outlooks
from faults.promises.services.parts import Part
from faults.promises.services.standing import standing_promises
from faults.work.engines.arriving import Arrival
from faults.work.services.arriving import AWAITED, arrivals, is_kept


def _slipping(rows: Sequence[Any], told: Told) -> list[Candidate]:
    near = [
        row
        for row in rows
        if row.by_on - timedelta(days=told.days) <= told.today(row.fault.property.time_zone)
    ]
    parts = {row.pk: Part(row.fault, row.station) for row in near}
    looks = outlooks(list(parts.values()), at=told.at, kept=told.kept)
    found = []
    for row in near:
        zone = row.fault.property.time_zone
        today = told.today(zone)
        if slips(looks[parts[row.pk].key].chance((row.by_on - today).days), row.tenths):
            found.append(
                Candidate(
                    f"promise:{row.pk}:{row.by_on.isoformat()}",
                    row.fault.property_id,
                    zone,
                    None,
                    {"fault_id": row.fault_id},
                )
            )
    return found


def _awaited() -> QuerySet[Any]:
    """Faults for which somebody was promised to come, that nobody has found yet."""
    rows = Fault.objects.filter(promised_on__isnull=False, stage__in=AWAITED)
    return rows.filter(property__retired_on=None).select_related("property")


def _unplanned(rows: Sequence[Any], told: Told) -> list[Candidate]:
    """Those for which nobody has come, and no visit is planned as it was promised."""
    near = {
        fault.pk: fault
        for fault in rows
        if fault.promised_on - timedelta(days=told.days) <= told.today(fault.property.time_zone)
    }
    kept = set()
    jobs = Job.objects.filter(fault__in=near).exclude(state=JobState.WITHDRAWN)
    visits = list(jobs.select_related("fault", "property").order_by("pk"))
    days = [told.today(fault.property.time_zone) for fault in near.values()]
    bound = arrivals(visits, today=min(days)) if days else {}
    for job in visits:
        if job.started_at is not None or _keeps(job, bound.get(job.pk), told):
            kept.add(job.fault_id)
    return [
        Candidate(
            f"fault:{fault.pk}:{fault.promised_on.isoformat()} {fault.promised_hours()}".strip(),
            fault.property_id,
            fault.property.time_zone,
            None,
            {"fault_id": fault.pk},
        )
        for fault in near.values()
        if fault.pk not in kept
    ]


def _keeps(job: Job, arrival: Arrival | None, told: Told) -> bool:
    """Whether a planned visit is as it was promised; a promised time needs a time."""
    fault = job.fault
    assert fault is not None  # filtered by it
    assert fault.promised_on is not None  # filtered by it
    if job.crew_id is None or job.day is None or not looks_for_fault(job.kind, fault):
        return False
    today = told.today(job.property.time_zone)
    if not fault.promised_hours():
        return today <= job.day <= fault.promised_on
    if arrival is None or arrival.day < today or job.starts_at is None:
        return False
    return is_kept(arrival, job, job.day, job.starts_at, None)


FAMILIES = [
    Family(FollowUpKind.PROMISE_SLIPS, standing_promises, _slipping),
    Family(FollowUpKind.VISIT_SLIPS, _awaited, _unplanned),
]
