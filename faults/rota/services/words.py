"""Why a job has no place in a plan, in words."""

from collections.abc import Callable

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.rota.engines.problem import Problem, ShiftKey
from faults.rota.engines.reasons import Reason, Why


def in_words(
    reason: Reason,
    problem: Problem,
    *,
    job: Callable[[int], str],
    shift: Callable[[ShiftKey], str],
) -> str:
    """Return one sentence.

    Args:
        job, shift: the name of a job, and of a crew on a day.
    """
    task = problem.by_key[reason.key]
    if reason.why is Why.OUTBID and reason.shift is not None:
        names = ", ".join(job(key) for key in reason.by)
        return ngettext(
            "Outbid on %(shift)s by %(names)s: one of the two has no room.",
            "Outbid on %(shift)s by %(names)s: there is no room beside them.",
            len(reason.by),
        ) % {"shift": shift(reason.shift), "names": names}
    if reason.why is Why.DRIVING and reason.shift is not None:
        costs = {"shift": shift(reason.shift), "extra": reason.extra, "penalty": task.penalty}
        if reason.in_overtime:
            return (
                _(
                    "There is room on %(shift)s, but driving and overtime weigh %(extra)d minutes, "
                    "more than leaving it out weighs (%(penalty)d)."
                )
                % costs
            )
        return (
            _(
                "There is room on %(shift)s, but it costs %(extra)d minutes of driving, more than "
                "leaving it out weighs (%(penalty)d)."
            )
            % costs
        )
    if reason.why is Why.FORERUNNER and reason.shift is None:
        return _("It comes after %s, which has no place itself.") % job(reason.by[0])
    if reason.why is Why.FORERUNNER and reason.shift is not None:
        return _(
            "It comes after %(first)s, which is on %(shift)s: no later day is left, and no room "
            "behind it."
        ) % {"first": job(reason.by[0]), "shift": shift(reason.shift)}
    if reason.why is Why.FOLLOWER and reason.shift is not None:
        return _(
            "It comes before %(second)s, which is fixed on %(shift)s: there is no room so soon."
        ) % {"second": job(reason.by[0]), "shift": shift(reason.shift)}
    return _NO_PLACE[reason.why]() % {"skill": task.skill, "minutes": task.minutes}


_NO_PLACE: dict[Why, Callable[[], str]] = {
    Why.SKILL: lambda: _("No crew of these days has skill %(skill)d."),
    Why.GEAR: lambda: _(
        "No crew with that skill has the people or carries the gear that it needs."
    ),
    Why.LOCK: lambda: _("It is locked to a crew and day that cannot do it."),
    Why.DAYS: lambda: _("No crew that could do it works on the days that it may be done on."),
    Why.CLOSED: lambda: _("The place cannot be entered on any day on which a crew could do it."),
    Why.HOURS: lambda: _(
        "No day is long enough: %(minutes)d minutes have to fit while the place may be entered, "
        "with the drive out and back within the crew's hours."
    ),
}
