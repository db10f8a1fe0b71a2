"""When a property may be entered: ordinary days and hours, and days on which nobody may work."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from sites.models.base import History, ends_after_start
from sites.models.property import Property


class AccessHours(models.Model):
    """Hours in which a property may be entered on one weekday; a property without any is open.

    A weekday without a row, where the property has rows, is closed. `weekday`: 0 = Monday.
    """

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="access_hours")
    weekday = models.PositiveSmallIntegerField(
        _("weekday"), validators=[MinValueValidator(0), MaxValueValidator(6)]
    )
    opens_at = models.TimeField(_("from"))
    closes_at = models.TimeField(_("until"))
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="access_hours_weekday_of_a_week", condition=Q(weekday__lte=6)
            ),
            models.CheckConstraint(
                name="access_hours_close_after_they_open",
                condition=Q(closes_at__gt=F("opens_at")),
            ),
            models.UniqueConstraint(
                fields=["property", "weekday", "opens_at"], name="access_hours_once_per_start"
            ),
        ]


class Blackout(models.Model):
    """Days over [from_on, to_on) on which nobody may work at a property, and why."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="blackouts")
    from_on = models.DateField(_("from"))
    to_on = models.DateField(_("to, not included"))
    why = models.CharField(_("why"), max_length=120)
    history = History()

    class Meta:
        constraints = [ends_after_start("blackout_ends_after_it_starts")]
