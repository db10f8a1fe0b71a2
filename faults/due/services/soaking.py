"""What falls due before ground is opened: the soil is soaked, clay a day sooner."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from django.conf import settings
from django.db.models import Q, QuerySet

from faults.due.services.family import Candidate, Family, Told
from faults.models import FollowUpKind, Job, JobKind, JobState


def _to_soak() -> QuerySet[Any]:
    """Planned visits that probe or dig, on a day, whose soil nobody has soaked."""
    planned = Job.objects.filter(
        Q(opens_ground=True) | Q(kind=JobKind.LOCATE), state=JobState.PLANNED, soaked_on=None
    )
    return planned.filter(day__isnull=False, property__retired_on=None).select_related("property")


def _soaks(rows: Sequence[Any], told: Told) -> list[Candidate]:
    found = []
    for job in rows:
        if job.day < told.today(job.property.time_zone):
            continue
        links = {"job_id": job.pk} | ({"fault_id": job.fault_id} if job.fault_id else {})
        found.append(
            Candidate(
                f"job:{job.pk}:{job.day.isoformat()}",
                job.property_id,
                job.property.time_zone,
                job.day - timedelta(days=days_before(job.property.soil, told.days)),
                links,
            )
        )
    return found


def days_before(soil: str, days: int) -> int:
    """Return how many days before a dig to soak: water takes longer to go down in clay."""
    return max(days, settings.SOAK_CLAY_DAYS) if "clay" in soil.lower() else days


FAMILIES = [Family(FollowUpKind.SOAK, _to_soak, _soaks)]
