"""What another room made due by hand: let go while its cause does not stand, and brought back."""

from collections.abc import Collection

from django.utils.translation import gettext as _

from faults.models import FollowUp, FollowUpKind, FollowUpState
from sites.kernel.services.verb_days import save_because


def keep_due(causes: Collection[str], *, stands: str, why: str) -> None:
    """Leave what the cause that stands made due open, and let go what the others did.

    What is done stays done. What was let go comes back once its cause stands again, on its day:
    one that has passed is late, not forgotten.

    Args:
        causes: all that could stand in turn. stands: the one that does; "" for none.
        why: others are let go, in words.
    """
    rows = FollowUp.objects.filter(kind=FollowUpKind.BY_HAND, cause__in=[*causes]).exclude(cause="")
    for row in rows.select_for_update().order_by("pk"):
        if row.cause == stands and row.state == FollowUpState.LAPSED:
            row.state, row.sequence = FollowUpState.OPEN, row.sequence + 1
            save_because(row, _("It stands again."))
        elif row.cause != stands and row.state == FollowUpState.OPEN:
            row.state, row.sequence = FollowUpState.LAPSED, row.sequence + 1
            save_because(row, why)
