"""Wires: one conductor each, where it lies, what it does at a point, and what it serves."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from sites.models.base import DatedQuerySet, History, Referenced, ends_after_start
from sites.models.controller import Controller
from sites.models.ground import Leg, Point
from sites.models.property import Property
from sites.models.station import Station


class WireKind(models.TextChoices):
    """What a wire is for."""

    HOT = "hot", _("hot")
    COMMON = "common", _("common")
    SPARE = "spare", _("spare")


class Wire(Referenced):
    """One conductor of a property. `laid` is a window of days: often only a year is known."""

    property = models.ForeignKey(
        Property, on_delete=models.PROTECT, related_name="wires", verbose_name=_("property")
    )
    name = models.CharField(_("wire"), max_length=60)
    kind = models.CharField(_("kind"), max_length=8, choices=WireKind)
    colour = models.CharField(_("colour"), max_length=40, blank=True)
    size = models.CharField(_("size"), max_length=16, blank=True)
    cable = models.CharField(_("cable"), max_length=60, blank=True)
    laid_earliest = models.DateField(_("laid, earliest"), null=True, blank=True)
    laid_latest = models.DateField(_("laid, latest"), null=True, blank=True)
    retired_on = models.DateField(_("retired on"), null=True, blank=True)
    # Left in the ground and on no terminal: not retired, and not to be counted on.
    out_of_use_on = models.DateField(_("out of use since"), null=True, blank=True)
    is_suspected_broken = models.BooleanField(_("suspected broken"), default=False)
    legs: "models.ManyToManyField[Leg, WireLeg]" = models.ManyToManyField(
        Leg, through="WireLeg", related_name="wires"
    )
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["property", "name"], name="wire_named_once_per_property"
            ),
            ends_after_start("wire_laid_window_in_order", start="laid_earliest", end="laid_latest"),
        ]

    def __str__(self) -> str:
        return self.name


class WireLeg(models.Model):
    """A wire lies in a leg."""

    wire = models.ForeignKey(Wire, on_delete=models.CASCADE, related_name="lies")
    leg = models.ForeignKey(Leg, on_delete=models.PROTECT, related_name="holds")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["wire", "leg"], name="wire_lies_once_in_a_leg"),
        ]


class AtPoint(models.TextChoices):
    """What a wire does at a point; most hot wires pass most boxes uncut."""

    SPLICED = "spliced", _("spliced")
    PASSES = "passes uncut", _("passes uncut")
    ENDS = "ends", _("ends")
    NOT_KNOWN = "not known", _("not known")


class WireAtPoint(models.Model):
    """What one wire does at one point, where that is known."""

    wire = models.ForeignKey(Wire, on_delete=models.CASCADE, related_name="at_points")
    point = models.ForeignKey(Point, on_delete=models.PROTECT, related_name="wires_here")
    how = models.CharField(_("at the point"), max_length=16, choices=AtPoint)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["wire", "point"], name="wire_does_one_thing_at_a_point"
            ),
        ]


class Termination(models.Model):
    """Which controller terminal a wire is on over [from_on, to_on)."""

    wire = models.ForeignKey(Wire, on_delete=models.CASCADE, related_name="terminations")
    controller = models.ForeignKey(
        Controller, on_delete=models.PROTECT, related_name="terminations"
    )
    terminal = models.CharField(_("terminal"), max_length=16, blank=True)
    from_on = models.DateField(_("from"), null=True, blank=True)
    to_on = models.DateField(_("to"), null=True, blank=True)
    history = History()

    objects = DatedQuerySet.as_manager()

    class Meta:
        constraints = [ends_after_start("termination_ends_after_it_starts")]


class Feed(models.Model):
    """Which station a wire serves over [from_on, to_on). Two stations on one wire: doubled."""

    wire = models.ForeignKey(Wire, on_delete=models.CASCADE, related_name="feeds")
    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="feeds")
    from_on = models.DateField(_("from"), null=True, blank=True)
    to_on = models.DateField(_("to"), null=True, blank=True)
    history = History()

    objects = DatedQuerySet.as_manager()

    class Meta:
        constraints = [
            ends_after_start("feed_ends_after_it_starts"),
            models.UniqueConstraint(
                fields=["station"],
                name="feed_station_has_one_wire_at_a_time",
                condition=Q(to_on__isnull=True),
            ),
            models.CheckConstraint(
                name="feed_lasts_a_day",
                condition=Q(to_on__isnull=True)
                | Q(from_on__isnull=True)
                | Q(to_on__gt=F("from_on")),
            ),
        ]
