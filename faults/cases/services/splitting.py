"""Split a leg at a newly found point and make it whole again: breaks keep their place."""

from datetime import date

from django.utils.translation import gettext as _

from faults.models import Break, Reading
from sites.ground.engines.splits import Mark
from sites.ground.services.splitting import Parts, UnableToRejoinLeg, divide, make_whole, parts_of
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because
from sites.kernel.services.verbs import verb
from sites.models import Leg, Point


@verb(
    name="split a leg",
    action=Action.CHANGE_GROUND,
    guard="the leg is in the ground; the point is of the property, in use, and lies inside the leg",
    undo="join the parts of a leg",
)
def split_leg(
    *, leg: Leg, point: Point, feet: float, from_second: bool, on: date, today: date
) -> Parts:
    """Split a leg at a point that was found inside it, `feet` from one of its ends.

    Breaks go along to the part in which they lie. One of which only the leg is known stays on
    the old leg, which is retired.
    """
    parts = divide(leg=leg, point=point, mark=Mark(feet, from_second), on=on, today=today)
    for found in Break.objects.filter(leg=leg, feet_along__isnull=False).order_by("pk"):
        part, mark = parts.split.part_of(_mark_of(found, leg))
        _put(found, parts.both[part], mark, _("leg %s split") % leg)
    return parts


@verb(
    name="join the parts of a leg",
    action=Action.CHANGE_GROUND,
    guard="nothing happened to the parts, or at the point between them, since the split",
    undo="split the leg again",
)
def rejoin_leg(*, leg: Leg, why: str = "") -> Leg:
    """Take back a split that was a mistake; breaks go back to the whole leg."""
    parts = parts_of(leg)
    if parts is None:
        raise UnableToRejoinLeg(_("This leg was not split, or is whole again."))
    _refuse_read_point(parts.point)
    whole = make_whole(parts=parts, why=why)
    for number, part in enumerate(parts.both):
        for found in Break.objects.filter(leg=part).order_by("pk"):
            if found.feet_along is None:
                found.leg = whole
                save_because(found, _("leg %s made whole again") % whole)
                continue
            mark = parts.split.whole_of(number, _mark_of(found, part))
            _put(found, whole, mark, _("leg %s made whole again") % whole)
    return whole


def _mark_of(found: Break, leg: Leg) -> Mark:
    return Mark(found.feet_along or 0.0, found.from_point_id == leg.to_point_id)


def _put(found: Break, leg: Leg, mark: Mark, why: str) -> None:
    """Move a break to another leg; an end that was named stays named."""
    was_named = found.from_point_id is not None
    found.leg, found.feet_along = leg, mark.feet
    if was_named:
        found.from_point = leg.to_point if mark.from_second else leg.from_point
    save_because(found, why)


def _refuse_read_point(point: Point) -> None:
    readings = Reading.objects.filter(point=point, voided_on__isnull=True).count()
    if readings:
        raise UnableToRejoinLeg(
            _("Readings were taken at %(point)s (%(n)d), so it is a place where wires are reached.")
            % {"point": point, "n": readings}
        )
