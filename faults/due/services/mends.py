"""What falls due after a mend: two tests that it holds, and a look at the filled hole."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery

from faults.cases.engines.stages import Stage
from faults.due.services.family import Candidate, Family, Told, local_day
from faults.models import FaultStation, FollowUpKind, Job, JobState, StageMove

AFTER_MENDING = [Stage.MENDED.value, Stage.PROVEN.value, Stage.RETURNED.value]
# Mends and digs of long ago come in with a register's files: nobody tests those again.
LATE_DAYS = 60


def _mended() -> QuerySet[Any]:
    """Stations of faults whose mend stands, with the day of that mend."""
    moves = StageMove.objects.filter(
        fault_station=OuterRef("pk"), to_stage=Stage.MENDED.value, on__isnull=False
    )
    latest = moves.order_by("-on", "-moved_at", "-pk").values("on")[:1]
    return (
        FaultStation.objects.filter(stage__in=AFTER_MENDING, station__retired_on=None)
        .filter(fault__property__retired_on=None)
        .select_related("fault__property")
        .annotate(mended_on=Subquery(latest))
        .filter(mended_on__isnull=False)
    )


def _retests(rows: Sequence[Any], told: Told) -> list[Candidate]:
    return [
        Candidate(
            f"fault-station:{row.pk}:{row.mended_on.isoformat()}",
            row.fault.property_id,
            row.fault.property.time_zone,
            row.mended_on + timedelta(days=told.days),
            {"station_id": row.station_id, "fault_id": row.fault_id},
        )
        for row in rows
    ]


def _digs() -> QuerySet[Any]:
    """Digs that are done."""
    done = Job.objects.filter(opens_ground=True, state=JobState.DONE, ended_at__isnull=False)
    return done.filter(property__retired_on=None).select_related("property")


def _settling(rows: Sequence[Any], told: Told) -> list[Candidate]:
    found = []
    for job in rows:
        zone = job.property.time_zone
        dug_on = local_day(zone, job.ended_at)
        links = {"job_id": job.pk} | ({"fault_id": job.fault_id} if job.fault_id else {})
        found.append(
            Candidate(
                f"job:{job.pk}:{dug_on.isoformat()}",
                job.property_id,
                zone,
                dug_on + timedelta(days=told.days),
                links,
            )
        )
    return found


FAMILIES = [
    Family(FollowUpKind.RETEST_FIRST, _mended, _retests, late_days=LATE_DAYS),
    Family(FollowUpKind.RETEST_SECOND, _mended, _retests, late_days=LATE_DAYS),
    Family(FollowUpKind.SETTLE, _digs, _settling, late_days=LATE_DAYS),
]
