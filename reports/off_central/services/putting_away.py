"""Put a first step away, for oneself, and bring it back."""

from django.utils.translation import gettext as _

from reports.off_central.services.first_steps import KINDS
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import StepPutAway, User


class UnableToPutAway(UnableToAct):
    """A step that there is not."""


@verb(
    name="put a first step away",
    action=Action.EDIT_REGISTER,
    guard="a step of the list",
    undo="bring a first step back",
)
def put_step_away(*, user: User, step: str) -> None:
    """Show the step to this user no more among those that are open."""
    if step not in KINDS:
        raise UnableToPutAway(_("There is no such step. Open the list again."))
    StepPutAway.objects.get_or_create(user=user, step=step)


@verb(
    name="bring a first step back",
    action=Action.EDIT_REGISTER,
    guard="one's own",
    undo="put a first step away",
)
def bring_step_back(*, user: User, step: str) -> None:
    """Show it again."""
    user.steps_put_away.filter(step=step).delete()
