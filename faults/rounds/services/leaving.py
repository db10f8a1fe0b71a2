"""Say that a station or a timer of a visit was left, and why; take that back."""

from datetime import date

from django.utils.translation import gettext as _

from faults.models import Job, JobState, LeftOut, WhyLeft
from faults.rounds.services.of_job import things_of
from faults.rounds.services.told import UnableToLeaveOut
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import verb
from sites.models import Device, Station, User


@verb(
    name="leave a station or timer out of a visit",
    action=Action.WORK_JOBS,
    guard="the visit goes to it and was not withdrawn; one of the reasons; another reason in "
    "words; a day that has come",
    undo="take back that one was left out",
)
def leave_out(
    *,
    job: Job,
    thing: Station | Device,
    why: str,
    note: str = "",
    on: date,
    by: User,
    today: date,
) -> LeftOut:
    """Keep why it was not done. Whatever is recorded of it later goes before."""
    _refuse_stranger(job, thing)
    if job.state == JobState.WITHDRAWN:
        raise UnableToLeaveOut(_("This job was withdrawn. Bring it back first."))
    if why not in WhyLeft.values:
        raise UnableToLeaveOut(_("Why is it left?"), field="why")
    if why == WhyLeft.OTHER and not note.strip():
        raise UnableToLeaveOut(_("Say in a few words why it is left."), field="note")
    if on > today:
        raise UnableToLeaveOut(_("This day has not come yet."), field="on")
    row = _row_of(job, thing) or LeftOut(job=job)
    if isinstance(thing, Station):
        row.station = thing
    else:
        row.device = thing
    row.why, row.note, row.on, row.by = why, note.strip()[:200], on, by
    row.taken_back_on = None
    row.save()
    return row


@verb(
    name="take back that one was left out",
    action=Action.WORK_JOBS,
    guard="it was left out of this visit",
    undo="leave a station or timer out of a visit",
)
def take_back_left_out(*, left: LeftOut, today: date) -> None:
    """It is still to be done; that it was left stays in the history."""
    if left.taken_back_on is not None:
        raise UnableToLeaveOut(_("This was taken back already."))
    left.taken_back_on = today
    left.save()


def _refuse_stranger(job: Job, thing: Station | Device) -> None:
    if thing not in things_of(job):
        raise UnableToLeaveOut(_("This visit does not go to %s.") % thing)


def _row_of(job: Job, thing: Station | Device) -> LeftOut | None:
    if isinstance(thing, Station):
        return job.left_out.filter(station=thing).first()
    return job.left_out.filter(device=thing).first()
