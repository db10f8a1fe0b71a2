"""Programs that are told: set up, changed, given a new secret, switched off and on, tried out."""

import secrets
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from reports.hooks.services.reaching import Refused, checked
from reports.hooks.services.sending import PURPOSE
from reports.hooks.services.telling import send_soon, tell_as_a_test
from reports.models import Delivery, Happened, Outcome, Receiver, WhyOff
from sites.kernel.engines.roles import Action
from sites.kernel.services.audit import note
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Client, Event, Property, User
from sites.people.services.limiting import refuse_further
from sites.people.services.sealing import seal

SECRET_BYTES = 32
MOST_RECEIVERS = 20
# Our own choice: long enough to bring a program its new secret.
BEFORE_SIGNS_FOR = timedelta(days=1)
BY_EVENT = [kind for kind in Happened if kind is not Happened.TEST]


class UnableToTellProgram(UnableToAct):
    """An address that nothing may be sent to, or nothing to tell it of."""


class UnableToSwitch(UnableToAct):
    """It is switched so already."""


class UnableToSendNow(UnableToAct):
    """It cannot be sent at this moment."""


@dataclass(frozen=True)
class ReceiverFacts:
    """Which program, where, what it is told of, and of which properties."""

    name: str
    address: str
    kinds: Collection[str]
    client: Client | None = None
    place: Property | None = None


@verb(
    name="set up a program to be told",
    action=Action.EXPORT,
    guard="a name; a public https address; something to be told of; limited to what the user sees, "
    "if at all; fewer than 20 are set up",
    undo="switch off a program that is told",
)
def set_up_receiver(*, user: User, facts: ReceiverFacts, at: datetime) -> tuple[Receiver, str]:
    """Set up a program, and return it with its secret, this one time."""
    if Receiver.objects.filter(user=user, off_at=None).count() >= MOST_RECEIVERS:
        raise UnableToTellProgram(
            _("%d programs are told already. Switch off one that nobody needs.") % MOST_RECEIVERS
        )
    receiver, secret = Receiver(user=user, made_at=at), _new_secret()
    _put(receiver, facts)
    receiver.sealed_secret = seal(secret, purpose=PURPOSE)
    receiver.save()
    note(Event.HOOK_SET_UP, by=user, about=receiver.name, detail=_said(receiver))
    return receiver, secret


@verb(
    name="change a program that is told",
    action=Action.EXPORT,
    guard="as setting it up",
    undo="change it back",
)
def change_receiver(*, receiver: Receiver, facts: ReceiverFacts) -> None:
    """Change the name, the address, what it is told of or its limit; the secret stays."""
    _put(receiver, facts)
    receiver.save()
    note(Event.HOOK_CHANGED, about=receiver.name, detail=_said(receiver))


@verb(
    name="give a program a new secret",
    action=Action.EXPORT,
    guard="one's own, or of a person whom the user manages everywhere",
    undo="none: the old secret signs nothing any more, at the latest a day later",
)
def renew_secret(*, receiver: Receiver, at: datetime, at_once: bool = False) -> str:
    """Return a new secret, this one time; all that is sent from now on is signed with it.

    Args:
        at_once: the old one is in wrong hands: it signs nothing more, where else it would sign
            beside the new one for `BEFORE_SIGNS_FOR`.
    """
    secret = _new_secret()
    receiver.sealed_before = "" if at_once else receiver.sealed_secret
    receiver.before_until = None if at_once else at + BEFORE_SIGNS_FOR
    receiver.sealed_secret = seal(secret, purpose=PURPOSE)
    receiver.save()
    note(Event.HOOK_SECRET, about=receiver.name)
    return secret


@verb(
    name="switch off a program that is told",
    action=Action.EXPORT,
    guard="it is on",
    undo="switch on a program that is told: of what happens meanwhile it hears nothing",
)
def switch_off_receiver(*, receiver: Receiver, at: datetime) -> None:
    """Tell it nothing from now on; what waits is kept until it is on again."""
    if receiver.off_at is not None:
        raise UnableToSwitch(_("It is switched off already."))
    receiver.off_at, receiver.why_off = at, WhyOff.BY_HAND
    receiver.save()
    note(Event.HOOK_SWITCHED, about=receiver.name, detail=_("off"))


@verb(
    name="switch on a program that is told",
    action=Action.EXPORT,
    guard="it is off; its address may still be sent to",
    undo="switch off a program that is told",
)
def switch_on_receiver(*, receiver: Receiver) -> None:
    """Tell it again, first what waits."""
    if receiver.off_at is None:
        raise UnableToSwitch(_("It is switched on already."))
    _check(receiver.address)
    receiver.off_at, receiver.why_off = None, ""
    receiver.save()
    note(Event.HOOK_SWITCHED, about=receiver.name, detail=_("on"))
    send_soon()


@verb(
    name="send a test to a program",
    action=Action.EXPORT,
    guard="it is switched on",
    undo="none: it says that it is a test",
)
def send_test(*, receiver: Receiver, at: datetime) -> Delivery:
    """Send a message that says that it is a test."""
    _refuse_off(receiver)
    return tell_as_a_test(receiver, at=at)


@verb(
    name="send to a program again",
    action=Action.EXPORT,
    guard="it is switched on; it is not being sent at this moment",
    undo="none: its id says that it is the same",
)
def send_again(*, delivery: Delivery, at: datetime) -> None:
    """Send a message now, whether it was accepted, given up or waits: its tries start over."""
    _refuse_off(delivery.receiver)
    if delivery.claimed_until is not None and delivery.claimed_until > at:
        raise UnableToSendNow(_("It is being sent at this moment. Look again in a minute."))
    delivery.sent_at = delivery.given_up_at = delivery.claimed_until = None
    delivery.tries, delivery.next_try_at = 0, at
    delivery.save()
    send_soon()


def _refuse_off(receiver: Receiver) -> None:
    if receiver.off_at is not None:
        raise UnableToSendNow(_("This program is switched off. Switch it on first."))


def _new_secret() -> str:
    return secrets.token_urlsafe(SECRET_BYTES)


def _put(receiver: Receiver, facts: ReceiverFacts) -> None:
    name = " ".join(facts.name.split())
    kinds = [kind.value for kind in BY_EVENT if kind.value in facts.kinds]
    if not name or not kinds:
        raise UnableToTellProgram(
            _("Say which program it is, and at least one thing that it is told of."), field="name"
        )
    refuse_further(receiver.user, client=facts.client, place=facts.place)
    _check(facts.address)
    receiver.name, receiver.address, receiver.kinds = name[:60], facts.address, " ".join(kinds)
    receiver.client, receiver.property = facts.client, facts.place


def _check(address: str) -> None:
    """Refuse an address that nothing may be sent to. It is looked at again at each sending."""
    try:
        checked(address)
    except Refused as why:
        if why.outcome is Outcome.UNKNOWN_NAME:
            said = _("The name in this address is not known. Check its spelling.")
        elif why.outcome is Outcome.NOT_PUBLIC:
            said = _(
                "This leads to %s, a machine of a house or of this server. Only public addresses "
                "are sent to, unless the setting HOOKS_MAY_REACH names their network."
            )
            said %= why.detail
        else:
            said = _(
                "Write a whole address that begins with https://, without a name and password, "
                "spaces or #."
            )
        raise UnableToTellProgram(said, field="address") from None


def _said(receiver: Receiver) -> str:
    return f"{receiver.address} {receiver.kinds}"
