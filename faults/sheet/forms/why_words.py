"""Why a test ranks where it does, as the phone says it: the words of the page."""

from django.utils.translation import gettext as _


def why_words() -> dict[str, str]:
    """Return what the script says of why, by name; `%s` is a share, or feet in words."""
    return {
        "why_halves": _("halves the likelihood"),
        "why_sides": _("%(a)s toward the controller, %(b)s toward the valve"),
        "why_renew": _("ends the search wherever on this leg it lies: %s"),
        "why_spare": _("gives up this wire; the break stays where it is"),
        "why_prove": _("each test of another wire reads good: %s"),
        "why_finds": _("finds it there: %s"),
        "why_ohms": _("tells a broken wire, a bad coil and what lies outside both apart"),
        "why_distance": _("narrows it down to some feet"),
        "why_open": _("the box is still open"),
        "why_here": _("you stand there"),
        "why_away": _("%s from where you stand"),
        "why_splice": _("one more splice for life"),
    }
