"""Why a test cannot be kept, in words that the user can act on."""

from django.utils.translation import gettext as _

from faults.locating.engines.off_the_wire import OffTheWire
from sites.models import Property
from sites.templatetags.register import near_feet


def why_unusable(problem: Exception, place: Property) -> str:
    """Return words for a test that cannot be; what the engine expected stands in brackets."""
    if isinstance(problem, OffTheWire):
        return _off_the_wire(problem, place)
    return (
        _("This test cannot be one of this wire: look at where it was made and at its values. (%s)")
        % problem
    )


def _off_the_wire(problem: OffTheWire, place: Property) -> str:
    said = {
        "feet": near_feet(problem.feet, place),
        "all": near_feet(problem.length_ft, place),
        "error": near_feet(problem.error_ft, place),
    }
    if problem.feet < 0:
        return (
            _(
                "%(feet)s lies before the start of this wire, by more than its error (%(error)s) "
                "explains. Check the sign, and from which end it was measured."
            )
            % said
        )
    return (
        _(
            "%(feet)s lies beyond the end of this wire (%(all)s), by more than its error "
            "(%(error)s) explains. Check the number and its unit, from which end it was measured, "
            "and the registered length of the wire."
        )
        % said
    )
