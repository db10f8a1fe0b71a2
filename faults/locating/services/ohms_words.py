"""What ohms at the controller should read, before anybody says whether they do."""

from typing import Any

from django.utils.translation import gettext as _

from faults.locating.services.known import ONE_COIL_OPEN
from faults.locating.services.words import ohms_choices
from faults.readings.services.judging import expectations
from sites.models import Station
from sites.templatetags.register import ohms
from sites.wires.services.expected import Expected
from sites.wires.services.reading_limits import thresholds

# The choice that only a station with two coils has.
ONE_OPEN_WORD = "one coil open"


def choices_of(station: Station) -> list[tuple[str, str]]:
    """Return what ohms at the controller may read of this station."""
    choices = ohms_choices()
    if station.second_coil_ohms:
        choices.insert(1, (ONE_OPEN_WORD, _("as with one of its two coils open")))
    return choices


def said_of(word: str) -> dict[str, Any]:
    """Return what a choice says, as the engine reads it."""
    return dict(ONE_COIL_OPEN) if word == ONE_OPEN_WORD else {"kind": "ohms", "ohms": word}


def should_read_words(station: Station) -> str:
    """Return what wire, coil and common together should read; a rule of thumb if not known."""
    expected, own_last_good = expectations([station])
    known = expected[station.pk]
    should = own_last_good.get(station.pk) or known.total_ohms
    if should:
        words = _("It should read about %s: wire, coil and common together.") % ohms(should)
        return f"{words} {_one_open_words(known)}".strip()
    limits = thresholds()
    words = _(
        "What it should read is not known: the wire or its coil is not registered. Most read "
        "%(from)s to %(to)s (common practice)."
    )
    return words % {"from": ohms(limits.good_from_ohms), "to": ohms(limits.good_to_ohms)}


def _one_open_words(known: Expected) -> str:
    """Return what two coils read with one of them open."""
    if len(known.coils) != 2 or known.wire_ohms is None:
        return ""
    first, second = (coil + known.wire_ohms for coil in known.coils)
    return _("With one of its two coils open about %(first)s or %(second)s.") % {
        "first": ohms(first),
        "second": ohms(second),
    }
