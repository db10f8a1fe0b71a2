"""What must hold before ground is opened: consent, depth, answers, and the notice's own gate."""

import zoneinfo
from datetime import datetime
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from faults.engines.consent import Limit, covers
from faults.engines.safety import DEEPEST_IN, unanswered
from faults.engines.stages import ADVANCE, CLOSED, Stage
from faults.models import Job
from faults.services.before_mend import limits_in_words, standing_on
from faults.services.jobs.safety import answers_of, prompts_of, required_words
from faults.services.jobs.told import UnableToWork
from faults.services.notices import dig_gate
from faults.services.notices.gate import judge_job
from faults.services.notices.words import reasons_in_words


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
    """Refuse while neither the client nor a standing authority has said yes."""
    if _is_agreed(job):
        return
    day = timezone.localdate(at, zoneinfo.ZoneInfo(job.property.time_zone))
    standing = standing_on(job.property, day)
    hours = Limit(hours=Decimal(job.expected_minutes) / 60)
    if any(covers(Limit(one.up_to_hours, one.up_to_amount), hours) for one in standing):
        return
    words = _("Nobody has agreed to this dig yet. Ask the client, and enter the yes on the fault.")
    if standing:
        words += " " + _(
            "The standing authority does not cover %(minutes)s minutes: %(limits)s."
        ) % {
            "minutes": job.expected_minutes,
            "limits": "; ".join(limits_in_words(one) for one in standing),
        }
    raise UnableToWork(words)


def _is_agreed(job: Job) -> bool:
    """Whether every open station that the job goes to is agreed, or further on."""
    if job.fault is None:
        return False
    rows = job.fault.stations.exclude(stage__in=[stage.value for stage in CLOSED])
    named = list(job.stations.values_list("pk", flat=True))
    if named:
        rows = rows.filter(station__in=named)
    stages = [Stage(stage) for stage in rows.order_by("pk").values_list("stage", flat=True)]
    return bool(stages) and all(ADVANCE[each] >= ADVANCE[Stage.AGREED] for each in stages)


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
