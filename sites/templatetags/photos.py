"""The photos of a point or device, for the panel that shows them."""

from django import template

from sites.models import Device, Photo, Point

register = template.Library()


@register.simple_tag
def photos_of(owner: Point | Device) -> dict[str, list[Photo]]:
    """Return the shown and the hidden photos of a thing, newest first."""
    photos = list(owner.photos.select_related("added_by").order_by("-added_at", "-pk")[:200])
    return {
        "shown": [photo for photo in photos if photo.hidden_on is None],
        "hidden": [photo for photo in photos if photo.hidden_on],
    }
