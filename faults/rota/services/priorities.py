"""The priority that a job's waiting proposes, and taking it over or overruling it.

A rota weighs what waiting proposes where that is more than the job has, as long as nobody
overruled it (`counts_as`).
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.access import jobs_for
from faults.models import Job, JobState
from faults.rota.engines.weighing import Cause, Proposal, Waiting, proposed
from faults.rota.services.promised import Promised, promised_of, waiting_of
from faults.work.services import UnableToPlan
from faults.work.services.rules import refuse_unless_open
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because
from sites.kernel.services.verbs import verb
from sites.models import User, today_at
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


def counts_as(job: Job, offer: Proposed) -> int:
    """Return the priority by which a rota weighs a job: the higher of the one that it has and the
    one that is proposed; its own alone where somebody set that against the proposal."""
    return job.priority if job.priority_overrules else max(job.priority, offer.priority)


@dataclass(frozen=True)
class Differs:
    """A job that has another priority than its waiting proposes, and nobody overruled it."""

    job: Job
    offer: Proposed


def differing(user: User, *, at: datetime) -> list[Differs]:
    """Return the planned jobs whose priority could be taken over, those that gain most first."""
    rows = jobs_for(user, Action.PLAN_JOBS).filter(state=JobState.PLANNED)
    by_day: dict[date, list[Job]] = defaultdict(list)
    for job in rows.select_related("property", "fault", "crew").order_by("pk"):
        if not job.priority_overrules:
            by_day[today_at(job.property, at)].append(job)
    found = []
    for today, jobs in by_day.items():
        offers = proposals_of(jobs, today=today)
        found += [Differs(job, offers[job.pk]) for job in jobs]
    differ = [each for each in found if each.offer.priority != each.job.priority]
    return sorted(
        differ,
        key=lambda each: (
            each.job.priority - each.offer.priority,
            -each.offer.priority,
            each.job.pk,
        ),
    )


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


@dataclass(frozen=True)
class Stood:
    """The priority of a job with who stood for it and why, if anybody, and whether against what
    was proposed."""

    priority: int
    by: User | None
    why: str
    overrules: bool

    @classmethod
    def of(cls, job: Job) -> "Stood":
        """Return it as it is now."""
        return cls(job.priority, job.priority_by, job.priority_why, job.priority_overrules)

    def kept(self) -> dict[str, Any]:
        """Return it as JSON holds it."""
        by = None if self.by is None else self.by.pk
        return {"priority": self.priority, "by": by, "why": self.why, "overrules": self.overrules}

    @classmethod
    def read(cls, kept: Mapping[str, Any]) -> "Stood":
        """Return what was kept; who is gone stands for nothing."""
        by = User.objects.filter(pk=kept["by"]).first() if kept["by"] else None
        return cls(kept["priority"], by, kept["why"], kept["overrules"])


@verb(
    name="set the priority of a job",
    action=Action.PLAN_JOBS,
    guard="it is planned or under way; a reason in words where it is not the one proposed",
    undo="set it again",
)
def set_job_priority(
    *,
    job: Job,
    priority: int,
    why: str,
    by: User,
    today: date,
    before: Stood | None = None,
) -> None:
    """Take over the priority that is proposed, or overrule it; who did it is kept with it.

    Args:
        before: put back, as something set is taken back: nobody has to say why.
    """
    refuse_unless_open(job)
    if before is not None:
        job.priority, job.priority_by = before.priority, before.by
        job.priority_why, job.priority_overrules = before.why, before.overrules
        save_because(job, why)
        return
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
    job.priority_overrules = priority != offer.priority
    save_because(job, job.priority_why)
