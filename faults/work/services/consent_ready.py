"""The client's yes and its limit, as readiness and the gate ask for them."""

from datetime import date

from django.utils.translation import gettext as _

from faults.models import Job
from faults.models.kind import looks_for_fault
from faults.work.engines.kinds import REPAIRS
from faults.work.services.ready_facts import ReadyFacts
from faults.work.services.ready_lines import ReadyLine, State, Subject, lacks, ready, unknown
from faults.work.services.spending_words import near_words, used_up_words


def consent_line(facts: ReadyFacts, job: Job, day: date) -> ReadyLine:
    """Return whether a dig on this day is allowed: what the gate asks and lists show."""
    if facts.is_agreed(job):
        if over := limit_line(facts, job, day):
            return over
        near = near_words(facts.share_before(job, day))
        return ready(Subject.CONSENT, " ".join(filter(None, [_("The client said yes."), near])))
    if facts.is_covered(job, day):
        return ready(Subject.CONSENT, _("The standing authority covers these hours."))
    if job.fault_id in facts.asked:
        words = _("The client was asked and has not answered. Call them.")
    elif job.digs():
        words = _("Nobody has agreed to this dig. Ask the client, and enter the yes.")
    else:
        words = _("Nobody has agreed to this repair. Ask the client, and enter the yes.")
    return lacks(Subject.CONSENT, words, is_final=True)


def limit_line(facts: ReadyFacts, job: Job, day: date) -> ReadyLine | None:
    """Return that the limit is used up, or on whose word the job goes on; None while it holds."""
    if not facts.is_used_up(job, day):
        return None
    if (let_go := facts.beyond.get(job.pk)) is not None:
        words = {"who": let_go.by or _("somebody"), "why": let_go.reason}
        return ReadyLine(
            Subject.CONSENT,
            State.READY,
            _("Let go by %(who)s beyond the limit: %(why)s") % words,
            is_on_a_word=True,
        )
    return lacks(Subject.CONSENT, used_up_words(facts, job, day), is_final=True)


def job_consent(facts: ReadyFacts, job: Job, today: date) -> ReadyLine:
    """Return how the client's yes stands for a job of any kind."""
    day = job.day or today
    looks = looks_for_fault(job.kind, job.fault)
    if job.digs() or (job.fault_id and job.kind in REPAIRS and not looks):
        return consent_line(facts, job, day)
    if not looks:
        return ReadyLine(Subject.CONSENT, State.NOT_NEEDED)
    if over := limit_line(facts, job, day):
        return over
    if facts.may_search(job, day):
        near = near_words(facts.share_before(job, day))
        return ReadyLine(Subject.CONSENT, State.NOT_NEEDED, near)
    return unknown(
        Subject.CONSENT,
        _("Nobody has allowed hours for the search: ask the client for a limit."),
    )
