"""What was spent of a limit, in words: the same on the fault's page, in lists and at the gate."""

from datetime import date

from django.utils.translation import gettext as _

from faults.cases.services.spending import Spending, hours_words, in_hours
from faults.models import Job
from faults.work.services.ready_facts import ReadyFacts


def spent_words(spent: Spending) -> str:
    """Return the running sum of a fault, empty where nothing was spent and nobody set a limit."""
    used = hours_words(in_hours(spent.used_man_min))
    if spent.up_to_hours is not None:
        words = _("%(used)s of %(limit)s man-hours used.") % {
            "used": used,
            "limit": hours_words(spent.up_to_hours),
        }
        if spent.left_man_min is not None and spent.left_man_min <= 0:
            words += " " + _("The limit leaves nothing: ask the client before the next visit.")
        return words
    if spent.used_man_min > 0:
        return _("%s man-hours used. Nobody set a limit in hours.") % used
    return ""


def used_up_words(facts: ReadyFacts, job: Job, day: date) -> str:
    """Return that the hours which were allowed are used up, and what to do next."""
    limit = facts.limit_on(job, day)
    assert limit is not None
    assert limit.up_to_hours is not None
    return _(
        "%(used)s of %(limit)s man-hours are used: the limit leaves nothing. Ask the client for "
        "more, and enter the new yes."
    ) % {
        "used": hours_words(in_hours(facts.spent_before(job))),
        "limit": hours_words(limit.up_to_hours),
    }
