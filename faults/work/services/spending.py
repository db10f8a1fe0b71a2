"""What was spent on a fault against the newest limit that holds: one rule for office and phone.

Man-hours are counted over all visits of the fault: a visit of two people takes two. The newest
yes on the fault sets the limit, else the newest standing authority of the property; a newer,
lower one replaces an older. A limit in money stays money: hours have no prices here yet.
"""

import zoneinfo
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Q
from django.utils import timezone

from faults.models import Authority, CrewMember, Fault, Job, JobState
from sites.models import StandingAuthority

MINUTES_PER_HOUR = 60


@dataclass(frozen=True)
class Spending:
    """Man-minutes spent, and the limit that they count against; None = no limit of that kind."""

    used_man_min: float
    up_to_hours: Decimal | None = None
    up_to_amount: Decimal | None = None
    given_by: str = ""

    @property
    def is_allowed(self) -> bool:
        """Whether anyone set a limit at all."""
        return self.up_to_hours is not None or self.up_to_amount is not None

    @property
    def left_man_min(self) -> float | None:
        """Man-minutes that are left, below 0 where overspent; None without such a limit."""
        if self.up_to_hours is None:
            return None
        return float(self.up_to_hours) * MINUTES_PER_HOUR - self.used_man_min


def spending_of(fault: Fault, *, at: datetime, besides: Job | None = None) -> Spending:
    """Return what was spent on a fault up to a moment, and its limit.

    Args:
        besides: a visit to leave out, because its own minutes are counted as they run.
    """
    day = timezone.localdate(at, zoneinfo.ZoneInfo(fault.property.time_zone))
    limit = _limit(fault, day)
    return Spending(
        used_man_min=_used(fault, at, besides),
        up_to_hours=limit.up_to_hours if limit else None,
        up_to_amount=limit.up_to_amount if limit else None,
        given_by=str(getattr(limit, "given_by", "")) if limit else "",
    )


def people_on(job: Job, day: date) -> int:
    """Return how many people a visit takes: the crew of the day, or one."""
    if job.crew_id is None:
        return 1
    members = CrewMember.objects.filter(crew=job.crew_id, from_on__lte=day)
    return members.filter(Q(to_on=None) | Q(to_on__gt=day)).count() or 1


def _limit(fault: Fault, day: date) -> Authority | StandingAuthority | None:
    named = Q(up_to_hours__isnull=False) | Q(up_to_amount__isnull=False)
    own = fault.authorities.filter(named, given_on__lte=day).order_by("-given_on", "-pk").first()
    if own is not None:
        return own
    standing = fault.property.authorities.on(day).filter(named)
    return standing.order_by("-from_on", "-pk").first()


def _used(fault: Fault, at: datetime, besides: Job | None) -> float:
    visits = Job.objects.filter(fault=fault, started_at__lte=at).exclude(state=JobState.WITHDRAWN)
    visits = visits.exclude(pk=besides.pk) if besides else visits
    return sum(_man_min(job, at) for job in visits.order_by("pk"))


def _man_min(job: Job, at: datetime) -> float:
    assert job.started_at is not None
    ran = (at - job.started_at).total_seconds() / MINUTES_PER_HOUR
    minutes = float(job.actual_minutes) if job.actual_minutes is not None else ran
    return minutes * people_on(job, job.started_at.date())
