"""The visit itself: hold it, start it, finish it, and take back what was tapped by mistake."""

from datetime import date, datetime

from django.db.models import Q
from django.utils.translation import gettext as _

from faults.cases.services.working_days import working_on
from faults.models import Assignment, HeldFor, Job, JobState
from faults.work.services.gates import refuse_to_dig, refuse_unanswered, refuse_without_depth
from faults.work.services.limits import beyond_the_limit
from faults.work.services.rules import (
    MOST_MINUTES,
    refuse_unless_open,
    refuse_unless_planned,
)
from faults.work.services.told import UnableToWork
from sites.kernel.access import may
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import verb
from sites.models import User


@verb(
    name="hold a job",
    action=Action.WORK_JOBS,
    guard="it is open and not held; for the weather, parts or access; a day that has come",
    undo="release a held job",
)
def hold_job(*, job: Job, held_for: str, since: date, today: date) -> None:
    """Say whom or what the job waits for."""
    refuse_unless_open(job, UnableToWork)
    if job.held_for:
        raise UnableToWork(_("It is held already, for %s.") % job.get_held_for_display())
    if held_for not in HeldFor.values:
        raise UnableToWork(_("What does it wait for?"), field="held_for")
    refuse_ahead(since, today, field="since")
    job.held_for, job.held_since = held_for, since
    job.save()


@verb(
    name="release a held job",
    action=Action.WORK_JOBS,
    guard="it is held",
    undo="hold a job",
)
def release_job(*, job: Job) -> None:
    """Release a held job."""
    if not job.held_for:
        raise UnableToWork(_("This job is not held."))
    job.held_for, job.held_since = "", None
    job.save()


@verb(
    name="say what is on the vehicle",
    action=Action.WORK_JOBS,
    guard="the job is open",
    undo="say it again",
)
def load_vehicle(*, job: Job, parts_ready: bool, batteries_ready: bool) -> None:
    """Keep whether parts and batteries are on the vehicle."""
    refuse_unless_open(job, UnableToWork)
    job.parts_ready, job.batteries_ready = parts_ready, batteries_ready
    job.save()


@verb(
    name="start a job",
    action=Action.WORK_JOBS,
    guard="a crew has it for today or an earlier day, or no crew has it and its fault is assigned "
    "to who starts; it is not held; a search or dig: the client's limit "
    "leaves something, or somebody let it start beyond; a dig: the yes, the depth, the answers, "
    "and the notice's gate",
    undo="take back the start of a job",
)
def start_job(*, job: Job, at: datetime, today: date, by: User) -> None:
    """Begin the visit."""
    refuse_unless_planned(job, UnableToWork)
    if lacking := lacks_to_start(job=job, by=by, today=today):
        raise UnableToWork(lacking)
    job.day = job.day or today
    if job.day > today:
        raise UnableToWork(
            _("This job is for %(day)s (today is %(today)s). Have it moved to today first.")
            % {"day": job.day.isoformat(), "today": today.isoformat()}
        )
    _refuse_while_held(job)
    if job.digs():
        refuse_to_dig(job, at)
    elif over := beyond_the_limit(job, at):
        raise UnableToWork(over)
    job.state, job.started_at = JobState.STARTED, at
    job._history_user = by  # type: ignore[attr-defined]
    job.save()


def lacks_to_start(*, job: Job, by: User, today: date) -> str:
    """Return in words why this user cannot start a planned job; empty where nothing is lacking.

    Only what the office has to do: the rest can be done on the visit. Without a crew the person
    to whom the office assigned the fault may go. Skill is weighed when the job is planned: it
    stops nobody who stands there.
    """
    if job.crew_id is None and _is_assigned(job, by, today):
        return ""
    if job.crew_id is None or job.day is None:
        if may(by, Action.PLAN_JOBS, job.property):
            return _("Nobody has this job yet. Assign it to a crew and a day first.")
        return _(
            "Nobody has this job yet. Ask the office to give it to a crew and a day, or to assign "
            "its fault to you."
        )
    return ""


def _is_assigned(job: Job, by: User, today: date) -> bool:
    if job.fault_id is None:
        return False
    return Assignment.objects.filter(
        Q(to_on=None) | Q(to_on__gt=today), fault=job.fault_id, user=by, from_on__lte=today
    ).exists()


def _refuse_while_held(job: Job) -> None:
    if job.held_for and job.held_since is not None:
        raise UnableToWork(
            _("It is held for %(what)s since %(day)s. Release it first.")
            % {"what": job.get_held_for_display(), "day": job.held_since.isoformat()}
        )


def short_of_skill(job: Job, day: date) -> str:
    """Return in words that less skill is there than the job needs; empty where it does.

    Who is ill or has the day off does not count.
    """
    if job.crew is None:
        return ""
    on = working_on(job.crew, day)
    if on.skill >= job.skill_needed:
        return ""
    return _(
        "This job needs skill %(needed)s; the best in %(crew)s that day is %(held)s. Do what you "
        "can, and call for help in time."
    ) % {"needed": job.skill_needed, "crew": job.crew, "held": on.skill or _("nobody at all")}


@verb(
    name="take back the start of a job",
    action=Action.WORK_JOBS,
    guard="it is under way",
    undo="start a job",
)
def take_back_start(*, job: Job) -> None:
    """Undo the start of a job."""
    if job.state != JobState.STARTED:
        raise UnableToWork(_("This job is not under way."))
    job.state, job.started_at = JobState.PLANNED, None
    save_because(job, "not started after all")


@verb(
    name="finish a job",
    action=Action.WORK_JOBS,
    guard="it is under way; the minutes that it took; a dig: its depth, and what that depth must "
    "have answered",
    undo="reopen a finished job",
)
def finish_job(*, job: Job, actual_minutes: int, at: datetime, by: User) -> None:
    """End the visit with the minutes that it took."""
    refuse_unless_open(job, UnableToWork)
    if job.state != JobState.STARTED:
        raise UnableToWork(_("Nobody has started this job. Start it first."))
    if not 0 < actual_minutes <= MOST_MINUTES:
        raise UnableToWork(
            _("How many minutes did it take? At least one, at most two weeks."),
            field="actual_minutes",
        )
    if job.digs():
        refuse_without_depth(job)
        refuse_unanswered(job)
    job.state, job.ended_at, job.actual_minutes = JobState.DONE, at, actual_minutes
    job.held_for, job.held_since = "", None
    job._history_user = by  # type: ignore[attr-defined]
    job.save()


@verb(
    name="reopen a finished job",
    action=Action.WORK_JOBS,
    guard="it is done; what was wrong, in words",
    undo="finish a job",
)
def reopen_job(*, job: Job, why: str) -> None:
    """Put a job that was finished by mistake back under way."""
    if job.state != JobState.DONE:
        raise UnableToWork(_("This job is not done."))
    words = why.strip()
    if not words:
        raise UnableToWork(_("Say in a few words why it is not done after all."), field="why")
    job.state, job.ended_at, job.actual_minutes = JobState.STARTED, None, None
    save_because(job, words)
