"""Stations: one valve circuit each, the facts about it over days, and its schedules."""

from typing import Self

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from sites.models.base import DatedQuerySet, History, Referenced, ends_after_start
from sites.models.controller import Central, Controller
from sites.models.ground import Point


class StationKind(models.TextChoices):
    """What a station switches."""

    VALVE = "valve", _("valve")
    MASTER_VALVE = "master valve", _("master valve")
    PUMP_START = "pump start", _("pump start")


class StationQuerySet(models.QuerySet["Station"]):
    """Reads over stations."""

    def in_care(self) -> Self:
        """Leave out retired stations and those of retired controllers and properties."""
        return self.filter(
            retired_on__isnull=True,
            controller__retired_on__isnull=True,
            controller__property__retired_on__isnull=True,
        )

    def meant_for_central(self) -> Self:
        """Keep stations in care that are meant to be under central control."""
        return self.in_care().exclude(controller__central=Central.NOT_MEANT)


class Station(Referenced):
    """One valve circuit. It stays itself when it is renumbered."""

    controller = models.ForeignKey(
        Controller, on_delete=models.PROTECT, related_name="stations", verbose_name=_("controller")
    )
    number = models.PositiveIntegerField(_("station"))
    name = models.CharField(_("name"), max_length=120, blank=True)
    kind = models.CharField(
        _("kind"), max_length=16, choices=StationKind, default=StationKind.VALVE
    )
    valve_point = models.ForeignKey(
        Point,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="stations",
        verbose_name=_("valve point"),
    )
    # Where no legs are registered, the run from controller to valve is all that is known.
    run_length_ft = models.FloatField(_("run length, ft"), null=True, blank=True)
    wire_size = models.CharField(_("wire size"), max_length=16, blank=True)
    coil_ohms = models.FloatField(_("coil, ohms"), null=True, blank=True)
    # Two valves on one wire, alike or not. Empty: one coil, or nobody knows of another.
    second_coil_ohms = models.FloatField(_("second coil, ohms"), null=True, blank=True)
    depends_on = models.ForeignKey(
        "self",
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="dependants",
        verbose_name=_("depends on"),
    )
    notes = models.TextField(_("notes"), blank=True)
    retired_on = models.DateField(_("retired on"), null=True, blank=True)
    history = History()

    objects = StationQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["controller", "number"],
                name="station_numbered_once_per_controller",
                condition=Q(retired_on__isnull=True),
            ),
            models.CheckConstraint(
                name="station_does_not_depend_on_itself",
                condition=Q(depends_on__isnull=True) | ~Q(depends_on=F("id")),
            ),
            models.CheckConstraint(
                name="station_run_length_not_negative",
                condition=Q(run_length_ft__isnull=True) | Q(run_length_ft__gte=0),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.controller.name}:{self.number}"


class StationFacts(models.Model):
    """What a station waters, and how much it gives, over [from_on, to_on)."""

    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="facts")
    from_on = models.DateField(_("from"), null=True, blank=True)
    to_on = models.DateField(_("to"), null=True, blank=True)
    area_sqft = models.FloatField(_("area, sq ft"), null=True, blank=True)
    flow_gpm = models.FloatField(_("flow, gpm"), null=True, blank=True)
    precipitation_in_per_h = models.FloatField(_("precipitation rate, in/h"), null=True, blank=True)
    plant_kind = models.CharField(_("plant kind"), max_length=60, blank=True)
    plant_factor = models.FloatField(_("plant factor"), null=True, blank=True)
    efficiency = models.FloatField(_("efficiency"), null=True, blank=True)
    history = History()

    objects = DatedQuerySet.as_manager()

    class Meta:
        constraints = [
            ends_after_start("station_facts_end_after_they_start"),
            models.CheckConstraint(
                name="station_facts_not_negative",
                condition=(Q(area_sqft__isnull=True) | Q(area_sqft__gte=0))
                & (Q(flow_gpm__isnull=True) | Q(flow_gpm__gte=0))
                & (Q(precipitation_in_per_h__isnull=True) | Q(precipitation_in_per_h__gte=0))
                & (Q(plant_factor__isnull=True) | Q(plant_factor__gte=0)),
            ),
            models.CheckConstraint(
                name="station_efficiency_above_0_up_to_1",
                condition=Q(efficiency__isnull=True) | Q(efficiency__gt=0, efficiency__lte=1),
            ),
        ]


class RunBy(models.TextChoices):
    """Who runs a schedule."""

    CENTRAL = "central", _("central")
    CONTROLLER = "controller", _("controller")
    TIMER = "battery timer", _("battery timer")
    HAND = "hand", _("hand")


# What a broken wire keeps from the valve.
BY_CLOCK = frozenset({RunBy.CENTRAL.value, RunBy.CONTROLLER.value})


class Schedule(models.Model):
    """When a station waters over [from_on, to_on), by central control, a timer or by hand."""

    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="schedules")
    from_on = models.DateField(_("from"))
    to_on = models.DateField(_("to"), null=True, blank=True)
    run_by = models.CharField(_("run by"), max_length=16, choices=RunBy, blank=True)
    # "Mon Wed Fri" or "every 3", as typed by people and checked when entered.
    days = models.CharField(_("days"), max_length=40, blank=True)
    starts = models.CharField(_("starts"), max_length=80, blank=True)
    minutes = models.FloatField(_("minutes"))
    notes = models.TextField(_("notes"), blank=True)
    history = History()

    objects = DatedQuerySet.as_manager()

    class Meta:
        constraints = [
            ends_after_start("schedule_ends_after_it_starts"),
            models.CheckConstraint(
                name="schedule_minutes_not_negative", condition=Q(minutes__gte=0)
            ),
        ]
