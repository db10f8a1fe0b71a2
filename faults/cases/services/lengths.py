"""Correct a length that was wrong. It lives here because breaks along the leg must still fit."""

from django.utils.translation import gettext as _

from faults.models import Break
from sites.ground.services.keeping import length_in_words, named
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because, was_wrong
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Leg


class UnableToCorrectLength(UnableToAct):
    """The length is none, or a break was found beyond it."""


@verb(
    name="correct a length",
    action=Action.CHANGE_GROUND,
    guard="the leg is in the ground; the length is above 0; no break on the leg lies beyond it; "
    "what was wrong, in words",
    undo="correct it back: the old length stands in the leg's history",
)
def correct_length(*, leg: Leg, length_ft: float, length_source: str, why: str) -> Leg:
    """Say that a leg's length was wrong. Breaks keep their feet from the end they were taken."""
    if leg.retired_on is not None:
        raise UnableToCorrectLength(_("This leg is retired: its length is kept as it was."))
    if length_ft <= 0:
        raise UnableToCorrectLength(_("A leg has some length. Enter it."), field="length")
    if length_ft < leg.length_ft:
        _refuse_breaks_beyond(leg, length_ft)
    leg.length_ft, leg.length_source, leg.is_surveyed = length_ft, length_source, True
    save_because(leg, was_wrong(why))
    return leg


def _refuse_breaks_beyond(leg: Leg, length_ft: float) -> None:
    beyond = Break.objects.filter(leg=leg, feet_along__gt=length_ft).select_related("fault")
    words = [
        _("break %(n)d of fault %(fault)s at %(feet)s")
        % {
            "n": found.running_number,
            "fault": found.fault,
            "feet": length_in_words(found.feet_along or 0.0, leg.property),
        }
        for found in beyond.order_by("fault__reported_on", "pk")
    ]
    if words:
        raise UnableToCorrectLength(
            _("These were found further along: %s. Correct where they were found first.")
            % named(words),
            field="length",
        )
