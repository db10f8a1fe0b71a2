"""Decide on a leg, and take a decision back."""

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from faults.due.services.by_hand import LONGEST_NOTE, raise_by_hand
from faults.due.services.kept_by import keep_due
from reports.hotspots.queries import standing_on
from reports.models import Choice, Decision
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Leg, User


class UnableToDecide(UnableToAct):
    """It cannot be decided so."""


class UnableToTakeBackDecision(UnableToAct):
    """It was taken back before."""


@dataclass(frozen=True)
class Known:
    """What was known of a leg on the day of a decision; None = not known."""

    shape: float | None = None
    years_behind: float | None = None
    fault_cost: float | None = None
    renewal_cost: float | None = None
    chance_pays: float | None = None


@verb(
    name="decide on a leg",
    action=Action.DECIDE,
    guard="the leg is in use; a reason in words; a day to look again lies ahead, and is there "
    "where it is not renewed now",
    undo="take a decision on a leg back",
)
def decide(
    *,
    leg: Leg,
    choice: str,
    why: str,
    look_again_on: date | None,
    known: Known,
    by: User,
    today: date,
) -> Decision:
    """Keep what was decided. The day to look again falls due by itself.

    That of the decision whose place it takes is let go.
    """
    words = " ".join(why.split())
    if leg.retired_on is not None and leg.retired_on <= today:
        raise UnableToDecide(_("This leg is retired: there is nothing to decide on it."))
    if not words:
        raise UnableToDecide(_("Say in a few words why."), field="why")
    if look_again_on is not None and look_again_on <= today:
        raise UnableToDecide(_("Give a day to come."), field="look_again_on")
    if choice == Choice.NOT_NOW and look_again_on is None:
        raise UnableToDecide(
            _("Say when to look again: what is not renewed now is easily forgotten."),
            field="look_again_on",
        )
    made = Decision(
        leg=leg,
        choice=choice,
        why=words,
        decided_on=today,
        decided_by=by,
        look_again_on=look_again_on,
        shape=known.shape,
        years_behind=known.years_behind,
        fault_cost=known.fault_cost,
        renewal_cost=known.renewal_cost,
        chance_pays=known.chance_pays,
    )
    made.save()
    if look_again_on is not None:
        what = _("Look again at the decision on leg %(leg)s: %(choice)s") % {
            "leg": leg,
            "choice": made.get_choice_display(),
        }
        raise_by_hand(
            place=leg.property,
            what=what[:LONGEST_NOTE],
            due_on=look_again_on,
            by=by,
            today=today,
            cause=_cause(made.pk),
        )
    _look_again_as_it_stands(leg, _("A newer decision took its place."))
    return made


@verb(
    name="take a decision on a leg back",
    action=Action.DECIDE,
    guard="it was not taken back before; a reason in words",
    undo="decide on a leg",
)
def take_back_decision(*, decision: Decision, why: str, today: date) -> None:
    """Take a decision back. It stays in the list, with the reason.

    Its day to look again is let go; that of an earlier decision, which stands again, comes back.
    """
    if decision.taken_back_on is not None:
        raise UnableToTakeBackDecision(_("This decision was taken back already."))
    words = " ".join(why.split())
    if not words:
        raise UnableToTakeBackDecision(_("Say in a few words why."), field="why")
    decision.taken_back_on, decision.why_taken_back = today, words
    decision.save()
    _look_again_as_it_stands(decision.leg, _("The decision was taken back."))


def _cause(decision: int) -> str:
    return f"decision:{decision}"


def _look_again_as_it_stands(leg: Leg, why: str) -> None:
    """Leave only the day to look again of the decision that stands; that of an earlier returns."""
    stands = standing_on(leg)
    causes = [_cause(key) for key in Decision.objects.filter(leg=leg).values_list("pk", flat=True)]
    keep_due(causes, stands="" if stands is None else _cause(stands.pk), why=why)
