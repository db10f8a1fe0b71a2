"""Rounds in words: when they come back, how far they are, and what was left."""

from collections.abc import Iterable

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.models import JobState, Round, WhyLeft
from faults.rounds.engines.turns import Repeats, UnreadableRule, every_of
from faults.rounds.services.progress import Progress, Target

MOST_NAMED = 60


def repeats_words(the_round: Round) -> str:
    """Return when a round comes back: "every 6 months, from 2026-03-01"."""
    if the_round.repeats == Repeats.INTERVAL:
        words = interval_words(the_round.rule)
    else:
        words = the_round.get_repeats_display()
    day = the_round.starts_on.isoformat()
    if the_round.repeats == Repeats.ONCE:
        return _("once, from %s") % day
    return _("%(when)s, from %(day)s") % {"when": words, "day": day}


def interval_words(rule: str) -> str:
    """Return an interval: "every 6 months"."""
    try:
        every, unit = every_of(rule)
    except UnreadableRule:
        return rule
    return {
        "days": ngettext("once a day", "every %(n)s days", every),
        "weeks": ngettext("once a week", "every %(n)s weeks", every),
        "months": ngettext("once a month", "every %(n)s months", every),
        "years": ngettext("once a year", "every %(n)s years", every),
    }[unit] % {"n": every}


def window_words(the_round: Round) -> str:
    """Return from when to when a turn runs, beside its day."""
    within = ngettext(
        "to be done within %(n)s day", "to be done within %(n)s days", the_round.within_days
    ) % {"n": the_round.within_days}
    if not the_round.days_before:
        return within
    before = ngettext(
        "begins %(n)s day before", "begins %(n)s days before", the_round.days_before
    ) % {"n": the_round.days_before}
    return f"{before}, {within}"


def state_words(progress: Progress | None) -> str:
    """Return how a visit stands; without one there was nothing to go to."""
    if progress is None:
        return _("nothing to go to there")
    job = progress.job
    if job.state == JobState.WITHDRAWN and job.why_withdrawn:
        return _("withdrawn: %s") % job.why_withdrawn
    return str(job.get_state_display())


def left_words(targets: Iterable[Target]) -> str:
    """Return what was left, by reason: "locked, no way in: A:3, A:4; nobody said why: A:9"."""
    by_reason: dict[str, list[str]] = {}
    for target in targets:
        by_reason.setdefault(reason_words(target), []).append(str(target.thing))
    return "; ".join(
        f"{why}: {', '.join(names[:MOST_NAMED])}{' …' if len(names) > MOST_NAMED else ''}"
        for why, names in by_reason.items()
    )


def reason_words(target: Target) -> str:
    """Return why one was left, as far as anybody said it."""
    left = target.left
    if left is None:
        return _("nobody said why")
    if left.why == WhyLeft.OTHER:
        return left.note
    words = str(left.get_why_display())
    return f"{words} ({left.note})" if left.note else words
