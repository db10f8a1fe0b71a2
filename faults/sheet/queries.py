"""Reads of job sheets: whose, for which days, and what of them could not be kept."""

from datetime import date, timedelta

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from faults.access import jobs_for
from faults.models import Assignment, CrewMember, Job, JobState, SheetItem
from sites.kernel.engines.roles import Action
from sites.models import User

MOST_SHEETS = 40
# So many days with a visit after today are kept on the phone, and no day farther ahead than this.
NEXT_DAYS, LOOKS_AHEAD_DAYS = 3, 14
MOST_TO_SETTLE = 100


def sheets_of(user: User, *, today: date) -> list[Job]:
    """Return the visits of the user's crew today, on its next days, and those still under way.

    The next days are those with a visit: on a Friday they begin on Monday. With them the visits
    that no crew has, of faults that are assigned to the user.
    """
    with_it = CrewMember.objects.filter(user=user, crew=OuterRef("crew")).filter(
        Q(to_on__isnull=True) | Q(to_on__gt=OuterRef("day")), from_on__lte=OuterRef("day")
    )
    last = today + timedelta(days=LOOKS_AHEAD_DAYS)
    assigned = Assignment.objects.filter(user=user, fault=OuterRef("fault")).filter(
        Q(to_on__isnull=True) | Q(to_on__gt=today), from_on__lte=last
    )
    alone = Q(crew__isnull=True) & Exists(assigned)
    rows = jobs_for(user, Action.WORK_JOBS).filter(Exists(with_it) | alone)
    rows = rows.exclude(state=JobState.WITHDRAWN)
    ahead = rows.filter(day__gt=today, day__lte=last).order_by("day").values_list("day", flat=True)
    days = [today, *ahead.distinct()[:NEXT_DAYS]]
    soon = Q(day__in=days) | Q(day__isnull=True, state=JobState.PLANNED)
    rows = rows.filter(soon | Q(state=JobState.STARTED))
    rows = rows.select_related("property", "fault__property", "crew")
    return list(rows.order_by("day", "starts_at", "pk")[:MOST_SHEETS])


def jobs_to_settle(user: User) -> list[Job]:
    """Return the jobs whose sheets have things that were not accepted and not reviewed."""
    open_ones = SheetItem.objects.unsettled().filter(job=OuterRef("pk"))
    rows = jobs_for(user, Action.WORK_JOBS).filter(Exists(open_ones))
    waiting = Count("sheet_items", filter=_is_unsettled())
    rows = rows.select_related("property", "fault").annotate(waiting=waiting)
    return list(rows.order_by("-day", "pk")[:MOST_TO_SETTLE])


def _is_unsettled() -> Q:
    return ~Q(sheet_items__answer="accepted") & Q(sheet_items__settled_at__isnull=True)


def items_of_job(job: Job) -> QuerySet[SheetItem]:
    """Return what came from phones about a job, in the order in which it happened."""
    return job.sheet_items.select_related("user").order_by("happened_at", "received_at", "pk")
