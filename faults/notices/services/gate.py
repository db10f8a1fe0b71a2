"""Whether a job may dig, and the owner's reasoned word against what the notice says."""

from collections.abc import Iterable
from datetime import date, datetime

from django.utils.translation import gettext as _

from faults.models import OPEN_JOB_STATES, DigOverride, Job
from faults.notices.engines.dig_gate import DigGate
from faults.notices.services.book import NoticeBook, dig_of, planned_start
from faults.notices.services.terms import Judged
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import User


class UnableToOverride(UnableToAct):
    """The gate cannot be set aside so."""


def dig_gate(*, job: Job, at: datetime) -> DigGate:
    """Return whether this job may dig when it starts at `at`, for all of its expected minutes.

    A standing word of the owner opens the gate; the days stay. A job that opens no ground is
    never held back.
    """
    gate = judge_job(job=job, at=at).gate
    if gate.is_clear or not standing_overrides([job.pk]):
        return gate
    return DigGate((), gate.clears_at, gate.runs_out_at)


def judge_job(*, job: Job, at: datetime) -> Judged:
    """Return what the notice says to this job, whatever the owner said about it."""
    book = NoticeBook.of([job.property_id])
    return book.judge(job.property, job.fault_id, dig_of(job, start=at))


def standing_overrides(job_ids: Iterable[int]) -> dict[int, DigOverride]:
    """Return the override that holds, by the key of its job; one query."""
    rows = DigOverride.objects.filter(job__in=list(job_ids), taken_back_on__isnull=True)
    return {row.job_id: row for row in rows.select_related("by").order_by("at", "pk")}


@verb(
    name="let a dig go on against a notice",
    action=Action.OVERRIDE_DIG,
    guard="an open job that digs; something holds it back; no such word holds already; a reason",
    undo="take back the word that let a dig go on",
)
def override_dig(*, job: Job, reason: str, by: User, at: datetime) -> DigOverride:
    """Keep the owner's word that this job may dig although the notice says no."""
    words = reason.strip()
    if not words:
        raise UnableToOverride(
            _("Say why this dig may go on. It is kept with your name."), field="reason"
        )
    if not job.digs() or job.state not in OPEN_JOB_STATES:
        raise UnableToOverride(_("Only an open job that digs can be held back by a notice."))
    if standing_overrides([job.pk]):
        raise UnableToOverride(_("Such a word holds for this job already."))
    if judge_job(job=job, at=planned_start(job, at=at)).is_clear:
        raise UnableToOverride(_("Nothing holds this dig back: it may go as it is planned."))
    return DigOverride.objects.create(job=job, reason=words, by=by, at=at)


@verb(
    name="take back the word that let a dig go on",
    action=Action.OVERRIDE_DIG,
    guard="it holds",
    undo="let a dig go on against a notice, once more",
)
def take_back_override(*, override: DigOverride, today: date) -> None:
    """Take back an override: the notice holds the job back again; the row stays on record."""
    if override.taken_back_on is not None:
        raise UnableToOverride(
            _("It was taken back on %s already.") % override.taken_back_on.isoformat()
        )
    override.taken_back_on = today
    override.save()
