"""Climate: reference evapotranspiration and rain by month or day, each with its source."""

from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from sites.models.base import History
from sites.models.property import Property


class ClimateRow(models.Model):
    """One month, or one day, of one table. `table` is a property's code or a shared name.

    `year` is empty for a long-term mean of that calendar month.
    """

    table = models.CharField(_("table"), max_length=60)
    property = models.ForeignKey(
        Property, on_delete=models.CASCADE, null=True, blank=True, related_name="climate"
    )
    year = models.PositiveSmallIntegerField(_("year"), null=True, blank=True)
    month = models.PositiveSmallIntegerField(_("month"))
    day = models.PositiveSmallIntegerField(_("day"), null=True, blank=True)
    eto_in = models.FloatField(_("reference evapotranspiration, in"))
    rain_in = models.FloatField(_("rain, in"), null=True, blank=True)
    source = models.CharField(_("source"), max_length=200)
    # Of a day without sun, wind or humidity: worked out from temperatures alone.
    is_estimated = models.BooleanField(_("estimated from temperatures alone"), default=False)
    history = History()

    class Meta:
        constraints = [
            # SQLite knows no NULLS NOT DISTINCT, so an empty year or day is compared as 0.
            models.UniqueConstraint(
                "table",
                Coalesce("year", 0),
                "month",
                Coalesce("day", 0),
                name="climate_row_once_per_month_or_day",
            ),
            models.CheckConstraint(
                name="climate_month_in_the_year", condition=Q(month__range=(1, 12))
            ),
            models.CheckConstraint(
                name="climate_not_negative",
                condition=Q(eto_in__gte=0) & (Q(rain_in__isnull=True) | Q(rain_in__gte=0)),
            ),
        ]
