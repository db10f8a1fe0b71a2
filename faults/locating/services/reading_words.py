"""Why a test cannot be kept, in words that the user can act on."""

from django.utils.translation import gettext as _


def why_unusable(problem: Exception) -> str:
    """Return words for a test that cannot be; what the engine expected stands in brackets."""
    return (
        _("This test cannot be one of this wire: look at where it was made and at its values. (%s)")
        % problem
    )
