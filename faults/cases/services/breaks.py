"""Record a break, with a photo at once, and correct what was recorded wrongly."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db.models import Max
from django.utils.translation import gettext as _

from faults.cases.engines.stages import Stage
from faults.cases.services.break_rules import (
    BreakFacts,
    UnableToRecordBreak,
    put,
    refuse_what_cannot_be,
    side_of,
)
from faults.cases.services.moves import last_move_on, move_stations
from faults.cases.services.photos import add_fault_photo
from faults.models import Break, Fault, FaultStation
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because, was_wrong
from sites.kernel.services.verbs import verb
from sites.models import User
from sites.register.services.photos import PreparedPhoto


@dataclass(frozen=True)
class Shot:
    """A photo that comes with the break; its position becomes the break's, where it has one."""

    photo: PreparedPhoto
    shows: str = ""


@verb(
    name="record a break",
    action=Action.RECORD_BREAK,
    guard="the fault is not given up or withdrawn; leg, end, feet and wires belong together and to "
    "the property; days that have come, mended after found",
    undo="take back a break",
)
def record_break(
    *,
    fault: Fault,
    facts: BreakFacts,
    by: User,
    at: datetime,
    today: date,
    found: Sequence[FaultStation] = (),
    shot: Shot | None = None,
) -> Break:
    """Keep a found place of damage.

    Args:
        found: stations that move to "found" by it, in the same transaction.

    Raises:
        UnableToRecordBreak: with what to do instead.
    """
    if fault.stage in (Stage.GIVEN_UP, Stage.WITHDRAWN):
        raise UnableToRecordBreak(_("This fault is given up or withdrawn. Open it again first."))
    facts = _with_position(facts, shot)
    refuse_what_cannot_be(fault, facts, today)
    one = Break(fault=fault, running_number=_next_number(fault))
    put(one, facts)
    one.save()
    one.wires.set(facts.wires)
    _put_on_its_side(fault, facts)
    if shot is not None:
        add_fault_photo(fault=fault, photo=shot.photo, by=by, at=at, of_break=one, shows=shot.shows)
    if found:
        known = (facts.found_on or today, fault.reported_on, last_move_on(fault))
        on = max(day for day in known if day is not None)
        move_stations(fault=fault, stations=found, to=Stage.FOUND, on=on, by=by, at=at, today=today)
    return one


@verb(
    name="correct a break",
    action=Action.RECORD_BREAK,
    guard="as recording one; what was wrong, in words",
    undo="correct it again, with the values that its history shows",
)
def correct_break(*, one: Break, facts: BreakFacts, why: str, today: date) -> None:
    """Correct what was recorded wrongly. The old wires stand in the reason of its history."""
    reason = was_wrong(why)
    refuse_what_cannot_be(one.fault, facts, today)
    before = sorted(str(wire) for wire in one.wires.all())
    after = sorted(str(wire) for wire in facts.wires)
    if before != after:
        reason += _(" (wires were: %s)") % (", ".join(before) or "∅")
    put(one, facts)
    save_because(one, reason)
    one.wires.set(facts.wires)
    _put_on_its_side(one.fault, facts)


def _with_position(facts: BreakFacts, shot: Shot | None) -> BreakFacts:
    if shot is None or facts.latitude is not None or shot.photo.latitude is None:
        return facts
    return replace(facts, latitude=shot.photo.latitude, longitude=shot.photo.longitude)


def _next_number(fault: Fault) -> int:
    highest: int | None = fault.breaks.aggregate(highest=Max("running_number"))["highest"]
    return (highest or 0) + 1


def _put_on_its_side(fault: Fault, facts: BreakFacts) -> None:
    """What was dug up outweighs what the caller said."""
    side = side_of(facts)
    if side and side != fault.cause_side:
        fault.cause_side = side
        fault.save()
