"""Why a test ranks where it does: the words that page and phone fill in alike."""

from django.utils.translation import gettext as _


def reason_words() -> dict[str, str]:
    """Return what is said of why, by name; `%s` is a share, a place, or feet in words."""
    return {
        "why_halves": _("halves the likelihood"),
        "why_sides": _("%(a)s toward the controller, %(b)s toward the valve"),
        "why_renew": _("ends the search wherever on this leg it lies: %s"),
        "why_spare": _("gives up this wire; the break stays where it is"),
        "why_again": _(
            "walked %(times)d times for nothing, yet once more finds it: %(share)s, in %(own)d min "
            "of the %(all)d to the end"
        ),
        "why_prove": _("each test of another wire reads good: %s"),
        "why_finds": _("finds it there: %s"),
        "why_ohms": _("tells a broken wire, a bad coil and what lies outside both apart"),
        "why_distance": _("narrows it down to some feet"),
        "why_open": _("the box is still open"),
        "why_here": _("you stand there"),
        "why_on_way": _("%s is on the way"),
        "why_nearest": _("%s is the nearest"),
        "why_away": _("%s from where you stand"),
        "why_splice": _("one more splice for life"),
        "why_marked": _("have buried lines marked before you dig"),
    }
