"""What was agreed with a client for a fault, and had to be paid."""

from decimal import Decimal

from django.utils.translation import gettext as _

from faults.billing.services.told import UnableToBill
from faults.models import Fault
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import verb


@verb(
    name="note what a client was paid for a fault",
    action=Action.GIVE_TO_BOOKS,
    guard="an amount not below 0, or none",
    undo="note it again: its history shows what was there",
)
def note_penalty(*, fault: Fault, penalty: Decimal | None) -> None:
    """Keep it in the currency of the property; it is part of what the fault cost.

    None = nothing is known to have been paid.
    """
    if penalty is not None and penalty < 0:
        raise UnableToBill(_("What was paid is not below 0."), field="penalty")
    fault.penalty = penalty
    fault.save()
