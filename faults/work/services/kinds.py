"""What the office says that jobs of a kind need; planned jobs follow where ground is opened."""

from django.utils.translation import gettext as _

from faults.models import Job, JobKind, JobState, KindOfJob
from faults.work.engines.kinds import ALWAYS_OPENS_GROUND, KindFacts
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb


class UnableToChangeKind(UnableToAct):
    """A kind of job that cannot be so."""


@verb(
    name="change what a kind of job needs",
    action=Action.SET_UP_WORK,
    guard="at least one minute and one person; a dig always opens ground",
    undo="change it back, with the values that its history shows",
)
def change_kind(*, kind: str, facts: KindFacts) -> None:
    """Keep what new jobs of a kind start with. Planned ones keep their minutes, skill and gear.

    Whether ground is opened holds for planned ones too: their soil, notice and yes follow.
    """
    if kind not in JobKind.values:
        raise UnableToChangeKind(_("There is no such kind of job."))
    if facts.minutes < 1 or facts.people < 1:
        raise UnableToChangeKind(_("A job takes at least one minute and one person."))
    if kind in ALWAYS_OPENS_GROUND and not facts.opens_ground:
        raise UnableToChangeKind(
            _("A dig opens ground. Choose another kind for work without one."), field="opens_ground"
        )
    row = KindOfJob.objects.filter(kind=kind).first() or KindOfJob(kind=kind)
    row.minutes, row.skill, row.people = facts.minutes, facts.skill, facts.people
    row.gear, row.opens_ground = facts.gear.strip(), facts.opens_ground
    row.save()
    planned = Job.objects.filter(kind=kind, state=JobState.PLANNED)
    for job in planned.exclude(opens_ground=facts.opens_ground).order_by("pk"):
        job.opens_ground = facts.opens_ground
        job.sequence += 1
        job.save()
