"""Set a goal, and take one back."""

from datetime import date, datetime

from django.utils.translation import gettext as _

from reports.models import Goal
from reports.summaries.services.kept_runs import AHEAD, ask_for
from sites.kernel.access import may_everywhere
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Property, User


class UnableToSetGoal(UnableToAct):
    """It cannot be set so."""


class UnableToTakeBackGoal(UnableToAct):
    """It was taken back before."""


@verb(
    name="set a goal",
    action=Action.SET_GOALS,
    guard="a share from 0 to below 100 percent; a day to come; for all properties only who may "
    "everywhere; an earlier goal there ends with it",
    undo="take a goal back",
)
def set_goal(
    *,
    goal_place: Property | None,
    most_percent: float,
    by_on: date,
    why: str,
    by: User,
    at: datetime,
    today: date,
) -> Goal:
    """Set a goal for a property, or for all; its path is worked out right after."""
    if goal_place is None and not may_everywhere(by, Action.SET_GOALS):
        raise UnableToSetGoal(_("Choose one of your properties."), field="place")
    if not 0 <= most_percent < 100:
        raise UnableToSetGoal(_("Give a share from 0 to below 100."), field="most_percent")
    if by_on <= today:
        raise UnableToSetGoal(_("Give a day to come."), field="by_on")
    for earlier in Goal.objects.filter(property=goal_place, taken_back_on=None):
        earlier.taken_back_on, earlier.why_taken_back = today, _("A new goal took its place.")
        earlier.save()
    made = Goal(
        property=goal_place,
        most_percent=most_percent,
        by_on=by_on,
        why=" ".join(why.split()),
        set_on=today,
        set_by=by,
    )
    made.save()
    ask_for(AHEAD, by=by, at=at, is_changed=True)
    return made


@verb(
    name="take a goal back",
    action=Action.SET_GOALS,
    guard="it was not taken back before; a reason in words",
    undo="set a goal",
)
def take_back_goal(*, goal: Goal, why: str, today: date) -> None:
    """Take a goal back. It stays in the list, with the reason."""
    if goal.taken_back_on is not None:
        raise UnableToTakeBackGoal(_("This goal was taken back already."))
    words = " ".join(why.split())
    if not words:
        raise UnableToTakeBackGoal(_("Say in a few words why."), field="why")
    goal.taken_back_on, goal.why_taken_back = today, words
    goal.save()
