"""Why a test cannot be kept, in words that the user can act on."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.locating.engines.off_the_wire import OffTheWire
from sites.models import Property
from sites.templatetags.register import near_feet

# The phone says the same before it sends the test.
BEFORE_START = gettext_lazy(
    "%(feet)s lies before the start of this wire, by more than its error (%(error)s) explains. "
    "Check the sign, and from which end it was measured."
)
BEYOND_END = gettext_lazy(
    "%(feet)s lies beyond the end of this wire (%(all)s), by more than its error (%(error)s) "
    "explains. Check the number and its unit, from which end it was measured, and the registered "
    "length of the wire."
)


def why_unusable(problem: Exception, place: Property) -> str:
    """Return words for a test that cannot be; what the engine expected stands in brackets."""
    if isinstance(problem, OffTheWire):
        words = BEFORE_START if problem.feet < 0 else BEYOND_END
        return words % {
            "feet": near_feet(problem.feet, place),
            "all": near_feet(problem.length_ft, place),
            "error": near_feet(problem.error_ft, place),
        }
    return (
        _("This test cannot be one of this wire: look at where it was made and at its values. (%s)")
        % problem
    )
