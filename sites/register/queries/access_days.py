"""Reads of when a property may be entered."""

from sites.models import AccessHours, Blackout, Property


def hours_of(place: Property) -> list[AccessHours]:
    """Return the weekly hours from Monday on."""
    return list(place.access_hours.order_by("weekday", "opens_at", "pk"))


def blackouts_of(place: Property) -> list[Blackout]:
    """Return the days on which nobody may work, the latest first."""
    return list(place.blackouts.order_by("-from_on", "-pk")[:200])
