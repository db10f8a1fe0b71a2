"""Reconciling with the central system's own list: what it said, and what was decided."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from sites.models.base import History, Referenced
from sites.models.property import Property
from sites.models.station import Station


class CentralList(Referenced):
    """One list that the central system gave, for one property or for all."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, null=True, related_name="+")
    filename = models.CharField(max_length=200)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    at = models.DateTimeField()


class Difference(models.TextChoices):
    """How the central system and the register can disagree about a station."""

    ON_THERE = "on there, off here", _("on there, off here")
    OFF_THERE = "off there, on here", _("off there, on here")
    UNKNOWN_HERE = "unknown here", _("unknown here")
    UNKNOWN_THERE = "unknown there", _("unknown there")


class ListedStation(models.Model):
    """One row of a central list. `station` is empty where the register knows none."""

    list = models.ForeignKey(CentralList, on_delete=models.CASCADE, related_name="rows")
    property_code = models.CharField(max_length=60, blank=True)
    controller_name = models.CharField(max_length=60)
    number = models.PositiveIntegerField()
    is_enabled = models.BooleanField(null=True)
    station = models.ForeignKey(Station, on_delete=models.CASCADE, null=True, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["list", "property_code", "controller_name", "number"],
                name="central_list_names_a_station_once",
            ),
        ]


class Decision(models.Model):
    """A user's decision on one difference; it holds until the difference changes."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="+")
    controller_name = models.CharField(max_length=60)
    number = models.PositiveIntegerField()
    difference = models.CharField(max_length=20, choices=Difference)
    decided = models.CharField(_("decided"), max_length=60)
    note = models.CharField(_("note"), max_length=200, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    at = models.DateTimeField()
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["property", "controller_name", "number", "difference"],
                name="decision_stands_once_per_difference",
            ),
        ]
