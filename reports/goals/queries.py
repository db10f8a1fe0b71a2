"""Reads of goals, and of the shares that they are about."""

from collections.abc import Collection

from django.db.models import Count, Q, QuerySet

from reports.models import Goal
from sites.kernel.access import may_everywhere, properties_where
from sites.kernel.engines.roles import Action
from sites.models import SpellPart, Station, User
from sites.register.queries.stations import TO_PROPERTY


def goals_for(user: User, action: Action = Action.SEE_RATES) -> QuerySet[Goal]:
    """Return the goals at whose property the user has the action; those of all for who has all."""
    seen = Q(property__isnull=False) & properties_where(user, action, "property")
    if may_everywhere(user, action):
        seen |= Q(property__isnull=True)
    rows = Goal.objects.filter(seen).select_related("property", "set_by")
    return rows.order_by("-set_on", "-pk")


def counts_of(places: Collection[int]) -> dict[int, tuple[int, int]]:
    """Return how many stations of these properties are off, of how many: two queries."""
    off = SpellPart.objects.open().filter(**{f"{TO_PROPERTY}__in": places}).order_by()
    meant = Station.objects.meant_for_central().filter(controller__property__in=places).order_by()
    are_off = dict(off.values_list(TO_PROPERTY).annotate(n=Count("pk")))
    counted = meant.values_list("controller__property").annotate(n=Count("pk"))
    return {place: (are_off.get(place, 0), stations) for place, stations in counted}
