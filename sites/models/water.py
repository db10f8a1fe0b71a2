"""Days without water, valves that stayed open, and what follows: the ledger and the meter."""

from typing import Any, Self

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from sites.models.base import DatedQuerySet, History, ends_after_start
from sites.models.station import Station
from sites.models.stopgap import Spell


class OutageKind(models.TextChoices):
    """Why a station got no water although its schedule says so."""

    DEAD_BATTERY = "dead battery", _("dead battery")
    SWITCHED_OFF = "switched off", _("switched off")
    WINTERISED = "winterised", _("emptied for winter")


class Outage(models.Model):
    """Days [from_on, to_on) on which nothing ran. Plants went on needing water."""

    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="outages")
    kind = models.CharField(_("why nothing ran"), max_length=16, choices=OutageKind)
    from_on = models.DateField(_("from"))
    to_on = models.DateField(_("to"), null=True, blank=True)
    notes = models.TextField(_("notes"), blank=True)
    history = History()

    objects = DatedQuerySet.as_manager()

    class Meta:
        constraints = [ends_after_start("outage_ends_after_it_starts")]


class StuckOpen(models.Model):
    """A valve that stayed open: an incident of its own, never part of a schedule's excess."""

    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="stuck_open")
    on = models.DateField(_("day"))
    hours = models.FloatField(_("hours"))
    notes = models.TextField(_("notes"), blank=True)
    withdrawn_on = models.DateField(_("taken back on"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="stuck_open_lasted_some_time", condition=Q(hours__gt=0, hours__lte=744)
            ),
        ]


class WaterMonth(models.Model):
    """The ledger: one station's water of the days of one month on which it was off central.

    Derived: `rebuild_water` recomputes it whenever an input changes. Empty figures
    are not known, and `lacks` says what is missing.
    """

    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="water")
    month = models.DateField(_("month"))
    days = models.PositiveSmallIntegerField(_("days"))
    applied_gal = models.FloatField(_("applied, gal"), null=True)
    needed_gal = models.FloatField(_("needed, gal"), null=True)
    excess_gal = models.FloatField(_("excess, gal"), null=True)
    shortfall_gal = models.FloatField(_("shortfall, gal"), null=True)
    cost = models.FloatField(_("cost of the excess"), null=True)
    lacks = models.CharField(max_length=80, blank=True)
    notes = models.CharField(max_length=80, blank=True)
    table = models.CharField(_("climate table"), max_length=60, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["station", "month"], name="water_month_once_per_station"
            ),
            models.CheckConstraint(
                name="water_month_known_or_says_what_it_lacks",
                condition=Q(excess_gal__isnull=False) | ~Q(lacks=""),
            ),
        ]


class MeterQuerySet(models.QuerySet[Any]):
    """Reads over meters."""

    def stale(self) -> Self:
        """Filter to the meters that have to be rebuilt."""
        return self.filter(counted_until__isnull=True)


class Meter(models.Model):
    """What one spell has cost so far: sums over its months of the ledger.

    The sums hold the months that are known, so that they are "at least" where some are not;
    they are empty where none is. `counted_until` is the first day that is not counted; empty =
    an input changed and the meter has to be rebuilt.
    """

    spell = models.OneToOneField(Spell, on_delete=models.CASCADE, related_name="meter")
    counted_until = models.DateField(null=True)
    months = models.PositiveSmallIntegerField()
    months_known = models.PositiveSmallIntegerField()
    months_priced = models.PositiveSmallIntegerField()
    applied_gal = models.FloatField(_("applied, gal"), null=True)
    needed_gal = models.FloatField(_("needed, gal"), null=True)
    excess_gal = models.FloatField(_("excess, gal"), null=True)
    shortfall_gal = models.FloatField(_("shortfall, gal"), null=True)
    cost = models.FloatField(_("cost of the excess"), null=True)
    month_excess_gal = models.FloatField(_("excess this month, gal"), null=True)
    month_cost = models.FloatField(_("cost this month"), null=True)
    lacks = models.CharField(max_length=80, blank=True)

    objects = MeterQuerySet.as_manager()

    @property
    def is_least(self) -> bool:
        """Whether its gallons are "at least": months not known, or an earlier first day."""
        return bool(self.months_known < self.months or not self.spell.from_is_exact)

    @property
    def cost_is_least(self) -> bool:
        """Whether its cost is "at least": months without a price too."""
        return bool(self.months_priced < self.months or not self.spell.from_is_exact)

    class Meta:
        indexes = [
            models.Index(
                fields=["counted_until"],
                name="meter_to_be_made_anew",
                condition=Q(counted_until__isnull=True),
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="meter_knows_no_more_months_than_there_are",
                condition=Q(months_known__lte=F("months"), months_priced__lte=F("months_known")),
            ),
        ]
