"""Rounds: planned walks over chosen properties and stations, which come back by season or interval.

A round has visits, and a visit is a job. What of it is done is never ticked here: it is what was
recorded at its stations and timers, by any user.
"""

from datetime import date
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from faults.models.crew import Crew
from faults.models.job import Job
from faults.models.kind import JobKind
from faults.rounds.engines.turns import Repeats
from sites.models import Device, Property, Station
from sites.models.base import History, Referenced

# What a round may be for: the kinds of job that go from station to station without a fault.
PURPOSES = (
    JobKind.START_UP,
    JobKind.SHUT_DOWN,
    JobKind.WALK,
    JobKind.CHECK_UP,
    JobKind.BATTERIES,
    JobKind.BRING_HOME,
)
PURPOSE_CHOICES = [(kind.value, kind.label) for kind in PURPOSES]
REPEATS_CHOICES = [
    (Repeats.ONCE.value, _("once")),
    (Repeats.SEASON_START.value, _("each year with the property's start-up day")),
    (Repeats.SEASON_END.value, _("each year with the property's shut-down day")),
    (Repeats.INTERVAL.value, _("at an interval")),
]
MOST_DAYS = 180


class RoundQuerySet(models.QuerySet["Round"]):
    """Reads over rounds."""

    def running(self) -> Self:
        """Leave out those that have ended."""
        return self.filter(ended_on__isnull=True)


class Round(Referenced):
    """One purpose, its properties in the order of going, and when it comes back.

    A turn begins `days_before` its day and is to be done within `within_days`.
    """

    name = models.CharField(_("name"), max_length=80)
    purpose = models.CharField(_("what for"), max_length=20, choices=PURPOSE_CHOICES)
    repeats = models.CharField(
        _("repeats"), max_length=12, choices=REPEATS_CHOICES, default=Repeats.ONCE.value
    )
    # Of an interval: a recurrence rule as RFC 5545 writes it, such as FREQ=MONTHLY;INTERVAL=6.
    rule = models.CharField(_("interval"), max_length=80, blank=True)
    starts_on = models.DateField(_("first day"))
    days_before = models.PositiveIntegerField(_("begins so many days before"), default=0)
    within_days = models.PositiveIntegerField(_("to be done within, days"), default=14)
    minutes_each = models.PositiveIntegerField(_("minutes a station"), null=True, blank=True)
    crew = models.ForeignKey(
        Crew, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    notes = models.TextField(_("notes"), blank=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    ended_on = models.DateField(_("ended on"), null=True, blank=True)
    why_ended = models.CharField(_("why it ended"), max_length=200, blank=True)
    history = History()

    objects = RoundQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="round_has_a_rule_with_an_interval_only",
                condition=Q(repeats=Repeats.INTERVAL.value) & ~Q(rule="")
                | ~Q(repeats=Repeats.INTERVAL.value) & Q(rule=""),
            ),
            models.CheckConstraint(
                name="round_takes_some_days_at_most_half_a_year",
                condition=Q(within_days__range=(1, MOST_DAYS), days_before__lte=MOST_DAYS),
            ),
            models.CheckConstraint(
                name="round_minutes_above_0",
                condition=Q(minutes_each__isnull=True) | Q(minutes_each__gt=0),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def is_over(self, on: date) -> bool:
        """Whether it has ended by that day."""
        return self.ended_on is not None and self.ended_on <= on


class RoundStop(models.Model):
    """One property of a round, in the order of going; one taken out stays, with its day."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="stops")
    property = models.ForeignKey(Property, on_delete=models.PROTECT, related_name="+")
    number = models.PositiveIntegerField(_("order"))
    taken_out_on = models.DateField(_("taken out"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["round", "property"], name="round_goes_to_a_property_once"
            ),
        ]


class RoundStation(models.Model):
    """A chosen station of a stop; none = all that its purpose goes to when a visit is planned."""

    stop = models.ForeignKey(RoundStop, on_delete=models.CASCADE, related_name="chosen")
    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="+")
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["stop", "station"], name="round_station_chosen_once"),
        ]


class RoundVisit(Referenced):
    """One turn of a round at one property: the database holds that none is due twice."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="visits")
    property = models.ForeignKey(Property, on_delete=models.PROTECT, related_name="+")
    # Which turn: the year of a season, else the day on which it begins.
    turn = models.CharField(max_length=10)
    begins_on = models.DateField(_("begins"))
    due_on = models.DateField(_("due"))
    # None = there was nothing to go to there in that turn.
    job = models.OneToOneField(
        Job, on_delete=models.PROTECT, null=True, blank=True, related_name="round_visit"
    )
    history = History()

    class Meta:
        indexes = [models.Index(fields=["due_on", "round"], name="round_visit_by_day")]
        constraints = [
            models.UniqueConstraint(
                fields=["round", "property", "turn"], name="round_visit_planned_once_a_turn"
            ),
            models.CheckConstraint(
                name="round_visit_due_after_it_begins", condition=Q(due_on__gt=F("begins_on"))
            ),
        ]


class WhyLeft(models.TextChoices):
    """Why a station or a timer of a visit was left."""

    LOCKED = "locked", _("locked, no way in")
    NOT_FOUND = "not found", _("valve or timer not found")
    NO_WATER = "no water", _("no water or no power there")
    UNSAFE = "unsafe", _("not safe to reach")
    NO_TIME = "no time", _("no time left")
    OTHER = "other", _("another reason")


class LeftOut(models.Model):
    """A station or timer that a visit did not do, and why. What is recorded later goes before."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="left_out")
    station = models.ForeignKey(
        Station, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    device = models.ForeignKey(
        Device, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    why = models.CharField(_("why"), max_length=12, choices=WhyLeft)
    note = models.CharField(_("note"), max_length=200, blank=True)
    on = models.DateField(_("on"))
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    taken_back_on = models.DateField(_("taken back"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["job", "station"],
                name="station_left_out_once_per_job",
                condition=Q(station__isnull=False),
            ),
            models.UniqueConstraint(
                fields=["job", "device"],
                name="timer_left_out_once_per_job",
                condition=Q(device__isnull=False),
            ),
            models.CheckConstraint(
                name="left_out_is_one_station_or_one_timer",
                condition=Q(station__isnull=False, device__isnull=True)
                | Q(station__isnull=True, device__isnull=False),
            ),
        ]
