"""What can be done with a job now, by this user: the links under its title."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from django.urls import reverse
from django.utils.translation import gettext as _

from faults.models import Job, JobState
from faults.work.services.doing import lacks_to_start
from sites.models import User


@dataclass(frozen=True)
class JobStep:
    """A link to the page of one verb; the first ones are what is mostly done next."""

    url: str
    words: str


def steps_of(job: Job, may_here: Mapping[str, bool], *, user: User, today: date) -> list[JobStep]:
    """Return the verbs that this job can take now and that the user may do."""
    steps: list[tuple[str, str]] = []
    if may_here.get("work_jobs"):
        steps += _of_work(job, user, today)
        if not may_here.get("plan_jobs"):
            steps.append(("sheet", _("Job sheet")))
    if may_here.get("plan_jobs"):
        steps += _of_planning(job)
    if may_here.get("work_jobs"):
        steps += _along_the_way(job)
    if may_here.get("work_jobs") and may_here.get("plan_jobs"):
        steps.append(("sheet", _("Job sheet")))
    if may_here.get("see_work"):
        steps.append(("sheet_kept", _("From phones")))
    return [JobStep(reverse(f"faults:{name}", args=[job.ref]), words) for name, words in steps]


def _of_work(job: Job, user: User, today: date) -> Iterator[tuple[str, str]]:
    is_due = job.day is None or job.day <= today
    is_planned = job.state == JobState.PLANNED
    if is_planned and is_due and not lacks_to_start(job=job, by=user, today=today):
        yield "job_start", _("Start")
    if job.state == JobState.STARTED:
        yield "job_finish", _("Finish")
        yield "job_start_back", _("Not started after all")
    if job.state == JobState.DONE:
        yield "job_reopen", _("Reopen")


def _of_planning(job: Job) -> Iterator[tuple[str, str]]:
    is_planned = job.state == JobState.PLANNED
    if is_planned and job.crew_id is None:
        yield "job_assign", _("Assign")
    if is_planned and job.crew_id is not None and not job.is_locked:
        yield "job_move", _("Move")
        yield "job_unassign", _("Take from its crew")
        yield "job_lock", _("Lock")
    if job.is_locked and is_planned:
        yield "job_unlock", _("Unlock")
    if is_planned or job.state == JobState.STARTED:
        yield "job_change", _("Change")
        yield "job_split", _("Split")
    if is_planned and job.split_from_id is not None:
        yield "job_join", _("Join again")
    if is_planned:
        yield "job_withdraw", _("Withdraw")
    if job.state == JobState.WITHDRAWN:
        yield "job_bring_back", _("Bring back")


def _along_the_way(job: Job) -> Iterator[tuple[str, str]]:
    if job.state in (JobState.PLANNED, JobState.STARTED):
        if job.digs():
            yield "job_safety", _("Before the hole is dug")
        if job.held_for:
            yield "job_release", _("Release")
        else:
            yield "job_hold", _("Hold")
        yield "job_vehicle", _("On the vehicle")
    if job.digs():
        yield "job_estimate", _("How long and how much?")
    if job.state != JobState.WITHDRAWN:
        yield "job_line_add", _("Add a line")
        yield "job_photo_add", _("Add a photo")
