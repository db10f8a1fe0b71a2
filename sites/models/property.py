"""Who pays, the sites under care, their contacts and their tariffs."""

import zoneinfo
from datetime import date, datetime
from typing import Self

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from sites.models.base import DatedQuerySet, History, Referenced, ends_after_start


class Units(models.TextChoices):
    """How a property's lengths and areas are shown; storage is always US."""

    US = "US", _("US")
    METRIC = "metric", _("metric")


class PriceUnit(models.TextChoices):
    """What a water price is for."""

    KGAL = "kgal", _("1,000 gallons")
    HCF = "HCF", _("100 cubic feet")
    M3 = "m3", _("cubic metre")


class ContactRole(models.TextChoices):
    """What a contact does for a property."""

    APPROVES = "approves", _("approves")
    PAYS = "pays", _("pays")
    ON_SITE = "on site", _("on site")
    KEY = "holds the key", _("holds the key")
    CENTRAL = "operates central", _("operates central")


class Client(Referenced):
    """Who pays for one or more properties."""

    name = models.CharField(_("name"), max_length=120, unique=True)
    notes = models.TextField(_("notes"), blank=True)
    history = History()

    def __str__(self) -> str:
        return self.name


class PropertyQuerySet(models.QuerySet["Property"]):
    """Reads over properties."""

    def in_care(self) -> Self:
        """Leave out those that were retired."""
        return self.filter(retired_on__isnull=True)


class Property(Referenced):
    """One site under care. People know it by its code."""

    code = models.CharField(_("property"), max_length=60, unique=True)
    # The full name, where it says more than the code by which people call the place.
    name = models.CharField(_("full name"), max_length=120, blank=True)
    client = models.ForeignKey(
        Client, on_delete=models.PROTECT, related_name="properties", verbose_name=_("client")
    )
    address = models.CharField(_("address"), max_length=200, blank=True)
    latitude = models.FloatField(_("latitude"), null=True, blank=True)
    longitude = models.FloatField(_("longitude"), null=True, blank=True)
    time_zone = models.CharField(_("time zone"), max_length=64, default="UTC")
    units = models.CharField(_("units"), max_length=8, choices=Units, default=Units.US)
    kind = models.CharField(_("kind of place"), max_length=60, blank=True)
    soil = models.CharField(_("soil"), max_length=60, blank=True)
    records_since = models.DateField(
        _("records since"),
        null=True,
        blank=True,
        help_text=_("From which day on would a fault here have been written down?"),
    )
    notice_region = models.CharField(_("notice region"), max_length=60, blank=True)
    # The shared table of evapotranspiration and rain; a table of the property's own goes first.
    climate_table = models.CharField(_("climate table"), max_length=60, blank=True)
    season_start = models.CharField(_("season starts (month-day)"), max_length=5, blank=True)
    season_end = models.CharField(_("season ends (month-day)"), max_length=5, blank=True)
    # The ground at the depth of the wires; empty = as the latitude makes it.
    ground_coldest_f = models.FloatField(_("coldest ground, °F"), null=True, blank=True)
    ground_warmest_f = models.FloatField(_("warmest ground, °F"), null=True, blank=True)
    notes = models.TextField(_("notes"), blank=True)
    # Days within which a new break near our own mend is ours to mend again. Common practice
    # agrees on a year or less; empty = not agreed.
    warranty_days = models.PositiveIntegerField(_("warranty, days"), null=True, blank=True)
    retired_on = models.DateField(_("retired on"), null=True, blank=True)
    history = History()

    objects = PropertyQuerySet.as_manager()

    class Meta:
        verbose_name = _("property")
        verbose_name_plural = _("properties")
        constraints = [
            models.CheckConstraint(
                name="property_latitude_on_the_globe",
                condition=Q(latitude__isnull=True) | Q(latitude__range=(-90, 90)),
            ),
            models.CheckConstraint(
                name="property_ground_has_both_ends_in_order",
                condition=Q(ground_coldest_f__isnull=True, ground_warmest_f__isnull=True)
                | Q(
                    ground_coldest_f__isnull=False,
                    ground_warmest_f__isnull=False,
                    ground_coldest_f__lte=models.F("ground_warmest_f"),
                ),
            ),
            models.CheckConstraint(
                name="property_longitude_on_the_globe",
                condition=Q(longitude__isnull=True) | Q(longitude__range=(-180, 180)),
            ),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def season(self) -> tuple[tuple[int, int], tuple[int, int]] | None:
        """(month, day) of start-up and of shut-down, or None where it waters all year."""
        if not (self.season_start and self.season_end):
            return None
        start, end = (
            tuple(int(piece) for piece in day.split("-"))
            for day in (self.season_start, self.season_end)
        )
        return (start[0], start[1]), (end[0], end[1])


def today_at(place: Property, at: datetime | None = None) -> date:
    """Return the day that it is at the property, now or at another moment."""
    return timezone.localdate(at, zoneinfo.ZoneInfo(place.time_zone))


class Contact(models.Model):
    """A person to call about a property. The role may be unknown."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="contacts")
    name = models.CharField(_("name"), max_length=120)
    role = models.CharField(_("role"), max_length=20, choices=ContactRole, blank=True)
    phone = models.CharField(_("phone"), max_length=40, blank=True)
    email = models.EmailField(_("e-mail"), blank=True)
    language = models.CharField(_("language"), max_length=8, blank=True)
    ended_on = models.DateField(_("ended on"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["property", "name", "role"], name="contact_named_once_per_role"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class StandingAuthority(models.Model):
    """What the client allows at a property without being asked, over [from_on, to_on)."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="authorities")
    from_on = models.DateField(_("from"))
    to_on = models.DateField(_("to"), null=True, blank=True)
    up_to_hours = models.DecimalField(
        _("up to hours"), max_digits=6, decimal_places=2, null=True, blank=True
    )
    up_to_amount = models.DecimalField(
        _("up to money"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    given_by = models.CharField(_("given by"), max_length=120)
    notes = models.TextField(_("notes"), blank=True)
    history = History()

    objects = DatedQuerySet.as_manager()

    class Meta:
        constraints = [
            ends_after_start("standing_authority_ends_after_it_starts"),
            models.CheckConstraint(
                name="standing_authority_has_a_limit",
                condition=Q(up_to_hours__isnull=False, up_to_hours__gt=0)
                | Q(up_to_amount__isnull=False, up_to_amount__gt=0),
            ),
        ]


class Tariff(models.Model):
    """What water and work cost at a property over [from_on, to_on)."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="tariffs")
    from_on = models.DateField(_("from"), null=True, blank=True)
    to_on = models.DateField(_("to"), null=True, blank=True)
    water_price = models.DecimalField(
        _("water price"), max_digits=10, decimal_places=4, null=True, blank=True
    )
    price_unit = models.CharField(_("per"), max_length=8, choices=PriceUnit, blank=True)
    labour_rate = models.DecimalField(
        _("labour rate per hour"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    standby_rate = models.DecimalField(
        _("standby rate per hour"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    history = History()

    objects = DatedQuerySet.as_manager()

    class Meta:
        constraints = [
            ends_after_start("tariff_ends_after_it_starts"),
            models.CheckConstraint(
                name="tariff_prices_not_negative",
                condition=(Q(water_price__isnull=True) | Q(water_price__gte=0))
                & (Q(labour_rate__isnull=True) | Q(labour_rate__gte=0))
                & (Q(standby_rate__isnull=True) | Q(standby_rate__gte=0)),
            ),
        ]
