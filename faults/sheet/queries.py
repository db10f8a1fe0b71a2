"""Reads of job sheets: whose, for which days, their pictures, and what could not be kept."""

from collections.abc import Sequence
from datetime import date, timedelta

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from faults.access import jobs_for
from faults.cases.queries import legs_to_choose
from faults.models import Assignment, CrewMember, Job, JobPhoto, JobState, SheetItem
from faults.work.queries.board import ORDER_OF_DAY
from sites.kernel.engines.roles import Action
from sites.models import Leg, Photo, Picture, Point, PointKind, User

MOST_SHEETS = 40
# So many days with a visit after today are kept on the phone, and no day farther ahead than this.
NEXT_DAYS, LOOKS_AHEAD_DAYS = 3, 14
MOST_TO_SETTLE = 100
MOST_BOXES = 40
# Of pictures the newest: so many of a box, of all boxes, and of the visits to the fault.
MOST_OF_A_BOX, MOST_OF_BOXES, MOST_OF_VISITS = 2, 20, 6


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
    return list(rows.order_by(*ORDER_OF_DAY)[:MOST_SHEETS])


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


def boxes_on(legs: Sequence[Leg]) -> list[Point]:
    """Return the boxes at the ends of these legs, by name."""
    points: dict[int, Point] = {}
    for leg in legs:
        for point in (leg.from_point, leg.to_point):
            if point.kind != PointKind.CONTROLLER:
                points.setdefault(point.pk, point)
    return sorted(points.values(), key=lambda point: (point.name, point.pk))[:MOST_BOXES]


def photos_of_boxes(boxes: Sequence[Point]) -> dict[int, list[Photo]]:
    """Return the newest photos of each box, by its key; one without is left out."""
    rows = Photo.objects.filter(point__in=[box.pk for box in boxes], hidden_on__isnull=True)
    found: dict[int, list[Photo]] = {}
    left = MOST_OF_BOXES
    for row in rows.order_by("-added_at", "-pk"):
        several = found.setdefault(row.point_id or 0, [])
        if left and len(several) < MOST_OF_A_BOX:
            several.append(row)
            left -= 1
    return {pk: several for pk, several in found.items() if several}


def photos_of_visits(job: Job) -> list[JobPhoto]:
    """Return the newest photos of this visit and of others to its fault: marks, holes, ways in."""
    of_it = Q(job=job)
    if job.fault_id:
        of_it |= Q(job__fault=job.fault_id)
    rows = JobPhoto.objects.filter(of_it, hidden_on__isnull=True)
    return list(rows.order_by("-added_at", "-pk")[:MOST_OF_VISITS])


def picture_on_sheet(job: Job, ref: str) -> Picture | None:
    """Return the picture of this reference where the job's sheet shows it."""
    legs = legs_to_choose(job.fault)[0] if job.fault else []
    shown: list[Picture] = [*photos_of_visits(job)]
    for several in photos_of_boxes(boxes_on(legs)).values():
        shown += several
    return next((each for each in shown if each.ref == ref), None)
