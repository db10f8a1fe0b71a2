"""Tokens by which programs act for a user: made, shown once, revoked, recognised.

A token never reaches further than its user does at that moment: each request reads the user's
grants again, and the token's own limit narrows them.
"""

import secrets
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from sites.kernel.access import may_everywhere
from sites.kernel.engines.roles import Action
from sites.kernel.services.audit import note
from sites.kernel.services.secrets import hash_of
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import ApiToken, Client, Event, Property, Scope, User
from sites.people.services.limiting import narrowed, refuse_further

SECRET_BYTES = 32
MOST_DAYS = 366
MOST_TOKENS = 20
# A request more or less is no news: the row is written once an hour at most.
USED_EVERY = timedelta(hours=1)


class UnableToMakeToken(UnableToAct):
    """A token that would reach further than its user, or for ever."""


class UnableToRevokeToken(UnableToAct):
    """It does not hold any more."""


@dataclass(frozen=True)
class TokenFacts:
    """What a token is for: which program, what it may do, where, and for how many days."""

    name: str
    scopes: Collection[str]
    days: int
    client: Client | None = None
    place: Property | None = None


@verb(
    name="make a token for a program",
    action=Action.EXPORT,
    guard="a name; at least one scope; a year at most; limited to what the user sees, if at all; "
    "fewer than 20 hold",
    undo="revoke a token",
)
def make_token(*, user: User, token: TokenFacts, at: datetime) -> str:
    """Make a token and return its secret, this one time."""
    name = " ".join(token.name.split())
    scopes = [scope.value for scope in Scope if scope.value in token.scopes]
    if not name or not scopes:
        raise UnableToMakeToken(
            _("Say which program it is for, and at least one thing that it may do."), field="name"
        )
    if not 1 <= token.days <= MOST_DAYS:
        raise UnableToMakeToken(_("A token holds for a year at most."), field="days")
    if tokens_in_force(user, at=at).count() >= MOST_TOKENS:
        raise UnableToMakeToken(
            _("You have %d tokens. Revoke one that nothing uses any more.") % MOST_TOKENS
        )
    refuse_further(user, client=token.client, place=token.place)
    secret = secrets.token_urlsafe(SECRET_BYTES)
    ApiToken.objects.create(
        user=user,
        name=name[:60],
        secret_hash=hash_of(secret),
        scopes=" ".join(scopes),
        client=token.client,
        property=token.place,
        made_at=at,
        expires_at=at + timedelta(days=token.days),
    )
    note(Event.TOKEN_MADE, by=user, about=name, detail=" ".join(scopes))
    return secret


@verb(
    name="revoke a token",
    action=Action.EXPORT,
    guard="it holds; one's own, or of a person whom the user manages everywhere",
    undo="make a token for a program: the old secret never works again",
)
def revoke_token(*, token: ApiToken, at: datetime) -> None:
    """End a token: the program is refused from now on."""
    if token.revoked_at is not None or token.expires_at <= at:
        raise UnableToRevokeToken(_("It does not hold any more."))
    token.revoked_at = at
    token.save()
    note(Event.TOKEN_REVOKED, about=token.name)


def tokens_for(user: User) -> QuerySet[ApiToken]:
    """Return the tokens that a user may revoke: one's own; an owner of everything, all."""
    if may_everywhere(user, Action.MANAGE_PEOPLE):
        return ApiToken.objects.select_related("user", "client", "property")
    return ApiToken.objects.filter(user=user).select_related("user", "client", "property")


def tokens_in_force(user: User, *, at: datetime) -> QuerySet[ApiToken]:
    """Return the tokens of a user that hold at a moment."""
    return ApiToken.objects.filter(user=user, revoked_at=None, expires_at__gt=at)


def token_by(secret: str, *, at: datetime) -> ApiToken | None:
    """Return the token that holds now, its user narrowed to its limit, and note that it is used."""
    rows = ApiToken.objects.filter(secret_hash=hash_of(secret), revoked_at=None, expires_at__gt=at)
    found = rows.filter(user__is_active=True).select_related("user", "client", "property").first()
    if found is None:
        return None
    stale = Q(last_used_at=None) | Q(last_used_at__lt=at - USED_EVERY)
    ApiToken.objects.filter(stale, pk=found.pk).update(last_used_at=at)
    # The access rules ask the user's grants alone, so a narrower list narrows all of them.
    found.user.held_grants = narrowed(found.user.held_grants, found)
    return found
