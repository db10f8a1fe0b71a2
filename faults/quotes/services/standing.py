"""How a quote stands: can it be answered today, and if not, why."""

from datetime import date
from enum import StrEnum

from django.utils.translation import gettext_lazy as _

from faults.models import CLOSED_STAGES, Quote, QuotePurpose
from faults.quotes.queries import decision_of, deepest_break_in, newest_version

# Depths that differ by less are one depth, typed in centimetres and in inches.
SAME_DEPTH_IN = 0.05


class Standing(StrEnum):
    """What holds of a quote, the first that does."""

    WITHDRAWN = "withdrawn"
    ANSWERED = "answered"
    REPLACED = "replaced"
    CLOSED = "closed"
    EXPIRED = "expired"
    OTHER_DEPTH = "other depth"
    OPEN = "open"


STANDING_WORDS = {
    Standing.WITHDRAWN: _("withdrawn"),
    Standing.ANSWERED: _("it is answered already"),
    Standing.REPLACED: _("replaced by a newer version"),
    Standing.CLOSED: _("its fault is closed"),
    Standing.EXPIRED: _("no longer valid"),
    Standing.OTHER_DEPTH: _("the break lies at another depth: make it again"),
    Standing.OPEN: _("open"),
}


def standing_of(quote: Quote, *, today: date) -> Standing:
    """Return how a quote stands on a day."""
    if quote.withdrawn_on is not None:
        return Standing.WITHDRAWN
    if decision_of(quote) is not None:
        return Standing.ANSWERED
    if quote.version < newest_version(quote.fault):
        return Standing.REPLACED
    if quote.fault.stage in CLOSED_STAGES:
        return Standing.CLOSED
    if today > quote.valid_until:
        return Standing.EXPIRED
    if is_other_depth(quote):
        return Standing.OTHER_DEPTH
    return Standing.OPEN


def is_other_depth(quote: Quote) -> bool:
    """Return whether the break is now known to lie at another depth than was priced."""
    if quote.purpose != QuotePurpose.DIG:
        return False
    deepest = deepest_break_in(quote.fault)
    if deepest is None:
        return False
    return quote.depth_in is None or abs(deepest - quote.depth_in) > SAME_DEPTH_IN
