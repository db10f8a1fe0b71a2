"""What must hold before ground is opened: consent, depth, answers, and the notice's own gate."""

from datetime import datetime

from django.utils.translation import gettext as _

from faults.cases.services.before_mend import limits_in_words
from faults.cases.services.man_hours import expected_man_min, in_hours
from faults.cases.services.spending import hours_words
from faults.models import Job
from faults.notices.services import dig_gate
from faults.notices.services.gate import judge_job
from faults.notices.services.words import reasons_in_words
from faults.work.engines.safety import DEEPEST_IN, unanswered
from faults.work.services.consent_ready import consent_line
from faults.work.services.ready_facts import facts_of
from faults.work.services.ready_lines import State
from faults.work.services.safety import answers_of, prompts_of, required_words
from faults.work.services.told import UnableToWork
from sites.models import today_at


def refuse_to_dig(job: Job, at: datetime) -> None:
    """Refuse a dig that nobody allowed, whose depth nobody knows, or whose notice is not clear.

    Raises:
        UnableToWork: with what to do first.
    """
    refuse_without_consent(job, at)
    refuse_without_depth(job)
    refuse_unanswered(job)
    if not dig_gate(job=job, at=at).is_clear:
        reasons = reasons_in_words(judge_job(job=job, at=at))
        raise UnableToWork(_("The utility notice does not let this dig go: %s") % " ".join(reasons))


def refuse_without_consent(job: Job, at: datetime) -> None:
    """Refuse while neither the client nor a standing authority has said yes: readiness decides."""
    day = today_at(job.property, at)
    facts = facts_of([job])
    line = consent_line(facts, job, day)
    if line.state is State.READY:
        return
    words = line.words
    if standing := facts.standing_on(job, day):
        words += " " + _(
            "The standing authority does not cover %(minutes)s minutes of work: %(limits)s."
        ) % {
            "minutes": round(expected_man_min(job, day, facts.members)),
            "limits": "; ".join(limits_in_words(one) for one in standing),
        }
        if spent := facts.spent_before(job):
            words += " " + _("Earlier visits used %s man-hours of it.") % hours_words(
                in_hours(spent)
            )
    raise UnableToWork(words)


def refuse_without_depth(job: Job) -> None:
    """Refuse a dig whose depth is not known, or is beyond what we may plan."""
    if job.planned_depth_in is None:
        raise UnableToWork(
            _("How deep will it be? Say so under “Before the hole is dug”: the prompts need it.")
        )
    if job.planned_depth_in > DEEPEST_IN:
        raise UnableToWork(
            _("Deeper than 20 ft needs an engineer's design (29 CFR 1926.652). Do not dig.")
        )


def refuse_unanswered(job: Job) -> None:
    """Refuse while a prompt that must be answered is not."""
    open_ones = unanswered(prompts_of(job), answers_of(job))
    if open_ones:
        raise UnableToWork(required_words(open_ones))
