"""Reads of notices, their rules, closed days, questions to clients and digs."""

from datetime import datetime

from django.db.models import (
    Count,
    DateTimeField,
    IntegerField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
)
from django.db.models.functions import Coalesce

from faults.access import jobs_for, notices_for
from faults.models import (
    OPEN_JOB_STATES,
    Asked,
    ClosedDay,
    ClosedDays,
    DigOverride,
    Fault,
    Job,
    Notice,
    NoticeRule,
    OperatorAnswer,
    OperatorState,
)
from faults.notices.engines.regions import region_key
from sites.kernel.access import properties_for
from sites.models import User

UNSETTLED = [OperatorState.WAITING.value, OperatorState.NEEDS_TIME.value]
MOST_SHOWN = 20


def notices_listed(user: User, *, at: datetime) -> QuerySet[Notice]:
    """Return notices annotated with how many operators have not settled, and the moment `at`."""
    waited_on = OperatorAnswer.objects.filter(notice=OuterRef("pk"), state__in=UNSETTLED)
    unsettled = waited_on.order_by().values("notice").annotate(n=Count("pk")).values("n")
    return (
        notices_for(user)
        .select_related("property", "fault")
        .prefetch_related("operators")
        .annotate(
            unsettled=Coalesce(Subquery(unsettled, output_field=IntegerField()), 0),
            asked_at=Value(at, DateTimeField()),
        )
    )


def operators_of(notice: Notice) -> list[OperatorAnswer]:
    """Return who must answer a notice, by name."""
    return list(notice.operators.order_by("operator", "pk"))


def notices_of(fault: Fault) -> list[Notice]:
    """Return the newest tickets of a fault, cancelled ones too."""
    rows = fault.notices.prefetch_related("operators")
    return list(rows.order_by("-given_at", "-pk")[:MOST_SHOWN])


def asked_of(fault: Fault) -> list[Asked]:
    """Return what the client was asked about a fault, newest first."""
    return list(fault.asked.select_related("asked_by").order_by("-asked_on", "-pk")[:MOST_SHOWN])


def digs_of(notice: Notice, user: User) -> list[Job]:
    """Return the open digs that this ticket is for, as far as the user sees them."""
    rows = jobs_for(user).filter(opens_ground=True, state__in=OPEN_JOB_STATES)
    if notice.fault_id:
        rows = rows.filter(fault=notice.fault_id)
    else:
        rows = rows.filter(property=notice.property_id)
    return list(rows.select_related("crew", "property").order_by("day", "pk")[:MOST_SHOWN])


def overrides_of(jobs: list[Job]) -> list[DigOverride]:
    """Return what owners said against notices for these jobs, newest first, taken back or not."""
    rows = DigOverride.objects.filter(job__in=[job.pk for job in jobs])
    return list(rows.select_related("by", "job__property").order_by("-at", "-pk"))


def rules_listed() -> QuerySet[NoticeRule]:
    """Return every rule by its region."""
    return NoticeRule.objects.select_related("confirmed_by", "closed_days").order_by("region", "pk")


def closed_day_sets() -> QuerySet[ClosedDays]:
    """Return every set of closed days with how many days it closes."""
    closed = Count("days", filter=Q(days__is_closed=True))
    return ClosedDays.objects.annotate(closed_total=closed).order_by("name", "pk")


def days_of(kept: ClosedDays) -> list[ClosedDay]:
    """Return the days of a set in order."""
    return list(kept.days.order_by("on", "pk"))


def regions_without_rule(user: User) -> list[str]:
    """Return the regions that properties name and that no rule is kept for."""
    kept = {region_key(each) for each in NoticeRule.objects.values_list("region", flat=True)}
    named = properties_for(user).in_care().exclude(notice_region="")
    regions = named.order_by("notice_region").values_list("notice_region", flat=True).distinct()
    return [each for each in regions[:200] if region_key(each) not in kept]
