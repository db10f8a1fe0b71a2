"""The priority that a job's waiting proposes, and taking it over or overruling it."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.models import Job
from faults.rota.engines.weighing import Cause, Proposal, Waiting, proposed
from faults.rota.services.promised import Promised, promised_of, waiting_of
from faults.work.services import UnableToPlan
from faults.work.services.rules import refuse_unless_open
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because
from sites.kernel.services.verbs import verb
from sites.models import User
from sites.templatetags.water import volume_text

LONGEST_WHY = 200


@dataclass(frozen=True)
class Proposed:
    """A priority with why it is proposed, in words."""

    priority: int
    why: str


def proposals_of(jobs: Collection[Job], *, today: date) -> dict[int, Proposed]:
    """Return what is proposed for each job, by its key; jobs come with fault and property."""
    rows = list(jobs)
    promised, waiting = promised_of(rows, today=today), waiting_of(rows, today=today)
    return {
        job.pk: proposal_for(job, waiting[job.pk], promised.get(job.pk), today=today)
        for job in rows
    }


def proposal_for(job: Job, waiting: Waiting, promised: Promised | None, *, today: date) -> Proposed:
    """Return what is proposed for a job of which this is known."""
    days = None if promised is None else (promised.by_on - today).days
    found = proposed(waiting, days)
    return Proposed(found.priority, "; ".join(_words(job, found, waiting, promised)))


def _words(job: Job, found: Proposal, waiting: Waiting, promised: Promised | None) -> Iterator[str]:
    if Cause.WAITS in found.causes:
        yield (ngettext("reported %s day ago", "reported %s days ago", waiting.days) % waiting.days)
    if Cause.WATER in found.causes:
        volume = volume_text(waiting.gallons_a_day or 0.0, job.property)
        yield _("%s too much water a day") % volume
    if Cause.PROMISE in found.causes and promised is not None:
        yield promised.words
    if not found.causes:
        yield _("little waiting, little water, and no promise near")


@verb(
    name="set the priority of a job",
    action=Action.PLAN_JOBS,
    guard="it is planned or under way; a reason in words where it is not the one proposed",
    undo="set it again",
)
def set_job_priority(*, job: Job, priority: int, why: str, by: User, today: date) -> None:
    """Take over the priority that is proposed, or overrule it; who did it is kept with it."""
    refuse_unless_open(job)
    offer = proposals_of([job], today=today)[job.pk]
    words = why.strip()
    if priority != offer.priority and not words:
        raise UnableToPlan(
            _("Proposed is %(priority)s (%(why)s). Say in a few words why it is another.")
            % {"priority": offer.priority, "why": offer.why},
            field="why",
        )
    job.priority, job.priority_by = priority, by
    job.priority_why = (words or offer.why)[:LONGEST_WHY]
    save_because(job, job.priority_why)
