"""The client's limit at the start of a visit, and the word that lets one start beyond it."""

from datetime import date, datetime

from django.utils.translation import gettext as _

from faults.models import OPEN_JOB_STATES, Job, JobKind, LimitOverride
from faults.work.engines.kinds import REPAIRS
from faults.work.services.consent_ready import limit_line
from faults.work.services.ready_facts import facts_of, let_beyond
from faults.work.services.ready_lines import State
from faults.work.services.told import UnableToWork
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import verb
from sites.models import User, today_at

# What counts against a client's limit: the search and what mends, by digging or without.
LIMITED = frozenset({JobKind.LOCATE.value}) | REPAIRS


def beyond_the_limit(job: Job, at: datetime) -> str:
    """Return in words why a visit may not start: its limit is used up. Empty where it may."""
    if job.fault_id is None or job.kind not in LIMITED:
        return ""
    line = limit_line(facts_of([job]), job, today_at(job.property, at))
    return line.words if line is not None and line.state is State.NOT_READY else ""


@verb(
    name="let a job start beyond the client's limit",
    action=Action.OVERRIDE_LIMIT,
    guard="an open search or dig of a fault; its limit is used up; no such word holds already; why",
    undo="take back the word that let a job start beyond its limit",
)
def let_start_beyond(*, job: Job, reason: str, by: User, at: datetime) -> LimitOverride:
    """Keep the word of somebody with the right that this job may start all the same."""
    words = reason.strip()
    if not words:
        raise UnableToWork(_("Say why it may start. It is kept with your name."), field="reason")
    if job.state not in OPEN_JOB_STATES:
        raise UnableToWork(_("This job is over."))
    if let_beyond([job.pk]):
        raise UnableToWork(_("Such a word holds for this job already."))
    if not beyond_the_limit(job, at):
        raise UnableToWork(_("Its limit is not used up: it may start as it is planned."))
    return LimitOverride.objects.create(job=job, reason=words, by=by, at=at)


@verb(
    name="take back the word that let a job start beyond its limit",
    action=Action.OVERRIDE_LIMIT,
    guard="it holds",
    undo="let a job start beyond the client's limit, once more",
)
def take_back_beyond(*, job: Job, today: date) -> None:
    """Let the limit hold the job back again; the word stays on record."""
    held = let_beyond([job.pk]).get(job.pk)
    if held is None:
        raise UnableToWork(_("No such word holds for this job."))
    held.taken_back_on = today
    held.save()
