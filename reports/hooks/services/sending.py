"""Send what programs are to be told: claimed by one sender, tried again, given up in the end.

The claim is that of the outbox of mails, one conditional UPDATE. A sender that is killed between
the answer and its note leaves the claim to run out, and the message goes once more under its id.
"""

import time
from collections.abc import Callable
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from faults.due.services.regular import Round
from reports.hooks.engines.retrying import wait_after
from reports.hooks.engines.signing import signature
from reports.hooks.queries import (
    is_report_seen,
    may_be_claimed,
    stations_seen,
    to_send,
    with_its_receiver,
)
from reports.hooks.services.reaching import Answer, send
from reports.hooks.services.telling import user_of
from reports.models import Delivery, Outcome, Receiver, WhyOff
from sites.kernel.services.audit import note
from sites.models import Event
from sites.people.services.sealing import UnableToOpen, unseal

PURPOSE = b"rejoin program told"
# One program at a time: one that is slow, or has much to hear, does not keep the others waiting.
MOST_OF_ONE = 200
SECONDS_FOR_ONE = 30.0
KEPT_FOR, GIVEN_UP_KEPT_FOR = timedelta(days=30), timedelta(days=90)
# There is nobody to talk to: its other messages would fail as well.
NOBODY_THERE = {
    Outcome.TIMEOUT,
    Outcome.NO_CONNECTION,
    Outcome.UNKNOWN_NAME,
    Outcome.CERTIFICATE,
    Outcome.NOT_PUBLIC,
    Outcome.GONE,
}
FOR_GOOD = {Outcome.GONE, Outcome.NO_RIGHT}


def send_waiting(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Send all messages whose time has come, those of one program in the order of their times."""
    told = {"sent": 0, "failed": 0}
    receivers = to_send(at=at).order_by("receiver").values_list("receiver", flat=True).distinct()
    for receiver in list(receivers):
        rows = to_send(at=at).filter(receiver=receiver).order_by("next_try_at", "pk")
        until = time.monotonic() + SECONDS_FOR_ONE
        for delivery in list(rows.values_list("pk", flat=True)[:MOST_OF_ONE]):
            outcome = send_one(delivery_id=delivery, at=at)
            go_on()
            if outcome is not None:
                told["sent" if outcome is Outcome.ACCEPTED else "failed"] += 1
            if outcome in NOBODY_THERE or time.monotonic() > until:
                break
    return told


# Each message has a claim and a time of its own, so that this round may come as often as it likes.
ROUND = Round("programs told", send_waiting, timedelta(seconds=1))


def send_one(*, delivery_id: int, at: datetime) -> Outcome | None:
    """Claim one message and send it; None where another has it, or it is not to be sent."""
    # On its own columns alone: a join would be looked at as it was before another's claim.
    mine = Delivery.objects.filter(may_be_claimed(at), pk=delivery_id)
    until = timezone.now() + timedelta(seconds=settings.MAIL_LEASE_S)
    if not mine.update(claimed_until=until, tries=F("tries") + 1):
        return None
    delivery = with_its_receiver(delivery_id)
    if delivery.receiver.off_at is not None:  # meanwhile
        Delivery.objects.filter(pk=delivery_id).update(claimed_until=None, tries=F("tries") - 1)
        return None
    answer = _answer(delivery)
    _keep(delivery, answer)
    return answer.outcome


def _answer(delivery: Delivery) -> Answer:
    receiver = delivery.receiver
    if not _is_seen(delivery):
        return Answer(Outcome.NO_RIGHT)
    try:
        secrets = [unseal(each, purpose=PURPOSE) for each in _sealed(receiver)]
    except UnableToOpen:
        return Answer(Outcome.NO_SECRET)
    body, moment = delivery.body.encode(), str(int(timezone.now().timestamp()))
    signed = [signature(each, moment=moment, body=body) for each in secrets]
    headers = {
        "Content-Type": "application/json",
        "Rejoin-Id": str(delivery.key),
        "Rejoin-Time": moment,
        "Rejoin-Signature": ",".join(signed),
    }
    return send(receiver.address, body, headers)


def _sealed(receiver: Receiver) -> list[str]:
    """The secrets that sign now: the new one, and for some time the one before it."""
    until = receiver.before_until
    is_both = until is not None and timezone.now() < until
    return [receiver.sealed_secret, *([receiver.sealed_before] if is_both else [])]


def _is_seen(delivery: Delivery) -> bool:
    """Whether the user still sees what it is about: a right may be gone since it was written."""
    if not delivery.receiver.user.is_active:
        return False
    user = user_of(delivery.receiver)
    if delivery.report is not None:
        return is_report_seen(user, delivery.report)
    return delivery.station_id is None or bool(stations_seen(user, [delivery.station_id]))


def _keep(delivery: Delivery, answer: Answer) -> None:
    now = timezone.now()
    wait = None if answer.outcome in FOR_GOOD else wait_after(delivery.tries)
    accepted = answer.outcome is Outcome.ACCEPTED
    with transaction.atomic():
        if answer.outcome is Outcome.GONE:
            _switch_off(delivery.receiver, now)
        Delivery.objects.filter(pk=delivery.pk).update(
            claimed_until=None,
            tried_at=now,
            sent_at=now if accepted else None,
            given_up_at=now if not accepted and wait is None else None,
            next_try_at=now if accepted or wait is None else now + wait,
            outcome=answer.outcome,
            status=answer.status,
            detail=answer.detail,
        )


def _switch_off(receiver: Receiver, at: datetime) -> None:
    held = Receiver.objects.select_for_update().get(pk=receiver.pk)
    if held.off_at is None:
        held.off_at, held.why_off = at, WhyOff.GONE
        held.save()
        note(Event.HOOK_SWITCHED, about=held.name, detail="410")


def forget_old(*, at: datetime) -> int:
    """Drop what was accepted a month ago or given up a quarter ago; return how many."""
    sent, _each = Delivery.objects.filter(sent_at__lt=at - KEPT_FOR).delete()
    gone, _each = Delivery.objects.filter(given_up_at__lt=at - GIVEN_UP_KEPT_FOR).delete()
    return sent + gone
