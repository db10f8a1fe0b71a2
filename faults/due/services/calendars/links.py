"""The secret link of a user's calendar: made, shown once, revoked. Only its hash is kept."""

import secrets
from datetime import datetime

from django.conf import settings
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext as _

from faults.models import CalendarLink
from sites.kernel.engines.roles import Action
from sites.kernel.services.secrets import hash_of
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import User

SECRET_BYTES = 24


class UnableToRevoke(UnableToAct):
    """There is no link in force."""


def link_of(user: User) -> CalendarLink | None:
    """Return the user's link that is in force."""
    return CalendarLink.objects.filter(user=user, revoked_at=None).first()


@verb(
    name="make a calendar link",
    action=Action.SEE_WORK,
    guard="none: the link that was in force before ends",
    undo="revoke the calendar link",
)
def make_calendar_link(*, user: User, at: datetime) -> str:
    """Make a new link in place of the one before and return its address, this one time."""
    for held in CalendarLink.objects.select_for_update().filter(user=user, revoked_at=None):
        held.revoked_at = at
        held.save()
    secret = secrets.token_urlsafe(SECRET_BYTES)
    CalendarLink.objects.create(user=user, secret_hash=hash_of(secret), made_at=at)
    return settings.SITE_URL + reverse("faults:calendar_feed", args=[secret])


@verb(
    name="revoke the calendar link",
    action=Action.SEE_WORK,
    guard="there is one in force",
    undo="make a calendar link: the old address never works again",
)
def revoke_calendar_link(*, user: User, at: datetime) -> None:
    """End the link: its address serves nothing any more."""
    held = CalendarLink.objects.select_for_update().filter(user=user, revoked_at=None).first()
    if held is None:
        raise UnableToRevoke(_("There is no calendar link to revoke."))
    held.revoked_at = at
    held.save()


def reader_by(secret: str, *, at: datetime) -> User | None:
    """Return whose calendar a secret opens now, and note that it was read."""
    links = CalendarLink.objects.filter(secret_hash=hash_of(secret), revoked_at=None)
    link = links.filter(user__is_active=True).select_related("user").first()
    if link is None:
        return None
    stale = Q(last_read_at=None) | Q(last_read_at__lt=at.replace(minute=0, second=0))
    CalendarLink.objects.filter(stale, pk=link.pk).update(last_read_at=at)
    user: User = link.user
    return user
