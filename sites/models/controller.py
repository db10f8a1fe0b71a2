"""Controllers ("clocks") and, over days, whether central control reaches them."""

from typing import Self

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from sites.models.base import DatedQuerySet, History, Referenced, ends_after_start
from sites.models.property import Property


class Wiring(models.TextChoices):
    """How a controller reaches its valves."""

    PER_STATION = "one wire per station", _("one wire per station")
    TWO_WIRE = "two-wire path", _("two-wire path")


class Central(models.TextChoices):
    """Whether central control reaches a controller."""

    LINKED = "linked", _("linked")
    LINK_LOST = "link lost", _("link lost")
    NOT_KNOWN = "not known", _("not known")
    NOT_MEANT = "not meant to be linked", _("not meant to be linked")


class ControllerQuerySet(models.QuerySet["Controller"]):
    """Reads over controllers."""

    def in_care(self) -> Self:
        """Leave out those that were retired."""
        return self.filter(retired_on__isnull=True)


class Controller(Referenced):
    """The clock that switches 24 VAC to its stations. It stays itself when renewed."""

    property = models.ForeignKey(
        Property, on_delete=models.PROTECT, related_name="controllers", verbose_name=_("property")
    )
    name = models.CharField(_("controller"), max_length=60)
    station_count = models.PositiveIntegerField(_("stations it can switch"), null=True, blank=True)
    output_volts = models.FloatField(_("output volts"), null=True, blank=True)
    transformer_va = models.FloatField(_("transformer VA"), null=True, blank=True)
    wiring = models.CharField(
        _("wiring"), max_length=24, choices=Wiring, default=Wiring.PER_STATION
    )
    # The state that holds today, kept equal to the open row of `states` by the services.
    central = models.CharField(
        _("central"), max_length=24, choices=Central, default=Central.NOT_KNOWN
    )
    latitude = models.FloatField(_("latitude"), null=True, blank=True)
    longitude = models.FloatField(_("longitude"), null=True, blank=True)
    notes = models.TextField(_("notes"), blank=True)
    retired_on = models.DateField(_("retired on"), null=True, blank=True)
    history = History()

    objects = ControllerQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["property", "name"], name="controller_named_once_per_property"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Equipment(models.Model):
    """What stands in a controller's place over [from_on, to_on); the controller stays itself."""

    controller = models.ForeignKey(Controller, on_delete=models.CASCADE, related_name="equipment")
    from_on = models.DateField(_("from"), null=True, blank=True)
    to_on = models.DateField(_("to"), null=True, blank=True)
    label = models.CharField(_("what it is"), max_length=120)
    serial = models.CharField(_("serial number"), max_length=60, blank=True)
    notes = models.TextField(_("notes"), blank=True)
    history = History()

    objects = DatedQuerySet.as_manager()

    class Meta:
        constraints = [ends_after_start("equipment_ends_after_it_starts")]


class CentralState(models.Model):
    """How central control reached a controller over [from_on, to_on)."""

    controller = models.ForeignKey(Controller, on_delete=models.CASCADE, related_name="states")
    state = models.CharField(_("central"), max_length=24, choices=Central)
    from_on = models.DateField(_("from"), null=True, blank=True)
    from_is_exact = models.BooleanField(_("first day is known"), default=True)
    to_on = models.DateField(_("to"), null=True, blank=True)
    notes = models.TextField(_("notes"), blank=True)
    history = History()

    objects = DatedQuerySet.as_manager()

    class Meta:
        constraints = [
            ends_after_start("central_state_ends_after_it_starts"),
            models.CheckConstraint(
                name="central_state_lost_link_has_a_first_day",
                condition=~Q(state=Central.LINK_LOST) | Q(from_on__isnull=False),
            ),
            models.CheckConstraint(
                name="central_state_lasts_a_day",
                condition=Q(to_on__isnull=True)
                | Q(from_on__isnull=True)
                | Q(to_on__gt=F("from_on")),
            ),
        ]
