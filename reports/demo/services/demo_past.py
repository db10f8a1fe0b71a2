"""Visits of faults that are over, as the company's own past: how long its crews were there, and
what was promised for them."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from faults.cases.engines.stages import Stage
from faults.models import Crew, Fault, Job, JobKind, JobState, Promise
from faults.promises.services.habits import SINCE_DAYS, past_since
from faults.promises.services.looking_back import options_on
from sites.kernel.services.verbs import as_one_change
from sites.models import User

# Minutes of the locate and of the mend; 0: it was mended on the same visit.
VISITS = ((85, 0), (120, 95), (60, 0), (165, 140), (100, 60), (75, 0), (210, 120), (90, 80))
MOST_FAULTS = 24
# The days that this company tells its clients are those that hold so many times of ten.
STATED = 8
# How many days before its end each was sought: now and then parts or the client took their time.
SOUGHT_BEFORE = (2, 3, 2, 16, 2, 5, 2)
# By how many days the visits came later than planned, and how long before each was planned.
LATE = (0, 1, 0, 0, 2)
PLANNED_AHEAD = 5
BEGAN, CALLED = time(8, 30), time(7, 45)


@as_one_change()
def make_demo_past(*, crews: Sequence[Crew], today: date) -> None:
    """Give the newest faults that are over the visits that they took."""
    over = Fault.objects.filter(stage=Stage.RETURNED.value, closed_on__lt=today - timedelta(days=7))
    newest = over.select_related("property").order_by("-closed_on", "-pk")[:MOST_FAULTS]
    for n, fault in enumerate(newest):
        assert fault.closed_on is not None
        locate, mend = VISITS[n % len(VISITS)]
        crew = crews[n % len(crews)]
        late, before = LATE[n % len(LATE)], SOUGHT_BEFORE[n % len(SOUGHT_BEFORE)]
        add_visit(
            fault, JobKind.LOCATE, crew, fault.closed_on - timedelta(days=before), locate, late
        )
        if mend:
            add_visit(fault, JobKind.DIG, crew, fault.closed_on - timedelta(days=1), mend)


@as_one_change()
def make_demo_kept(*, by: User, today: date) -> None:
    """Promise for faults that are over what the plan offered on the day on which each first visit
    was planned, so that the share kept is what comes of it."""
    past = past_since(today - timedelta(days=2 * SINCE_DAYS))
    for one in past.finished:
        if one.planned is None:
            continue
        day, fault = one.planned[0], Fault.objects.get(pk=one.fault)
        for option in options_on(day, one, past):
            if option.tenths == STATED:
                Promise.objects.create(
                    fault=fault,
                    by_on=day + timedelta(days=option.days),
                    tenths=option.tenths,
                    said_to="the property's manager",
                    said_on=day,
                    said_by=by,
                )


def add_visit(
    fault: Fault, kind: JobKind, crew: Crew, day: date, minutes: int, late: int = 0
) -> None:
    """Make a finished visit, planned some days before for a day so many days earlier."""
    day = max(day, fault.reported_on)
    began = datetime.combine(day, BEGAN, ZoneInfo(fault.property.time_zone))
    ended = began + timedelta(minutes=minutes)
    job = Job.objects.create(
        property=fault.property,
        fault=fault,
        kind=kind.value,
        crew=crew,
        day=day - timedelta(days=late),
        starts_at=BEGAN,
        expected_minutes=minutes,
        state=JobState.PLANNED.value,
    )
    job.day, job.actual_minutes, job.state = day, minutes, JobState.DONE.value
    job.started_at, job.ended_at = began, ended
    job.save()
    # Its day was set some days before; those who come by are seen at once.
    set_on = max(began - timedelta(days=PLANNED_AHEAD), _reported_at(fault))
    first, last = Job.history.filter(id=job.pk).order_by("history_id")
    for record, moment in ((first, set_on), (last, ended)):
        Job.history.filter(history_id=record.history_id).update(history_date=moment)


def _reported_at(fault: Fault) -> datetime:
    return datetime.combine(fault.reported_on, CALLED, ZoneInfo(fault.property.time_zone))
