"""Reads of searches."""

from django.db.models import Count, Q, QuerySet

from faults.access import searches_for
from faults.models import Fault, Search
from sites.models import Station, User


def last_search_of(fault: Fault, station: Station) -> Search | None:
    """Return the search of a station that goes on, or else the last one of this fault."""
    return (
        fault.searches.filter(station=station)
        .select_related("fault__property", "station__controller__property", "found__leg")
        .order_by("-started_at", "-pk")
        .first()
    )


def searches_listed(user: User) -> QuerySet[Search]:
    """Return searches with how many tests each holds."""
    return (
        searches_for(user)
        .select_related("fault__property", "station__controller", "by")
        .annotate(
            test_total=Count("readings", filter=Q(readings__voided_at__isnull=True)),
        )
    )
