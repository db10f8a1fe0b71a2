"""Who goes when: assign a job to a crew and a day, move it, call it back, lock its day."""

from datetime import date, datetime, time

from django.utils.translation import gettext as _

from faults.cases.services.working_days import working_on
from faults.models import CLOSED_STAGES, Crew, Job
from faults.work.services.arriving import refuse_unpromised
from faults.work.services.of_fault import call_back_from_fault, release_crew, send_for_fault
from faults.work.services.rules import (
    refuse_crew,
    refuse_if_locked,
    refuse_outside,
    refuse_unless_planned,
    refuse_without_reason,
)
from faults.work.services.told import UnableToSend
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because
from sites.kernel.services.verbs import verb
from sites.models import User


@verb(
    name="assign a job",
    action=Action.PLAN_JOBS,
    guard="it is planned and has no crew yet; its fault is open; the crew is neither retired nor "
    "away on that day; today or later; within its earliest and due day, the times promised and the "
    "crew's working time, by a crew with its skill, or a reason",
    undo="take a job from its crew",
)
def assign_job(
    *,
    job: Job,
    crew: Crew,
    day: date,
    starts_at: time | None = None,
    by: User,
    at: datetime,
    today: date,
    why: str = "",
    scheduled_on: date | None = None,
) -> Job:
    """Send a crew on a day. A locate job moves its fault's reported stations to scheduled.

    Args:
        why: required where the day lies outside the job's earliest and due day or the crew's
            working time, and where the crew holds less skill than the job needs.
        scheduled_on: on which day the visit was agreed; today, unless it is entered later.
    """
    refuse_unless_planned(job, UnableToSend)
    if job.crew is not None:
        raise UnableToSend(
            _("%(crew)s has this job already, on %(day)s. Move it instead.")
            % {"crew": job.crew, "day": job.day.isoformat() if job.day else _("no day yet")}
        )
    _send(job, crew, day, starts_at, why=why, today=today)
    send_for_fault(job, on=scheduled_on or today, by=by, at=at, today=today)
    return job


@verb(
    name="move a job to another crew or day",
    action=Action.PLAN_JOBS,
    guard="it is assigned, not locked, and nobody has started it; something differs; as assigning",
    undo="move it back",
)
def move_job(
    *,
    job: Job,
    crew: Crew,
    day: date,
    starts_at: time | None = None,
    by: User,
    at: datetime,
    today: date,
    why: str = "",
) -> None:
    """Send another crew, or on another day. The fault stays scheduled."""
    refuse_unless_planned(job, UnableToSend)
    refuse_if_locked(job)
    if job.crew_id is None or job.day is None:
        raise UnableToSend(_("Nobody has this job yet. Assign it instead."))
    if (job.crew_id, job.day, job.starts_at) == (crew.pk, day, starts_at):
        raise UnableToSend(_("The job is there already. Choose another crew, day or time."))
    before = job.crew_id, job.day
    _send(job, crew, day, starts_at, why=why, today=today)
    if before != (crew.pk, day):
        release_crew(job, *before, today=today)
        send_for_fault(job, on=today, by=by, at=at, today=today)


def _send(
    job: Job, crew: Crew, day: date, starts_at: time | None, *, why: str, today: date
) -> None:
    if job.fault is not None and job.fault.stage in CLOSED_STAGES:
        raise UnableToSend(_("Its fault is closed: nobody needs to go. Withdraw the job."))
    refuse_crew(crew, day, today)
    refuse_outside(job, day, why)
    refuse_without_reason(job, crew, day, starts_at, why)
    refuse_unpromised(job, day, starts_at, working_on(crew, day), why=why, today=today)
    job.crew, job.day, job.starts_at = crew, day, starts_at
    job.sequence += 1
    save_because(job, why.strip())


@verb(
    name="take a job from its crew",
    action=Action.PLAN_JOBS,
    guard="it is assigned, not locked, and nobody has started it; a reason in words",
    undo="assign a job",
)
def unassign_job(*, job: Job, why: str, by: User, at: datetime, today: date) -> None:
    """Plan the job without crew and day; stations that only it was to visit go back to reported."""
    refuse_unless_planned(job, UnableToSend)
    refuse_if_locked(job)
    if job.crew_id is None:
        raise UnableToSend(_("Nobody has this job: it only waits to be assigned."))
    words = why.strip()
    if not words:
        raise UnableToSend(_("Say in a few words why."), field="why")
    before = job.crew_id, job.day
    job.crew = job.day = job.starts_at = None
    job.sequence += 1
    save_because(job, words)
    call_back_from_fault(job, why=words, by=by, at=at, today=today)
    release_crew(job, *before, today=today)


@verb(
    name="lock a job to its day",
    action=Action.PLAN_JOBS,
    guard="it is assigned, nobody has started it, and it is not locked",
    undo="unlock a job",
)
def lock_job(*, job: Job) -> None:
    """Lock crew and day: they were promised to the client."""
    refuse_unless_planned(job, UnableToSend)
    if job.crew_id is None or job.day is None:
        raise UnableToSend(_("Only a job with a crew and a day can be locked. Assign it first."))
    if job.is_locked:
        raise UnableToSend(_("This job is locked already."))
    job.is_locked = True
    job.save()


@verb(
    name="unlock a job",
    action=Action.PLAN_JOBS,
    guard="it is locked",
    undo="lock a job to its day",
)
def unlock_job(*, job: Job) -> None:
    """Unlock the job: it may be moved again."""
    if not job.is_locked:
        raise UnableToSend(_("This job is not locked."))
    job.is_locked = False
    job.save()
