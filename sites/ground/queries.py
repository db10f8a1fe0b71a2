"""Reads of what lies in the ground."""

from django.db.models import QuerySet

from sites.models import (
    Point,
    Property,
)


def points_in_use(place: Property) -> QuerySet[Point]:
    """Return the points of a property that are not retired, by name."""
    return place.points.filter(retired_on__isnull=True).order_by("name", "pk")
