"""Reconciling with the central system's own list: what it said, and what was decided."""

from typing import Any

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


class NewestList(models.Model):
    """The list that named a controller last: it alone says how its stations stand in central.

    `controller_name` is folded, as names are compared.
    """

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="+")
    controller_name = models.CharField(max_length=60)
    list = models.ForeignKey(CentralList, on_delete=models.CASCADE, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["property", "controller_name"], name="controller_has_one_newest_list"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.property_id} {self.controller_name}"


class StandingDifference(models.Model):
    """A difference that the newest list showed and that nobody settled; `list` showed it first."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="+")
    controller_name = models.CharField(max_length=60)
    number = models.PositiveIntegerField()
    difference = models.CharField(max_length=20, choices=Difference)
    list = models.ForeignKey(CentralList, on_delete=models.CASCADE, related_name="+")
    since = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["property", "controller_name", "number", "difference"],
                name="difference_stands_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.controller_name}:{self.number} {self.difference}"


class CentralFile(models.Model):
    """A file of the folder of central's lists: taken in as `list`, or why it was not.

    `counts` = listed, new, gone and open differences. `changed_ns` = when it was written last, in
    nanoseconds of its disk: the same words written again are another statement of central.
    """

    name = models.CharField(max_length=255)
    sha256 = models.CharField(max_length=64)
    changed_ns = models.BigIntegerField()
    size = models.BigIntegerField()
    at = models.DateTimeField()
    list = models.ForeignKey(CentralList, on_delete=models.SET_NULL, null=True, related_name="+")
    problem = models.TextField(blank=True)
    counts: Any = models.JSONField(default=dict)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["sha256", "changed_ns"], name="central_file_is_read_once"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class CentralFolder(models.Model):
    """How the folder was found when it was looked at last: a single row."""

    looked_at = models.DateTimeField()
    waiting = models.PositiveIntegerField(default=0)
    problem = models.TextField(blank=True)

    def __str__(self) -> str:
        return f"{self.looked_at:%Y-%m-%d %H:%M}"
