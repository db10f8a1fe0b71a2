"""Breaks: found places of damage."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from faults.models.fault import Fault
from sites.models import Leg, Point, Wire
from sites.models.base import History, Referenced


class Cause(models.TextChoices):
    """What broke the wire."""

    RODENT = "rodent", _("rodent")
    SHOVEL = "shovel", _("shovel")
    ROOT = "root", _("root")
    ROCK = "rock", _("rock")
    SPLICE = "splice", _("splice")
    CORROSION = "corrosion", _("corrosion")
    TRENCHING = "trenching", _("trenching")
    LIGHTNING = "lightning", _("lightning")
    AGE = "age", _("age")
    VALVE = "valve or water", _("valve or water")
    NOT_KNOWN = "not known", _("not known")


class Damage(models.TextChoices):
    """How far the damage went."""

    CUT = "cut", _("cut")
    NICK = "nick", _("nick")


class Break(Referenced):
    """One found place of damage. A trench cut through many wires is one break."""

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="breaks")
    running_number = models.PositiveSmallIntegerField(default=1)
    leg = models.ForeignKey(
        Leg,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("leg"),
    )
    feet_along = models.FloatField(_("feet along"), null=True, blank=True)
    # The end of the leg that the feet were taken from; empty = the leg's own first point.
    from_point = models.ForeignKey(
        Point,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("from point"),
    )
    found_on = models.DateField(_("found"), null=True, blank=True)
    depth_in = models.FloatField(_("depth, in"), null=True, blank=True)
    cause = models.CharField(_("cause"), max_length=16, choices=Cause, default=Cause.NOT_KNOWN)
    damage = models.CharField(_("cut or nick"), max_length=8, choices=Damage, blank=True)
    wires = models.ManyToManyField(Wire, related_name="+", verbose_name=_("wires"))
    latitude = models.FloatField(_("latitude"), null=True, blank=True)
    longitude = models.FloatField(_("longitude"), null=True, blank=True)
    mended_on = models.DateField(_("mended"), null=True, blank=True)
    how_mended = models.CharField(_("how mended"), max_length=200, blank=True)
    warranty_until = models.DateField(_("warranty until"), null=True, blank=True)
    liable_party = models.CharField(_("liable party"), max_length=120, blank=True)
    notice_number = models.CharField(_("notice number"), max_length=60, blank=True)
    who_was_on_site = models.CharField(_("who was on site"), max_length=200, blank=True)
    notes = models.TextField(_("notes"), blank=True)
    history = History()

    class Meta:
        verbose_name = _("break")
        constraints = [
            models.UniqueConstraint(
                fields=["fault", "running_number"], name="break_numbered_once_per_fault"
            ),
            models.CheckConstraint(
                name="break_feet_along_not_negative",
                condition=Q(feet_along__isnull=True) | Q(feet_along__gte=0),
            ),
            models.CheckConstraint(
                name="break_feet_need_a_leg",
                condition=Q(feet_along__isnull=True) | Q(leg__isnull=False),
            ),
            models.CheckConstraint(
                name="break_mended_after_found",
                condition=Q(mended_on__isnull=True)
                | Q(found_on__isnull=True)
                | Q(mended_on__gte=models.F("found_on")),
            ),
        ]

    def __str__(self) -> str:
        place = str(self.leg) if self.leg else self.get_cause_display()
        return f"{place}, {self.found_on}" if self.found_on else place
