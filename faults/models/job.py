"""Jobs: planned visits, what they need, and what they cost."""

from decimal import Decimal
from typing import Any, Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from faults.models.crew import HIGHEST_SKILL, LOWEST_SKILL, SKILL_CHOICES, Crew
from faults.models.fault import Fault
from faults.models.kind import JobKind, kind_facts
from faults.models.price import CHARGE_CHOICES
from faults.prices.engines.pricing import amount_of
from sites.models import Device, Picture, Property, Station
from sites.models.base import History, Referenced

USER = settings.AUTH_USER_MODEL


class JobState(models.TextChoices):
    """How far a visit has come."""

    PLANNED = "planned", _("planned")
    STARTED = "started", _("started")
    DONE = "done", _("done")
    WITHDRAWN = "withdrawn", _("withdrawn")


class HeldFor(models.TextChoices):
    """Whom or what a job waits for that no other record says."""

    WEATHER = "weather", _("the weather")
    PARTS = "parts", _("parts")
    ACCESS = "access", _("access")


PRIORITY_CHOICES = [
    (1, _("1: when it fits")),
    (2, _("2: soon")),
    (3, _("3: first")),
    (4, _("4: now")),
]
OPEN_JOB_STATES = [JobState.PLANNED.value, JobState.STARTED.value]


class JobQuerySet(models.QuerySet["Job"]):
    """Reads over jobs."""

    def open(self) -> Self:
        """Keep those that are planned or under way."""
        return self.filter(state__in=OPEN_JOB_STATES)

    def assigned(self) -> Self:
        """Keep those with a crew and a day."""
        return self.filter(crew__isnull=False, day__isnull=False)


class Job(Referenced):
    """One visit to a property. It is clear who goes only when crew and day are set."""

    property = models.ForeignKey(
        Property, on_delete=models.PROTECT, related_name="+", verbose_name=_("property")
    )
    kind = models.CharField(_("kind"), max_length=20, choices=JobKind)
    state = models.CharField(_("state"), max_length=12, choices=JobState, default=JobState.PLANNED)
    fault = models.ForeignKey(
        Fault, on_delete=models.PROTECT, null=True, blank=True, related_name="jobs"
    )
    stations = models.ManyToManyField(Station, related_name="+", blank=True)
    devices = models.ManyToManyField(Device, related_name="+", blank=True)
    crew = models.ForeignKey(
        Crew, on_delete=models.PROTECT, null=True, blank=True, related_name="jobs"
    )
    day = models.DateField(_("day"), null=True, blank=True)
    starts_at = models.TimeField(_("starts at"), null=True, blank=True)
    is_locked = models.BooleanField(_("locked"), default=False)
    expected_minutes = models.PositiveIntegerField(_("expected minutes"))
    actual_minutes = models.PositiveIntegerField(_("actual minutes"), null=True, blank=True)
    skill_needed = models.PositiveSmallIntegerField(
        _("skill needed"), choices=SKILL_CHOICES, default=1
    )
    people_needed = models.PositiveSmallIntegerField(_("people needed"), default=1)
    # As its kind says when it is planned; a kind that changes takes its planned jobs along.
    opens_ground = models.BooleanField(_("ground is opened"), default=False, editable=False)
    priority = models.PositiveSmallIntegerField(_("priority"), choices=PRIORITY_CHOICES, default=2)
    # Who took over what was proposed, or set another against it, and why; empty = nobody did.
    priority_by = models.ForeignKey(USER, models.SET_NULL, null=True, blank=True, related_name="+")
    priority_why = models.CharField(_("why this priority"), max_length=200, blank=True)
    priority_overrules = models.BooleanField(_("set against what is proposed"), default=False)
    earliest_on = models.DateField(_("not before"), null=True, blank=True)
    due_on = models.DateField(_("not after"), null=True, blank=True)
    equipment = models.TextField(_("equipment"), blank=True)
    parts_needed = models.TextField(_("parts needed"), blank=True)
    parts_ready = models.BooleanField(_("parts are on the vehicle"), default=False)
    batteries_ready = models.BooleanField(_("batteries are on the vehicle"), default=False)
    planned_depth_in = models.FloatField(_("planned depth, in"), null=True, blank=True)
    # Values of `Situation` (faults/work/engines/safety.py): what is around the hole, as ticked.
    situations = models.JSONField(_("around the hole"), default=list, blank=True)
    soaked_on = models.DateField(_("soil soaked on"), null=True, blank=True)
    rod_depth_in = models.FloatField(_("a rod goes down, in"), null=True, blank=True)
    held_for = models.CharField(_("held for"), max_length=10, choices=HeldFor, blank=True)
    held_since = models.DateField(_("held since"), null=True, blank=True)
    notes = models.TextField(_("notes"), blank=True)
    # Where it is not the one of its fault.
    order_number = models.CharField(_("the client's order number"), max_length=60, blank=True)
    split_from = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="parts"
    )
    started_at = models.DateTimeField(_("started"), null=True, blank=True)
    ended_at = models.DateTimeField(_("ended"), null=True, blank=True)
    why_withdrawn = models.CharField(_("why withdrawn"), max_length=200, blank=True)
    # Counts the changes that a calendar must learn of (RFC 5545, 3.8.7.4).
    sequence = models.PositiveIntegerField(default=0, editable=False)
    history = History()
    # Man-minutes by what was done, as people were entered; read by `visits_made`, None = nobody.
    there: dict[str, int] | None = None

    objects = JobQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["day", "crew"], name="job_by_day_and_crew"),
            models.Index(fields=["property", "state"], name="job_by_property_and_state"),
        ]
        constraints = [
            models.CheckConstraint(
                name="job_expects_some_minutes", condition=Q(expected_minutes__gt=0)
            ),
            models.CheckConstraint(name="job_needs_somebody", condition=Q(people_needed__gt=0)),
            models.CheckConstraint(
                name="job_skill_of_the_scale",
                condition=Q(skill_needed__range=(LOWEST_SKILL, HIGHEST_SKILL)),
            ),
            models.CheckConstraint(
                name="job_priority_of_the_scale", condition=Q(priority__range=(1, 4))
            ),
            models.CheckConstraint(
                name="job_locked_only_when_assigned",
                condition=Q(is_locked=False) | Q(crew__isnull=False, day__isnull=False),
            ),
            models.CheckConstraint(
                name="job_start_only_on_a_day",
                condition=Q(starts_at__isnull=True) | Q(day__isnull=False),
            ),
            models.CheckConstraint(
                name="job_due_after_earliest",
                condition=Q(earliest_on__isnull=True)
                | Q(due_on__isnull=True)
                | Q(due_on__gte=models.F("earliest_on")),
            ),
            models.CheckConstraint(
                name="job_depth_above_0",
                condition=(Q(planned_depth_in__isnull=True) | Q(planned_depth_in__gt=0)),
            ),
            models.CheckConstraint(
                name="job_held_for_something_since_a_day",
                condition=Q(held_for="", held_since__isnull=True)
                | (~Q(held_for="") & Q(held_since__isnull=False)),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.property.code}"

    def digs(self) -> bool:
        """Whether ground is opened on this visit."""
        return self.opens_ground

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Take over from the kind, once, whether ground is opened."""
        if self._state.adding:
            self.opens_ground = kind_facts(self.kind).opens_ground
        super().save(*args, **kwargs)


class LineKind(models.TextChoices):
    """What one line of a job is for."""

    TIME = "time", _("time")
    PARTS = "parts", _("parts")
    STANDBY = "standby", _("standing by")


class LineBasis(models.TextChoices):
    """Who pays for a line."""

    BILLABLE = "billable", _("billable")
    WARRANTY = "warranty", _("warranty")
    CONTRACT = "contract", _("within the contract")
    DAMAGE = "damage", _("a third party, for damage")


NOT_CHARGED = (LineBasis.WARRANTY.value, LineBasis.CONTRACT.value)


class JobLineQuerySet(models.QuerySet["JobLine"]):
    """Reads over lines of jobs."""

    def standing(self) -> Self:
        """Leave out those that were struck out."""
        return self.filter(removed_on__isnull=True)


class JobLine(models.Model):
    """One line of a job for any book-keeping. Money is rounded once, at the end of the line."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="lines")
    kind = models.CharField(_("kind"), max_length=8, choices=LineKind)
    basis = models.CharField(
        _("who pays"), max_length=8, choices=LineBasis, default=LineBasis.BILLABLE
    )
    on = models.DateField(_("on"))
    what = models.CharField(_("what"), max_length=200)
    # What was done, by which it is priced; empty where nobody said it.
    charge = models.CharField(
        _("what is charged"), max_length=10, choices=CHARGE_CHOICES, blank=True
    )
    quantity = models.DecimalField(_("quantity"), max_digits=10, decimal_places=4)
    unit = models.CharField(_("unit"), max_length=12)
    unit_price = models.DecimalField(
        _("price per unit"), max_digits=10, decimal_places=4, null=True, blank=True
    )
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    # A line that was wrong stands struck out; it counts nowhere.
    removed_on = models.DateField(_("struck out"), null=True, blank=True)
    history = History()

    objects = JobLineQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["on", "job"], name="job_line_by_day")]
        constraints = [
            models.CheckConstraint(name="job_line_quantity_above_0", condition=Q(quantity__gt=0)),
            models.CheckConstraint(
                name="job_line_price_not_negative",
                condition=Q(unit_price__isnull=True) | Q(unit_price__gte=0),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.what}, {self.on}"

    @property
    def amount(self) -> Decimal | None:
        """Money of the line to the cent, half up; None where no price is known."""
        if self.unit_price is None:
            return None
        return amount_of(self.quantity, self.unit_price)

    @property
    def charged(self) -> Decimal | None:
        """Money that anybody is asked for: none for warranty and contract work."""
        return Decimal("0.00") if self.basis in NOT_CHARGED else self.amount


class JobPhoto(Picture):
    """A photo that belongs to a visit."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="photos")
    history = History()


class SafetyAnswer(models.Model):
    """What was answered to one prompt of a dig: who looked, what stands, and when."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="safety")
    prompt = models.CharField(max_length=40)
    answer = models.CharField(_("answer"), max_length=200)
    by = models.ForeignKey(USER, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField()
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["job", "prompt"], name="safety_prompt_answered_once_per_job"
            ),
            models.CheckConstraint(name="safety_answer_says_something", condition=~Q(answer="")),
        ]


class LimitOverride(models.Model):
    """A reasoned word that one job may start although the client's limit is used up. It is kept."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="beyond_limit")
    reason = models.TextField(_("why"))
    by = models.ForeignKey(USER, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField()
    taken_back_on = models.DateField(_("taken back"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(name="limit_override_gives_a_reason", condition=~Q(reason="")),
        ]
