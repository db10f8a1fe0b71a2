"""Whether ground was opened for a fault: office and phone ask here before "nothing was dug"."""

from collections.abc import Iterable

from django.db.models import Max
from django.utils.translation import gettext as _

from faults.cases.engines.opened import opens_ground
from faults.cases.engines.stages import Stage
from faults.cases.services.told import UnableToMove
from faults.models import Break, Fault, StageMove


def in_the_ground(fault: Fault, breaks: Iterable[Break]) -> list[Break]:
    """Return those of the fault's breaks that lie along a leg or under ground.

    Those that an earlier step "mended" covers are left out: another place is in hand since.
    The breaks come with their legs.
    """
    found = [one for one in breaks if _opens(one)]
    if all(one.mended_on is None for one in found):
        return found
    mends = StageMove.objects.filter(fault_station__fault=fault, to_stage=Stage.MENDED.value)
    last = mends.aggregate(last=Max("on"))["last"]
    return [one for one in found if one.mended_on is None or last is None or one.mended_on > last]


def _opens(one: Break) -> bool:
    length_ft = one.leg.length_ft if one.leg else None
    return opens_ground(feet_along=one.feet_along, length_ft=length_ft, depth_in=one.depth_in)


def refuse_nothing_was_dug(fault: Fault, *, field: str) -> None:
    """Refuse to keep that nothing was dug for a fault with a break in the ground.

    Raises:
        UnableToMove: with what to do instead.
    """
    if in_the_ground(fault, fault.breaks.select_related("leg")):
        raise UnableToMove(ground_was_opened(), field=field)


def ground_was_opened() -> str:
    """Return why "nothing was dug" does not hold, and what to do next."""
    return _(
        "A break of this fault lies along a leg or under ground, so it was dug. Leave “nothing was "
        "dug” out, and if nobody has agreed to the dig yet, have the office ask the client and "
        "enter the yes. If the break's place or depth is wrong, correct the break first."
    )
