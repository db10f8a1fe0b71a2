"""What acts or listens for a user, limited to a client or a property that the user sees."""

from collections.abc import Collection
from typing import Protocol

from django.utils.translation import gettext as _

from sites.kernel.access import properties_for
from sites.kernel.services.verbs import UnableToAct
from sites.models import Client, Grant, Property, User


class UnableToReachSoFar(UnableToAct):
    """It would reach further than its user."""


class Limited(Protocol):
    """A row that stands for a user, as far as the user reaches and its own limit."""

    @property
    def user(self) -> User:
        """For whom."""

    @property
    def client(self) -> Client | None:
        """The one client, if any."""

    @property
    def property(self) -> Property | None:
        """The one property, if any."""


def narrowed(grants: Collection[Grant], limit: Limited) -> list[Grant]:
    """Return what is left of grants within a limit."""
    client, place = limit.client, limit.property
    if client is None and place is None:
        return list(grants)
    kept = []
    for grant in grants:
        everywhere = grant.client_id is None and grant.property_id is None
        if client is not None:
            if everywhere or grant.client_id == client.pk:
                kept.append(Grant(user=limit.user, role=grant.role, client=client))
            elif grant.property is not None and grant.property.client_id == client.pk:
                kept.append(grant)
        elif place is not None and (
            everywhere or grant.client_id == place.client_id or grant.property_id == place.pk
        ):
            kept.append(Grant(user=limit.user, role=grant.role, property=place))
    return kept


def refuse_further(user: User, *, client: Client | None, place: Property | None) -> None:
    """Refuse a limit to what the user does not see.

    Raises:
        UnableToReachSoFar: with the field at fault.
    """
    if client is not None and place is not None:
        raise UnableToReachSoFar(_("Choose a client or a property, not both."), field="place")
    seen = properties_for(user)
    if place is not None and not seen.filter(pk=place.pk).exists():
        raise UnableToReachSoFar(_("You do not see this property."), field="place")
    if client is not None and not seen.filter(client=client).exists():
        raise UnableToReachSoFar(_("You see no property of this client."), field="client")
