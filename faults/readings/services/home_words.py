"""A bring-home test in words: the verdict, what it rests on, and what to do next."""

from math import hypot

from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.readings.engines.bring_home import Verdict, Why
from faults.readings.engines.loop_beliefs import Truth
from faults.readings.services.bring_home import Home
from sites.models import Property, Units
from sites.templatetags.register import missing_word

FT_PER_M = 1 / 0.3048


def verdict_words(verdict: Verdict | None) -> str:
    """Return what is said of a wire."""
    words = {
        Verdict.SOUND: _("sound: can return today"),
        Verdict.BROKEN: _("broken"),
        Verdict.DOUBTFUL: _("doubtful: read again"),
    }
    return _("not read yet") if verdict is None else words[verdict]


def chance_words(home: Home) -> str:
    """Return how likely its wire is sound; nobody knows to a tenth, and 100 % nobody knows."""
    return _("not known") if home.chance is None else f"{int(home.chance * 100)} %"


def missing_words(home: Home) -> str:
    """Return what is not known, so that no ohms are expected; empty where they are."""
    if home.known.missing == "one wire for several stations":
        return _("one wire for several stations")
    return missing_word(home.known.missing) if home.known.missing else ""


def expected_words(home: Home) -> str:
    """Return what the joined pair should read, with its error and the meter's."""
    if home.expected_ohms is None or home.expected_sd is None:
        return missing_words(home)
    error = hypot(home.expected_sd, home.numbers.loop_meter_sd_ohms)
    ohms, sd = (formats.number_format(x, 1) for x in (home.expected_ohms, error))
    return _("%(ohms)s Ω, give or take %(error)s") % {"ohms": ohms, "error": sd}


def rests_on(home: Home) -> list[str]:
    """Return what the chance before the test rests on."""
    known, words = home.known, [WHY_WORDS[home.known.why]()]
    if n := known.others_broken:
        words.append(
            ngettext("%s other in its trench is broken", "%s others in its trench are broken", n)
            % n
        )
    if n := known.others_sound:
        words.append(
            ngettext("%s other in its trench is sound", "%s others in its trench are sound", n) % n
        )
    days = known.story(home.today).days
    if known.expected.length_ft is None:
        words.append(_("its age does not count, as the run is not known"))
    elif days:
        words.append(ngettext("%s day unused", "%s days unused", days) % days)
    return words


WHY_WORDS = {
    Why.WIRE: lambda: _("off because of its wire"),
    Why.NOT_KNOWN: lambda: _("off, nobody knows why"),
    Why.ELSE: lambda: _("off for something else than its wire"),
    Why.MENDED: lambda: _("mended, or found not to be the wire"),
    Why.BREAK: lambda: _("a break on it is not mended"),
}


def shown_words(home: Home) -> str:
    """Return what the meter showed and how it was connected; empty without a test."""
    row = home.reading
    if row is None:
        return ""
    value = _("open (OL)") if home.is_open else f"{formats.number_format(round(row.value, 1))} Ω"
    if row.across_ohms is not None:
        return _("%(value)s across a coil of %(coil)s Ω") % {
            "value": value,
            "coil": formats.number_format(round(row.across_ohms, 1)),
        }
    return _("%s joined") % value


def next_words(home: Home) -> str:
    """Return what to do next, one or two sentences."""
    if home.reading is None:
        return _untried(home)
    if home.verdict is Verdict.SOUND:
        return _(
            "Put the 24 VAC solenoid back in, run it from central, and see the valve open and shut."
        )
    return _broken(home) if home.verdict is Verdict.BROKEN else _doubtful(home)


def _untried(home: Home) -> str:
    if home.known.missing == "two-wire path":
        return _("A two-wire path has no loop of one station.")
    if home.known.missing:
        return _(
            "Without that a test can say that it is broken, or that it goes through, but not that "
            "it is sound."
        )
    return ""


def _broken(home: Home) -> str:
    place = home.station.controller.property
    if home.short_ft is not None:
        return _("A short, about %s from the controller.") % feet_words(home.short_ft, place)
    if home.outcome is None:
        return _("No way through: hot wire, common or splice.")
    return {
        Truth.OPEN: _("No way through: hot wire, common or splice."),
        Truth.SHORT: _("The two wires touch somewhere on the way."),
        Truth.POOR: _("It goes through with too many ohms: a poor splice or a damaged conductor."),
        Truth.OTHER: _("It reads like another pair: look at the terminal and the wire's label."),
        Truth.TWO_COILS: _("A second coil hangs on this wire."),
        Truth.HIDDEN: _("Ohms do not show what is wrong: measure insulation in wet soil."),
    }[home.outcome.likeliest_damage]


def _doubtful(home: Home) -> str:
    reading = home.reading
    assert reading is not None
    if home.has_faded:
        day = reading.taken_on.isoformat()
        return _("It was sound on %s; since then it may have been struck.") % day
    if home.outcome is None:
        if reading.is_open_apart:
            return _(
                "Open apart and not when joined: the wire reaches its valve. Whether a splice is "
                "poor cannot be said: %s."
            ) % missing_words(home)
        return _("It goes through somewhere. More cannot be said: %s.") % missing_words(home)
    if home.outcome.likeliest_damage is Truth.HIDDEN:
        return _(
            "A leak, or a fault that comes and goes, does not show in ohms: measure insulation."
        )
    if reading.is_open_apart is None:
        return _("Look at the wires apart too: a short near the valve reads like a sound wire.")
    if reading.is_open_apart is False:
        return _("Apart they should read open: look whether another coil hangs on this wire.")
    return _("Read it again with clean leads, then across a coil whose ohms you have measured.")


def feet_words(feet: float, place: Property) -> str:
    """Return a length in the property's units, rounded to whole ones."""
    if place.units == Units.METRIC:
        return f"{round(feet / FT_PER_M)} m"
    return f"{round(feet)} ft"
