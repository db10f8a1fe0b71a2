"""What a sheet could not accept stays in view of the office until it is marked as reviewed."""

from datetime import datetime

from django.utils.translation import gettext as _

from faults.models import Job
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb


class UnableToSettle(UnableToAct):
    """There is nothing to settle."""


@verb(
    name="settle what a job sheet could not keep",
    action=Action.WORK_JOBS,
    guard="something of the job's sheet was not kept, and nobody has settled it",
    undo="none is needed: all of it stays on the job's page, with its reasons",
)
def settle(*, job: Job, at: datetime) -> int:
    """Mark it as reviewed: it was entered elsewhere, or does not matter."""
    rows = list(job.sheet_items.unsettled().order_by("received_at", "pk"))
    if not rows:
        raise UnableToSettle(_("Nothing of this sheet waits to be looked at."))
    for row in rows:
        row.settled_at = at
        row.save()
    return len(rows)
