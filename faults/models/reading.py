"""Readings: measurements on a wire, at a point. Voided, never deleted."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from sites.models import Point, Station, Wire
from sites.models.base import History


class ReadingKind(models.TextChoices):
    """What was measured. The unit is in the value's meaning: ohms, volts AC, megohms."""

    OHMS = "ohms", _("ohms")
    VOLTS = "volts", _("volts")
    INSULATION = "insulation", _("insulation, megohms")
    DISTANCE = "distance", _("distance to the fault")
    LOOP = "loop", _("bring-home test, ohms")


class Reading(models.Model):
    """One measurement. It keeps the wire that it was taken on."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="+")
    wire = models.ForeignKey(Wire, on_delete=models.PROTECT, null=True, related_name="+")
    point = models.ForeignKey(Point, on_delete=models.PROTECT, null=True, related_name="+")
    taken_on = models.DateField(_("taken"))
    taken_at_time = models.TimeField(_("at"), null=True, blank=True)
    kind = models.CharField(_("kind"), max_length=12, choices=ReadingKind)
    value = models.FloatField(_("value"))
    is_loaded = models.BooleanField(_("loaded"), null=True, blank=True)
    # The first reading after a new coil: what was read before says nothing of it.
    is_new_coil = models.BooleanField(_("first with a new coil"), default=False)
    temperature_f = models.FloatField(_("temperature, °F"), null=True, blank=True)
    taken_by = models.CharField(_("by"), max_length=60, blank=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # Of a bring-home test: the coil across which it was read, None = its two wires were joined; and
    # whether they read open before, None = nobody looked.
    across_ohms = models.FloatField(_("across a coil of, ohms"), null=True, blank=True)
    is_open_apart = models.BooleanField(_("open before they were joined"), null=True, blank=True)
    # Of a distance: the method, its standard error and what it rests on, in words.
    notes = models.CharField(_("notes"), max_length=300, blank=True)
    voided_on = models.DateField(_("voided"), null=True, blank=True)
    why_voided = models.CharField(_("why voided"), max_length=200, blank=True)
    history = History()

    class Meta:
        indexes = [
            models.Index(fields=["station", "kind", "taken_on"], name="reading_by_station_and_day"),
        ]
        constraints = [
            models.CheckConstraint(name="reading_not_negative", condition=Q(value__gte=0)),
        ]


class WalkResult(models.TextChoices):
    """What a station did as seen at its valve, without a meter."""

    WORKS = "works", _("works")
    DEAD = "does not", _("does not")
    TIMER = "on timer", _("on timer")


class WalkNote(models.Model):
    """One station seen on a walk on one day."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="+")
    seen_on = models.DateField(_("seen"))
    result = models.CharField(_("result"), max_length=12, choices=WalkResult)
    note = models.CharField(_("note"), max_length=200, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    history = History()

    class Meta:
        indexes = [models.Index(fields=["station", "seen_on"], name="walk_note_by_station")]
        constraints = [
            models.UniqueConstraint(
                fields=["station", "seen_on"], name="walk_note_once_per_station_and_day"
            ),
        ]
