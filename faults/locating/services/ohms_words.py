"""What ohms at the controller should read, before anybody says whether they do."""

from django.utils.translation import gettext as _

from faults.readings.services.judging import expectations
from sites.models import Station
from sites.templatetags.register import ohms
from sites.wires.services.reading_limits import thresholds


def should_read_words(station: Station) -> str:
    """Return what wire, coil and common together should read; a rule of thumb if not known."""
    expected, own_last_good = expectations([station])
    should = own_last_good.get(station.pk) or expected[station.pk].total_ohms
    if should:
        return _("It should read about %s: wire, coil and common together.") % ohms(should)
    limits = thresholds()
    words = _(
        "What it should read is not known: the wire or its coil is not registered. Most read "
        "%(from)s to %(to)s (common practice)."
    )
    return words % {"from": ohms(limits.good_from_ohms), "to": ohms(limits.good_to_ohms)}
