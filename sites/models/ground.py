"""The ground: points where wires can be reached, and the legs between them."""

from typing import Self

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from sites.models.base import History, Referenced
from sites.models.property import Property


class PointKind(models.TextChoices):
    """What kind of place a point is."""

    CONTROLLER = "controller", _("controller")
    SPLICE_BOX = "splice box", _("splice box")
    VALVE_BOX = "valve box", _("valve box")


class LengthSource(models.TextChoices):
    """How a length came to be known, best first."""

    MEASURED = "measured", _("measured")
    PACED = "paced", _("paced")
    SCALED = "scaled", _("scaled")
    GUESSED = "guessed", _("guessed")


class Cover(models.TextChoices):
    """What lies on top of a leg."""

    TURF = "turf", _("turf")
    PLANTING = "planting", _("planting")
    PAVING = "paving", _("paving")
    ROAD = "road", _("road")
    BARE = "bare", _("bare")


class Point(Referenced):
    """A place where wires can be reached."""

    property = models.ForeignKey(
        Property, on_delete=models.PROTECT, related_name="points", verbose_name=_("property")
    )
    name = models.CharField(_("point"), max_length=60)
    kind = models.CharField(_("kind"), max_length=16, choices=PointKind)
    latitude = models.FloatField(_("latitude"), null=True, blank=True)
    longitude = models.FloatField(_("longitude"), null=True, blank=True)
    # Where it stands on the property's own plan picture, in the picture's pixels.
    plan_x_px = models.FloatField(null=True, blank=True)
    plan_y_px = models.FloatField(null=True, blank=True)
    accuracy_ft = models.FloatField(_("accuracy, ft"), null=True, blank=True)
    lid = models.CharField(_("lid"), max_length=60, blank=True)
    depth_in = models.FloatField(_("depth, in"), null=True, blank=True)
    tie_1 = models.CharField(_("tie 1"), max_length=120, blank=True)
    tie_2 = models.CharField(_("tie 2"), max_length=120, blank=True)
    notes = models.TextField(_("notes"), blank=True)
    # False for points that the register implies and nobody has seen.
    is_surveyed = models.BooleanField(_("surveyed"), default=True)
    retired_on = models.DateField(_("retired on"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["property", "name"], name="point_named_once_per_property"
            ),
            models.CheckConstraint(
                name="point_has_both_coordinates_or_none",
                condition=Q(latitude__isnull=True, longitude__isnull=True)
                | Q(
                    latitude__isnull=False,
                    longitude__isnull=False,
                    latitude__range=(-90, 90),
                    longitude__range=(-180, 180),
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class LegQuerySet(models.QuerySet["Leg"]):
    """Reads over legs."""

    def in_ground(self) -> Self:
        """Leave out legs that were retired."""
        return self.filter(retired_on__isnull=True)

    def at(self, point: Point) -> Self:
        """Keep those that end at the point."""
        return self.filter(Q(from_point=point) | Q(to_point=point))


class Leg(Referenced):
    """A stretch of ground between two neighbouring points. It stays when wires change."""

    property = models.ForeignKey(
        Property, on_delete=models.PROTECT, related_name="legs", verbose_name=_("property")
    )
    label = models.CharField(_("leg"), max_length=60, blank=True)
    from_point = models.ForeignKey(
        Point, on_delete=models.PROTECT, related_name="legs_out", verbose_name=_("from point")
    )
    to_point = models.ForeignKey(
        Point, on_delete=models.PROTECT, related_name="legs_in", verbose_name=_("to point")
    )
    # Two legs may join the same two points: the running number tells them apart.
    running_number = models.PositiveSmallIntegerField(default=1)
    length_ft = models.FloatField(_("length, ft"))
    length_source = models.CharField(
        _("length source"), max_length=12, choices=LengthSource, default=LengthSource.GUESSED
    )
    depth_in = models.FloatField(_("depth, in"), null=True, blank=True)
    cover = models.CharField(_("cover"), max_length=12, choices=Cover, blank=True)
    in_conduit = models.BooleanField(_("in conduit"), null=True, blank=True)
    is_surveyed = models.BooleanField(_("surveyed"), default=True)
    notes = models.TextField(_("notes"), blank=True)
    observed_from = models.DateField(_("observed from"), null=True, blank=True)
    retired_on = models.DateField(_("retired on"), null=True, blank=True)
    # A leg split at a newly found box is retired, and its children say where in it they lie.
    split_from = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="children"
    )
    starts_at_ft = models.FloatField(_("starts at, ft"), null=True, blank=True)
    history = History()

    objects = LegQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["property", "label"],
                name="leg_labelled_once_per_property",
                condition=~Q(label=""),
            ),
            models.UniqueConstraint(
                fields=["from_point", "to_point", "running_number"],
                name="leg_between_two_points_numbered_once",
            ),
            models.CheckConstraint(name="leg_length_not_negative", condition=Q(length_ft__gte=0)),
            models.CheckConstraint(
                name="leg_joins_two_points", condition=~Q(from_point=F("to_point"))
            ),
        ]

    def __str__(self) -> str:
        return self.label or f"{self.from_point} to {self.to_point}"


class RenewalKind(models.TextChoices):
    """What was renewed on a leg; each starts a new count of faults."""

    CONDUIT = "new conduit", _("new conduit")
    CABLE = "new cable", _("new cable")
    GUARD = "guard", _("guard")
    DEEPER = "deeper", _("deeper")


class Renewal(models.Model):
    """Work on a leg that makes its past no guide to its future."""

    leg = models.ForeignKey(Leg, on_delete=models.CASCADE, related_name="renewals")
    on = models.DateField(_("on"))
    kind = models.CharField(_("kind"), max_length=16, choices=RenewalKind)
    notes = models.TextField(_("notes"), blank=True)
    history = History()
