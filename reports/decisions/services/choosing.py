"""The set that gains most: at once where few could be in it, else in the background, and kept.

What is kept belongs to the very numbers it was chosen from: a leg, a cost or a budget that changes
asks again, so that a kept set is never old.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from reports.decisions.engines.best_set import Sought
from reports.returning.engines.choosing import Chosen, Load, Problem, choose, needs_worth
from reports.summaries.services.summaries import TRY_AGAIN_AFTER, NotMadeYet
from sites.models import Run, RunState
from sites.runs.services import Progress, Silent, goes_on, start_run

RENEW_FIRST = "renew first"
# So many legs worth renewing are chosen from while a page waits: well below a second.
MOST_AT_ONCE = 150
# So many that are not in say what they would need; each is a problem of its own.
MOST_OUT = 12
SECONDS = 15.0


@dataclass(frozen=True)
class Picked:
    """The set, and from which gain on each of the next few would be in; None = it never fits."""

    chosen: Chosen
    needs: Mapping[int, float | None]


def pick(sought: Sought) -> Picked:
    """Return the set that gains most.

    Raises:
        NotMadeYet: there are too many to choose from at once; a run does it.
    """
    if len(sought) <= MOST_AT_ONCE:
        return _picked(Silent(), sought.problem())
    key = sought.digest()
    run = Run.objects.filter(service=RENEW_FIRST, arguments__key=key).order_by("-pk").first()
    if run is not None and run.state == RunState.DONE:
        return _read(run.result)
    raise NotMadeYet(
        _under_way(run, sought),
        heading=_("The best set is being chosen"),
        lead=_("So many legs are worth renewing that this takes a while. You can leave this page: "
               "the work goes on, and the set shows here when it is done."),
    )  # fmt: skip


def _under_way(run: Run | None, sought: Sought) -> Run:
    """Return the run that chooses; one that failed is not tried again each second."""
    at = timezone.now()
    if run is not None:
        is_new = run.ended_at is not None and at - run.ended_at < TRY_AGAIN_AFTER
        if is_new or goes_on(run):
            return run
    arguments = {"key": sought.digest(), "asked": sought.short()}
    return start_run(
        service=RENEW_FIRST, title=_("Renew first"), by=None, at=at, arguments=arguments
    )


def choose_in_background(
    progress: Progress, *, asked: dict[str, Any], **_later: Any
) -> dict[str, Any]:
    """Choose, and return the set as it is kept."""
    found = _picked(progress, Sought.from_short(asked).problem())
    chosen = found.chosen
    return {
        "keys": sorted(chosen.keys),
        "worth": chosen.worth,
        "money": chosen.load.money,
        "bound": chosen.bound,
        "needs": sorted(found.needs.items()),
    }


def _read(kept: dict[str, Any]) -> Picked:
    load = Load(0.0, kept["money"])
    chosen = Chosen(frozenset(kept["keys"]), kept["worth"], load, kept["bound"])
    return Picked(chosen, dict(kept["needs"]))


def _picked(progress: Progress, problem: Problem) -> Picked:
    progress.say(_("Looking for the set that gains most"))
    chosen = choose(problem, seconds=SECONDS)
    following = _following(problem, chosen)
    needs = {}
    for number, key in enumerate(following):
        progress.say(_("Asking what the next ones would need"), number, len(following))
        needs[key] = needs_worth(problem, key, chosen)
    return Picked(chosen, needs)


def _following(problem: Problem, chosen: Chosen) -> Sequence[int]:
    """Return the keys of those that are not in, the greatest gain first."""
    left = [one for one in problem.candidates if one.key not in chosen.keys]
    left.sort(key=lambda one: (-(one.worth or 0.0), one.key))
    return [one.key for one in left[:MOST_OUT]]
