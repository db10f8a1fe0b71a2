"""Who was there on a visit, from when to when, and doing what."""

import zoneinfo
from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.timezone import localtime
from django.utils.translation import gettext_lazy as _

from faults.models.job import Job
from faults.models.price import CHARGE_CHOICES
from faults.prices.engines.pricing import LABOUR
from sites.models.base import History

DID_CHOICES = [each for each in CHARGE_CHOICES if each[0] in {charge.value for charge in LABOUR}]


class PersonThereQuerySet(models.QuerySet["PersonThere"]):
    """Reads over who was there."""

    def standing(self) -> "PersonThereQuerySet":
        """Leave out rows that were struck out."""
        return self.filter(removed_on__isnull=True)


class PersonThere(models.Model):
    """One person on one visit. The minutes of all of them are the visit's man-minutes."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="people")
    # Empty for a helper who has no account; the name stands in any case.
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    name = models.CharField(_("who"), max_length=150)
    did = models.CharField(_("doing what"), max_length=10, choices=DID_CHOICES)
    from_at = models.DateTimeField(_("from"))
    minutes = models.PositiveIntegerField(_("minutes"))
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    removed_on = models.DateField(_("struck out"), null=True, blank=True)
    history = History()

    objects = PersonThereQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(name="person_there_some_minutes", condition=Q(minutes__gt=0)),
            models.CheckConstraint(name="person_there_has_a_name", condition=~Q(name="")),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def to_at(self) -> datetime:
        """The moment at which the person left."""
        return self.from_at + timedelta(minutes=self.minutes)

    @property
    def hours(self) -> Decimal:
        """Hours to two places, as they are shown."""
        return (Decimal(self.minutes) / 60).quantize(Decimal("0.01"), ROUND_HALF_UP)

    @property
    def local_from(self) -> datetime:
        """When the person came, as clocks at the property show it."""
        return localtime(self.from_at, zoneinfo.ZoneInfo(self.job.property.time_zone))

    @property
    def local_to(self) -> datetime:
        """When the person left, as clocks at the property show it."""
        return localtime(self.to_at, zoneinfo.ZoneInfo(self.job.property.time_zone))
