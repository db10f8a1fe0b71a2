"""Sign-ins that hold: begun, seen, listed, ended one by one or all.

A row stands for a session of Django's. To end one deletes both, so that the next request of that
device is a stranger's; nothing is asked of the database for that on other requests.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from axes.models import AccessAttempt, AccessFailureLog, AccessLog
from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import transaction
from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.audit import note
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Event, SignedIn, User
from sites.people.queries import people_for

TRIES_ARE_KEPT = timedelta(days=30)


class UnableToSignOut(UnableToAct):
    """Sign-ins that this user may not end."""


@dataclass(frozen=True)
class Device:
    """A device as it shows itself: session, what the browser says, address."""

    session_key: str
    device: str
    address: str


def begin(user: User, device: Device, *, at: datetime) -> int:
    """Note that a person is signed in on a device; return the row's key."""
    row = SignedIn.objects.create(
        user=user,
        session_key=device.session_key,
        device=device.device,
        address=device.address,
        began_at=at,
        seen_at=at,
    )
    return int(row.pk)


def seen(key: int, user: User, device: Device, *, at: datetime) -> bool:
    """Note that it is still used; False where it was ended meanwhile, or has lasted too long."""
    since = at - timedelta(days=settings.LONGEST_SIGN_IN_DAYS)
    return bool(
        SignedIn.objects.filter(pk=key, user=user, began_at__gt=since).update(
            session_key=device.session_key,
            device=device.device,
            address=device.address,
            seen_at=at,
        )
    )


def sign_ins_of(user: User, *, at: datetime) -> list[SignedIn]:
    """Return where a person is signed in now, the device seen last first."""
    open_now = Session.objects.filter(expire_date__gt=at).values("session_key")
    rows = SignedIn.objects.filter(user=user, session_key__in=open_now)
    return list(rows.order_by("-seen_at", "-pk"))


@transaction.atomic
def end_sign_ins(user: User, *, only: int | None = None, but: int | None = None) -> int:
    """End all sign-ins of a person, or one, or all but one; return how many ended."""
    rows = SignedIn.objects.filter(user=user)
    if only is not None:
        rows = rows.filter(pk=only)
    if but is not None:
        rows = rows.exclude(pk=but)
    keys = list(rows.values_list("session_key", flat=True))
    Session.objects.filter(session_key__in=keys).delete()
    rows.delete()
    if keys:
        note(Event.SIGN_INS_ENDED, about=user, detail=len(keys))
    return len(keys)


@verb(
    name="sign a person out",
    action=Action.MANAGE_PEOPLE,
    guard="not oneself; of a person whom the user manages; signed in somewhere",
    undo="nothing: the person signs in again",
)
def sign_out_person(*, by: User, user: User) -> None:
    """End all sign-ins of a person: a lost phone, a window left open."""
    if by.pk == user.pk:
        raise UnableToSignOut(_("Your own sign-ins are ended in your settings."))
    if not people_for(by).filter(pk=user.pk).exists():
        raise UnableToSignOut(_("You do not manage this person."))
    if not end_sign_ins(user):
        raise UnableToSignOut(_("They are not signed in anywhere."))


def forget_old_sign_ins(*, at: datetime) -> int:
    """Delete sessions that ran out, what stood for them, and wrong tries of a month ago."""
    Session.objects.filter(expire_date__lt=at).delete()
    oldest = at - timedelta(seconds=settings.SESSION_COOKIE_AGE)
    count = SignedIn.objects.filter(seen_at__lt=oldest).delete()[0]
    for model in (AccessAttempt, AccessLog, AccessFailureLog):
        model.objects.filter(attempt_time__lt=at - TRIES_ARE_KEPT).delete()
    return int(count)
