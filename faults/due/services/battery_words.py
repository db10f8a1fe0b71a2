"""What makes battery sets last longer or shorter, in words."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sites.stopgaps.engines.battery_life import Effect, Fits


def battery_words(fits: Fits) -> list[str]:
    """Return one sentence for the hours of watering and one for cold, once there are sets."""
    if not fits.kinds:
        return []
    return [
        _("Twice the hours of watering: %s.") % _of(fits.use),
        _("A life all in cold days, against one without any: %s.") % _of(fits.cold),
    ]


def _of(effect: Effect) -> str:
    if not effect.sets:
        return _("not known, nobody said what any of these sets had to do")
    words = {"n": effect.sets, "percent": abs(effect.percent)}
    if not effect.log_life:
        said = ngettext(
            "not known, one set shows nothing",
            "not known, the %(n)s sets of which it is known had it alike",
            effect.sets,
        )
    elif effect.percent < 0:
        said = ngettext(
            "%(percent)s %% shorter, from one set of which it is known",
            "%(percent)s %% shorter, from %(n)s sets of which it is known",
            effect.sets,
        )
    elif effect.percent > 0:
        said = ngettext(
            "%(percent)s %% longer, from one set of which it is known",
            "%(percent)s %% longer, from %(n)s sets of which it is known",
            effect.sets,
        )
    else:
        said = ngettext(
            "no difference, from one set of which it is known",
            "no difference, from %(n)s sets of which it is known",
            effect.sets,
        )
    return said % words
