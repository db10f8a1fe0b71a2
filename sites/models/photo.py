"""Photos, and the property's own plan picture."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from sites.models.base import History, Referenced
from sites.models.ground import Point
from sites.models.property import Property
from sites.models.stopgap import Device


def photo_path(photo: Any, _filename: str) -> str:
    """Return a name that cannot be guessed; photos are re-encoded, always as JPEG."""
    return f"photos/{photo.ref}.jpg"


class Picture(Referenced):
    """What all kinds of photo share. A photo is hidden, never deleted."""

    file = models.FileField(upload_to=photo_path)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    caption = models.CharField(_("caption"), max_length=200, blank=True)
    taken_on = models.DateField(_("taken"), null=True, blank=True)
    # Stored only when the person who added it chose that.
    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    added_at = models.DateTimeField()
    hidden_on = models.DateField(_("hidden"), null=True, blank=True)

    class Meta:
        abstract = True


class Photo(Picture):
    """A photo of a point or of a device."""

    point = models.ForeignKey(
        Point, on_delete=models.CASCADE, null=True, blank=True, related_name="photos"
    )
    device = models.ForeignKey(
        Device, on_delete=models.CASCADE, null=True, blank=True, related_name="photos"
    )
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="photo_shows_one_thing",
                condition=Q(point__isnull=False, device__isnull=True)
                | Q(point__isnull=True, device__isnull=False),
            ),
        ]


class PlanPicture(Referenced):
    """A property's own plan, scaled by two points whose distance is known."""

    property = models.OneToOneField(Property, on_delete=models.CASCADE, related_name="plan_picture")
    file = models.FileField(upload_to=photo_path)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    first_x_px = models.FloatField(null=True, blank=True)
    first_y_px = models.FloatField(null=True, blank=True)
    second_x_px = models.FloatField(null=True, blank=True)
    second_y_px = models.FloatField(null=True, blank=True)
    distance_ft = models.FloatField(_("distance between them, ft"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="plan_picture_distance_above_0",
                condition=Q(distance_ft__isnull=True) | Q(distance_ft__gt=0),
            ),
        ]
