"""What a client was promised: by which day a fault is over."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from faults.models.fault import Fault
from sites.models import Station
from sites.models.base import Referenced


class PromiseIsKept(Exception):
    """A promise stays as it was given."""


class Promise(Referenced):
    """One promised day with the chance that was stated. Rows are added and never changed."""

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="promises")
    # Where it is said of one station alone; empty = of the whole fault.
    station = models.ForeignKey(
        Station, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    by_on = models.DateField(_("promised by"))
    tenths = models.PositiveSmallIntegerField(_("times of ten"))
    said_to = models.CharField(_("to whom"), max_length=120)
    said_on = models.DateField(_("said on"))
    said_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="promise_for_a_day_to_come", condition=Q(by_on__gte=F("said_on"))
            ),
            models.CheckConstraint(
                name="promise_chance_from_5_to_9_of_ten", condition=Q(tenths__range=(5, 9))
            ),
        )

    def __str__(self) -> str:
        whose = f"{self.fault}, {self.station}" if self.station else str(self.fault)
        return f"{whose}: {self.by_on}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Add it; one that was given is not changed."""
        if not self._state.adding:
            raise PromiseIsKept("a promise stays as it was given: give another one")
        super().save(*args, **kwargs)
