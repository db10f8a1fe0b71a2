"""Damage by third parties: who is liable, what was claimed, and whether it was paid."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from faults.billing.services.sums import Sums, sums_of
from faults.billing.services.told import UnableToBill
from faults.models import DamageClaim, Fault, JobLine
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because, was_wrong
from sites.kernel.services.verbs import verb


@dataclass(frozen=True)
class ClaimFacts:
    """What a claim says."""

    liable_party: str
    claim_number: str
    statement: str
    made_on: date


def cost_of(lines: Iterable[JobLine]) -> Sums:
    """Return what the lines for damage come to, by the currency that was read with them."""
    return sums_of((getattr(line, "currency", ""), line.amount) for line in lines)


@verb(
    name="claim damage from a third party",
    action=Action.GIVE_TO_BOOKS,
    guard="no claim of the fault stands; who is liable; a day that has come",
    undo="drop a claim for damage",
)
def open_claim(*, fault: Fault, facts: ClaimFacts, today: date) -> DamageClaim:
    """Keep what a third party owes for a fault. Its cost is that of the lines for damage."""
    if fault.damage_claims.filter(dropped_on=None).exists():
        raise UnableToBill(_("A claim of this fault stands already. Change that one."))
    return _keep(DamageClaim(fault=fault), facts, today)


@verb(
    name="change a claim for damage",
    action=Action.GIVE_TO_BOOKS,
    guard="it stands; as claiming it; not after it was paid",
    undo="change it again, with the values that its history shows",
)
def change_claim(*, claim: DamageClaim, facts: ClaimFacts, today: date) -> None:
    """Change what a claim says."""
    _refuse_dropped(claim)
    if claim.paid_on is not None and facts.made_on > claim.paid_on:
        raise UnableToBill(
            _("It was paid on %s, before that day.") % claim.paid_on.isoformat(), field="made_on"
        )
    _keep(claim, facts, today)


@verb(
    name="note that damage was paid",
    action=Action.GIVE_TO_BOOKS,
    guard="it stands and is not paid; a day that has come, not before it was claimed",
    undo="take back that damage was paid",
)
def note_paid(*, claim: DamageClaim, paid_on: date, today: date) -> None:
    """Keep the day on which the liable party paid."""
    _refuse_dropped(claim)
    if claim.paid_on is not None:
        raise UnableToBill(_("It was paid on %s already.") % claim.paid_on.isoformat())
    refuse_ahead(paid_on, today, field="paid_on")
    if paid_on < claim.made_on:
        raise UnableToBill(
            _("It was claimed on %s, after that day.") % claim.made_on.isoformat(), field="paid_on"
        )
    claim.paid_on = paid_on
    claim.save()


@verb(
    name="take back that damage was paid",
    action=Action.GIVE_TO_BOOKS,
    guard="it is paid; what was wrong, in words",
    undo="note that damage was paid",
)
def take_back_paid(*, claim: DamageClaim, why: str) -> None:
    """Let a claim be unpaid again."""
    reason = was_wrong(why)
    if claim.paid_on is None:
        raise UnableToBill(_("It is not paid."))
    claim.paid_on = None
    save_because(claim, reason)


@verb(
    name="drop a claim for damage",
    action=Action.GIVE_TO_BOOKS,
    guard="it stands and is not paid; why, in words",
    undo="claim damage from a third party",
)
def drop_claim(*, claim: DamageClaim, why: str, today: date) -> None:
    """Claim nothing any more. It stays in the list, and another one can be made."""
    _refuse_dropped(claim)
    if claim.paid_on is not None:
        raise UnableToBill(_("It is paid. Take that back first."))
    words = why.strip()
    if not words:
        raise UnableToBill(_("Say why it is dropped."), field="why")
    claim.dropped_on, claim.why_dropped = today, words[:200]
    save_because(claim, words)


def _refuse_dropped(claim: DamageClaim) -> None:
    if claim.dropped_on is not None:
        raise UnableToBill(_("It was dropped on %s.") % claim.dropped_on.isoformat())


def _keep(claim: DamageClaim, facts: ClaimFacts, today: date) -> DamageClaim:
    refuse_ahead(facts.made_on, today, field="made_on")
    party = " ".join(facts.liable_party.split())
    if not party:
        raise UnableToBill(_("Who is liable? A name."), field="liable_party")
    claim.liable_party, claim.made_on = party, facts.made_on
    claim.claim_number = " ".join(facts.claim_number.split())
    claim.statement = facts.statement.strip()
    claim.save()
    return claim
