"""Clashes in words, each with what to do about it."""

from collections.abc import Callable, Mapping

from django.utils.translation import gettext as _

from faults.models import Job
from faults.work.engines.clashes import Clash, ClashKind
from faults.work.services.arriving import arrival_words
from faults.work.services.could_take import hours_text
from faults.work.services.rules import clock


def in_words(clash: Clash, jobs: Mapping[int, Job]) -> str:
    """Return what speaks against the job, and what to do."""
    job, other = jobs[clash.key], jobs.get(clash.other or 0)
    words = {
        "crew": job.crew or "",
        "other": other or "",
        "needed": clash.needed,
        "there": clash.there,
        "words": clash.words,
        "due": job.due_on.isoformat() if job.due_on else "",
        "earliest": job.earliest_on.isoformat() if job.earliest_on else "",
        "hours": hours_text(clash.there),
        "since": clock(clash.needed),
        "until": clock(clash.there),
        "promised": arrival_words(job.fault) if clash.kind is ClashKind.PROMISED else "",
    }
    if clash.kind is ClashKind.AWAY and not clash.words:
        return _("%(crew)s is away on that day. Move the job.") % words
    told = _SENTENCES[clash.kind]() % words
    if clash.kind in (ClashKind.NOBODY, ClashKind.SKILL, ClashKind.PEOPLE) and clash.words:
        told += " " + _("Not there: %s.") % clash.words
    return told


# Functions, so that each sentence is said in the language of who asks.
_SENTENCES: dict[ClashKind, Callable[[], str]] = {
    ClashKind.AWAY: lambda: _("%(crew)s is away on that day: %(words)s. Move the job."),
    ClashKind.OFF: lambda: _("%(crew)s does not work then: %(words)s. Move the job."),
    ClashKind.NOBODY: lambda: _(
        "Nobody is in %(crew)s on that day. Put somebody in it, or move the job."
    ),
    ClashKind.SKILL: lambda: _(
        "It needs skill %(needed)s; the best in %(crew)s that day is %(there)s. Choose another "
        "crew."
    ),
    ClashKind.PEOPLE: lambda: _(
        "It takes %(needed)s people; %(there)s of %(crew)s are there that day. Choose another crew."
    ),
    ClashKind.BLACKOUT: lambda: _(
        "Nobody may work at the property that day: %(words)s. Choose another day."
    ),
    ClashKind.CLOSED: lambda: _(
        "The property cannot be entered then. Choose another hour or day, or arrange access."
    ),
    ClashKind.PROMISED: lambda: _(
        "Somebody was %(promised)s. Choose that, or tell the caller another time."
    ),
    ClashKind.OVERLAP: lambda: _("It overlaps with %(other)s. Move one of the two."),
    ClashKind.DRIVE: lambda: _(
        "The drive from %(other)s takes about %(needed)s min; there are %(there)s. Start later."
    ),
    ClashKind.FROM_YARD: lambda: _(
        "The drive from the yard takes about %(needed)s min; there are %(there)s. Start later."
    ),
    ClashKind.TO_YARD: lambda: _(
        "The drive back to the yard takes about %(needed)s min; there are %(there)s. Start earlier."
    ),
    ClashKind.HOURS: lambda: _(
        "It lies outside the crew's hours, %(since)s to %(until)s. Choose another hour."
    ),
    ClashKind.TOO_MUCH: lambda: _(
        "More is planned for %(crew)s that day than its %(hours)s h. Move or split a job."
    ),
    ClashKind.EARLY: lambda: _("It was not to go before %(earliest)s. Choose a later day."),
    ClashKind.LATE: lambda: _(
        "It was due by %(due)s. Choose an earlier day, or agree on a new one."
    ),
    ClashKind.PAST: lambda: _("Its day is over and nobody has started. Move it."),
    ClashKind.NOT_READY: lambda: "%(words)s",
}
