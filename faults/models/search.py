"""Searches: one attempt to find a break on one wire, its tests, and the numbers that it assumes."""

import uuid
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from faults.models.breaks import Break
from faults.models.fault import Fault
from faults.models.job import Job
from sites.models import Point, Station, Wire
from sites.models.base import History, Referenced


class SearchOutcome(models.TextChoices):
    """How a search ended."""

    FOUND = "found", _("found")
    GIVEN_UP = "given up", _("given up")
    NOT_THE_WIRE = "not the wire", _("not the wire")


class KindOfTest(models.TextChoices):
    """What was tried. What it said stands in `SearchReading.said`, in the engine's own terms."""

    BOX = "box", _("both sides of a splice")
    LISTENED = "listened", _("listened without cutting")
    TONE_WALKED = "tone walked", _("tone walked, nothing found")
    TONE_LEVEL = "tone level", _("level of the tone")
    DISTANCE = "distance", _("distance by instrument")
    BYPASS = "bypass", _("jumper round a leg")
    CHECK = "check", _("check of one cause")
    GRADIENT = "gradient", _("leak found in the ground")
    GRADIENT_WALKED = "gradient walked", _("leak sought, nothing found")
    CLAMP = "clamp", _("current by clamp")
    INSULATION = "insulation", _("insulation of both sides")
    SPARE = "spare", _("tried on a spare wire")
    VOLTS = "volts", _("volts at a splice, switched on")
    LOOKED = "looked", _("seen in an open box")
    OHMS = "ohms", _("ohms at the controller")
    MENDED = "mended", _("a part replaced, still dead")


class SearchTool(models.TextChoices):
    """What can be at hand besides a transmitter and its receiver."""

    DISTANCE = "distance", _("an instrument that reads distances")
    CLAMP = "clamp", _("a clamp for small currents")
    INSULATION = "insulation", _("an insulation tester")
    GRADIENT = "gradient", _("two probes for the ground")
    JUMPER = "jumper", _("a jumper wire")


class SearchQuerySet(models.QuerySet["Search"]):
    """Reads over searches."""

    def open(self) -> Self:
        """Keep those that go on."""
        return self.filter(ended_at__isnull=True)

    def finished(self) -> Self:
        """Keep those that came to an end."""
        return self.filter(ended_at__isnull=False)


class Search(Referenced):
    """One attempt to find the break on one wire.

    While it is open, the line is read from the register, so that a box found today counts at
    once. At its end `line`, `assumed` and `final` are kept as they stood: legs and settings
    change later. `final` = {"legs": {leg: p}, "splices": {point: p}, "outside": {cause: p}}.
    """

    # Made on the phone where the search was started without signal.
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    fault = models.ForeignKey(Fault, on_delete=models.PROTECT, related_name="searches")
    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="+")
    wire = models.ForeignKey(Wire, on_delete=models.PROTECT, null=True, related_name="+")
    job = models.ForeignKey(
        Job, on_delete=models.PROTECT, null=True, blank=True, related_name="searches"
    )
    started_at = models.DateTimeField(_("started"))
    ended_at = models.DateTimeField(_("ended"), null=True, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    soil_is_dry = models.BooleanField(_("the soil is dry"), default=False)
    # Words of `SearchTool`: what is on the vehicle besides a transmitter and its receiver.
    tools = models.JSONField(_("at hand"), default=list, blank=True)
    may_cut = models.BooleanField(_("wires that pass uncut may be cut"), default=True)
    # What the plan promised when the search began, and what it took.
    expected_minutes = models.FloatField(_("expected minutes"), null=True, blank=True)
    actual_minutes = models.PositiveIntegerField(_("minutes"), null=True, blank=True)
    outcome = models.CharField(_("outcome"), max_length=16, choices=SearchOutcome, blank=True)
    found = models.ForeignKey(
        Break, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # The cause outside the wire that was found, in the engine's words.
    found_outside = models.CharField(max_length=40, blank=True)
    why = models.CharField(_("why"), max_length=300, blank=True)
    engine_version = models.CharField(max_length=20, blank=True)
    assumed = models.JSONField(default=dict, blank=True)
    line = models.JSONField(default=dict, blank=True)
    final = models.JSONField(default=dict, blank=True)
    history = History(excluded_fields=["assumed", "line", "final"])

    objects = SearchQuerySet.as_manager()

    class Meta:
        verbose_name = _("search")
        indexes = [models.Index(fields=["fault", "started_at"], name="search_by_fault")]
        constraints = [
            models.UniqueConstraint(
                fields=["station"],
                name="search_open_once_per_station",
                condition=Q(ended_at__isnull=True),
            ),
            models.CheckConstraint(
                name="search_ends_after_it_starts",
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("started_at")),
            ),
            models.CheckConstraint(
                name="search_has_an_outcome_when_it_ends",
                condition=Q(ended_at__isnull=True, outcome="")
                | (Q(ended_at__isnull=False) & ~Q(outcome="")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.station}, {self.fault}"


class SearchReading(models.Model):
    """One test of a search and what it said. Voided, never deleted.

    `shown` is what the plan said just before: {"action": …, "minutes": …, "chance": …}, where
    `chance` is how likely this result was.
    """

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    search = models.ForeignKey(Search, on_delete=models.PROTECT, related_name="readings")
    kind = models.CharField(_("test"), max_length=16, choices=KindOfTest)
    # Where it was made; a run of which only the length is known has no points.
    point = models.ForeignKey(Point, on_delete=models.PROTECT, null=True, related_name="+")
    said = models.JSONField()
    taken_at = models.DateTimeField(_("taken"))
    entered_at = models.DateTimeField(_("entered"))
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    shown = models.JSONField(default=dict, blank=True)
    voided_at = models.DateTimeField(_("voided"), null=True, blank=True)
    why_voided = models.CharField(_("why voided"), max_length=200, blank=True)
    history = History(excluded_fields=["shown"])

    class Meta:
        indexes = [models.Index(fields=["search", "taken_at"], name="search_reading_in_order")]
        constraints = [
            models.CheckConstraint(
                name="search_reading_voided_with_a_reason",
                condition=Q(voided_at__isnull=True) | ~Q(why_voided=""),
            ),
        ]


class SearchNumber(models.Model):
    """A number that searches assume, as the company set it instead of the built-in one."""

    name = models.CharField(_("number"), max_length=40, unique=True)
    value = models.FloatField(_("value"))
    # Where it comes from, in the words of who set it: own measurements, a course, a guess.
    source = models.CharField(_("where it comes from"), max_length=200)
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(name="search_number_not_negative", condition=Q(value__gte=0)),
        ]

    def __str__(self) -> str:
        return self.name


class LearnedNumber(models.Model):
    """What the company's own finished searches say of a number; recomputed each day."""

    name = models.CharField(max_length=40, unique=True)
    learned = models.FloatField()
    # How many tests, minutes or faults it rests on.
    evidence = models.FloatField()
    searches = models.PositiveIntegerField()
    learned_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.name
