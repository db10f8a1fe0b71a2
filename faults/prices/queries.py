"""Which price lists a user may see and change."""

from django.db.models import OuterRef, Q, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from faults.models import PriceList
from sites.kernel.access import may_everywhere, properties_for
from sites.kernel.engines.roles import Action, Role, allows
from sites.models import Client, User


def currency_of(place: str, day: str) -> Coalesce:
    """Return the currency of rows for a query: that of the nearest list on the row's day.

    Args:
        place, day: the lookups from the row to its property and its day, as `job__property`, `on`.
    """
    held = PriceList.objects.filter(
        Q(to_on__isnull=True) | Q(to_on__gt=OuterRef(day)), from_on__lte=OuterRef(day)
    )
    held = held.order_by("-from_on", "-pk")
    own = held.filter(property=OuterRef(place))
    client = held.filter(client=OuterRef(f"{place}__client"))
    company = held.filter(client__isnull=True, property__isnull=True)
    nearest = (Subquery(each.values("currency")[:1]) for each in (own, client, company))
    return Coalesce(*nearest, Value(""))


def price_lists_for(user: User, action: Action = Action.SEE_RATES) -> QuerySet[PriceList]:
    """Return the lists that a user may see: the company's bears on every property."""
    places = properties_for(user, action)
    theirs = Q(property__in=places) | Q(client__in=places.values("client"))
    company = Q(client__isnull=True, property__isnull=True)
    return PriceList.objects.filter(theirs | company).select_related("client", "property")


def lists_to_change(user: User) -> QuerySet[PriceList]:
    """Return the lists that a user may change: the company's asks for the right everywhere."""
    action = Action.SET_AUTHORITY
    rows = PriceList.objects.select_related("client", "property")
    if may_everywhere(user, action):
        return rows
    clients = _clients_of(user)
    return rows.filter(Q(property__in=properties_for(user, action)) | Q(client__in=clients))


def may_price(user: User, client: Client) -> bool:
    """Return whether a user may set the prices of all properties of a client."""
    return may_everywhere(user, Action.SET_AUTHORITY) or client.pk in _clients_of(user)


def _clients_of(user: User) -> set[int]:
    """The clients, all of whose properties the user may price."""
    action = Action.SET_AUTHORITY
    grants = (one for one in user.held_grants if allows(Role(one.role), action))
    return {one.client_id for one in grants if one.client_id is not None}


def newest_lists(user: User) -> list[PriceList]:
    """Return the lists that have not ended: the company's first, then by name."""
    rows = price_lists_for(user).filter(to_on__isnull=True).prefetch_related("items")
    return sorted(rows, key=lambda one: (bool(one.client or one.property), str(one), one.pk))


def currencies_used() -> list[str]:
    """Return the currencies in which anything is priced, by name."""
    rows = PriceList.objects.order_by("currency").values_list("currency", flat=True)
    return list(rows.distinct())
