"""Verbs on renewals: work on a leg that makes its past no guide to its future."""

from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from sites.ground.services.keeping import take_out
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Leg, Renewal, RenewalKind


class UnableToRenew(UnableToAct):
    """The leg is not in the ground, or this renewal is known already."""


@verb(
    name="renew a leg",
    action=Action.CHANGE_GROUND,
    guard="the leg is in the ground; the same renewal is not known for that day",
    undo="take back a renewal",
)
def renew_leg(
    *, leg: Leg, kind: str, on: date, today: date, depth_in: float | None = None, notes: str = ""
) -> Renewal:
    """Record new conduit, new cable, a guard or deeper laying; it restarts the count of faults.

    What the work changes about the leg is changed with it: conduit, or the depth given.
    """
    refuse_ahead(on, today, field="on")
    if leg.retired_on is not None:
        raise UnableToRenew(_("This leg is retired. Record the work on the leg that is there now."))
    if leg.renewals.filter(kind=kind, on=on).exists():
        raise UnableToRenew(_("This renewal is recorded for that day already."), field="on")
    renewal = Renewal(leg=leg, kind=kind, on=on, notes=notes)
    save_because(renewal)
    leg.in_conduit = True if kind == RenewalKind.CONDUIT else leg.in_conduit
    leg.depth_in = depth_in if depth_in is not None else leg.depth_in
    save_because(leg, _mark(renewal))
    return renewal


@verb(
    name="take back a renewal",
    action=Action.CHANGE_GROUND,
    guard="a reason in words: it was entered by mistake",
    undo="renew the leg again",
)
def take_back_renewal(*, renewal: Renewal, why: str) -> None:
    """Remove a renewal that was entered by mistake; its history and the leg's tell of it.

    Conduit and depth go back to what they were, unless they were changed since.
    """
    if not why.strip():
        raise UnableToRenew(_("Say why it was a mistake."), field="why")
    leg = renewal.leg
    _put_back(leg, renewal)
    take_out(renewal, why)
    save_because(leg, _("%(what)s taken back: %(why)s") % {"what": _mark(renewal), "why": why})


def _mark(renewal: Renewal) -> str:
    """The reason by which the leg's history is searched again: the same in every language."""
    return f"{renewal.kind} {renewal.on.isoformat()}"


def _put_back(leg: Leg, renewal: Renewal) -> None:
    history: Any = leg.history
    record = history.filter(history_change_reason=_mark(renewal)).order_by("-history_id").first()
    before = record.prev_record if record is not None else None
    for name in ("in_conduit", "depth_in") if before is not None else ():
        if getattr(leg, name) == getattr(record, name):
            setattr(leg, name, getattr(before, name))
