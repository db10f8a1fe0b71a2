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
    newest, deepest = newest_version(quote.fault), deepest_break_in(quote.fault)
    is_decided = decision_of(quote) is not None
    return judged(quote, today=today, is_decided=is_decided, newest=newest, deepest_in=deepest)


def judged(
    quote: Quote, *, today: date, is_decided: bool, newest: int, deepest_in: float | None
) -> Standing:
    """Return how a quote stands, where what it depends on was read.

    Args:
        newest: the newest version that was not withdrawn.
        deepest_in: of the breaks that are not mended, in inches; None = not known.
    """
    if quote.withdrawn_on is not None:
        return Standing.WITHDRAWN
    if is_decided:
        return Standing.ANSWERED
    if quote.version < newest:
        return Standing.REPLACED
    if quote.fault.stage in CLOSED_STAGES:
        return Standing.CLOSED
    if today > quote.valid_until:
        return Standing.EXPIRED
    return Standing.OTHER_DEPTH if _is_other_depth(quote, deepest_in) else Standing.OPEN


def _is_other_depth(quote: Quote, deepest_in: float | None) -> bool:
    """Whether the break is now known to lie at another depth than was priced."""
    if quote.purpose != QuotePurpose.DIG or deepest_in is None:
        return False
    return quote.depth_in is None or abs(deepest_in - quote.depth_in) > SAME_DEPTH_IN
