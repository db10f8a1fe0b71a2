"""What stands around the strip of a search, in sentences."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.locating.engines.bands import feet_unlikely
from faults.locating.engines.belief import Belief
from faults.locating.engines.summary import feet_of
from faults.locating.services.beliefs import Believed
from faults.models import Search
from sites.cells.engines.units import FT_PER_M
from sites.ground.services.keeping import length_in_words
from sites.models import Property, Units


def _whole(length_ft: float, place: Property) -> str:
    """Whole feet or metres: a likelihood is not known to an inch."""
    per_unit = float(FT_PER_M) if place.units == Units.METRIC else 1.0
    return length_in_words(round(length_ft / per_unit) * per_unit, place)


def lead_words(state: Believed, place: Property, search: Search | None) -> str:
    """Return the wire's length and boxes, and how the search stands."""
    boxes = len(state.ground.line.boxes)
    wire = ngettext("%(length)s of wire, %(n)d box", "%(length)s of wire, %(n)d boxes", boxes)
    length = _whole(state.ground.line.length_ft, place)
    words = wire % {"length": length, "n": boxes}
    if search is None:
        return words + ". " + _("No search has begun.")
    if search.ended_at is None:
        return words + ". " + _("The search goes on since %s.") % f"{search.started_at:%Y-%m-%d}"
    return words + ". " + _("The search ended: %s.") % search.get_outcome_display()


def feet_words(belief: Belief, place: Property) -> str:
    """Return between which feet it lies, if in the wire at all."""
    feet = feet_of(belief)
    if feet is None:
        return ""
    return _(
        "If it is in the wire: nine times out of ten between %(low)s and %(high)s from the "
        "controller."
    ) % {"low": _whole(feet.low, place), "high": _whole(feet.high, place)}


def ruled_words(state: Believed, place: Property) -> str:
    """Return how much the tests have made unlikely: a sentence for a supervisor."""
    if state.belief is None or not state.effects:
        return ""
    feet = feet_unlikely(state.before, state.belief)
    if feet < 1:
        return ""
    return _("The tests so far have all but ruled out %(feet)s of %(total)s.") % {
        "feet": _whole(feet, place),
        "total": _whole(state.ground.line.length_ft, place),
    }


def neighbours_words(state: Believed) -> str:
    """Return what the other stations of the controller say."""
    others = state.ground.others
    untried = ngettext(
        "%d was not tried since the fault was reported: it says nothing.",
        "%d were not tried since the fault was reported: they say nothing.",
        others.untried,
    )
    words = []
    if others.works + others.dead:
        counted = _("Other stations of this controller: %(works)d run, %(dead)d do not.")
        words.append(counted % {"works": others.works, "dead": others.dead})
    else:
        words.append(_("Of no other station of this controller is it known whether it runs."))
    if others.untried:
        words.append(untried % others.untried)
    if others.elsewhere:
        elsewhere = ngettext(
            "%d runs on another common, or nobody knows on which: it says nothing of this common.",
            "%d run on another common, or nobody knows on which: they say nothing of this common.",
            others.elsewhere,
        )
        words.append(elsewhere % others.elsewhere)
    if others.comes_on is not None:
        words.append(_beside_words(state))
    return " ".join(words)


def _beside_words(state: Believed) -> str:
    """Say where the wire of the station that comes on with ours lies beside it."""
    others, line = state.ground.others, state.ground.line
    if others.beside is None:
        return _("%s comes on with it; where its wire lies is not registered.") % others.comes_on
    if not others.beside:
        return (
            _("%s comes on with it; their wires share no leg: look at the controller.")
            % others.comes_on
        )
    legs = ", ".join(line.legs[i].name for i in sorted(others.beside))
    words = {"other": others.comes_on, "legs": legs}
    return _("%(other)s comes on with it; both wires lie on leg %(legs)s.") % words
