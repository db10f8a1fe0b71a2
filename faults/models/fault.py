"""Faults, the stations they stop, and every move of stage."""

from typing import ClassVar, Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from faults.cases.engines.stages import CLOSED, HowReturned, Stage
from sites.models import Property, Station
from sites.models.base import History, Referenced


class Symptom(models.TextChoices):
    """What the trouble looks like before anyone digs."""

    OPEN = "open", _("open circuit")
    SHORT = "short", _("short")
    LEAK = "leak to earth", _("leak to earth")
    LOW_VOLTAGE = "low voltage", _("low voltage")
    COMES_AND_GOES = "comes and goes", _("comes and goes")
    STAYS_ON = "stays on", _("stays on")
    RUNS_WITH = "runs with another", _("runs with another")
    SEVERAL_WEAK = "several weak", _("several weak")
    NOT_KNOWN = "not known", _("not known")


# With these a station of the fault waters: it is not one that does not run.
STILL_RUN = (Symptom.STAYS_ON.value, Symptom.RUNS_WITH.value)
# Before these are over nobody has mended anything.
UNMENDED_STAGES = [
    Stage.REPORTED.value,
    Stage.SCHEDULED.value,
    Stage.FOUND.value,
    Stage.AGREED.value,
]


class Answer(models.TextChoices):
    """What the caller or the first visit says of one question."""

    YES = "yes", _("yes")
    NO = "no", _("no")
    NOT_TRIED = "not tried", _("not tried")


class CauseSide(models.TextChoices):
    """On which side the trouble lies. Outside the wire, nothing is searched along it."""

    WIRE = "wire", _("the wire")
    VALVE = "valve or water", _("valve or water")
    ELSEWHERE = "elsewhere", _("neither wire nor valve")


OUTSIDE = frozenset({CauseSide.VALVE.value, CauseSide.ELSEWHERE.value})


STAGE_CHOICES = [
    (Stage.REPORTED.value, _("reported")),
    (Stage.SCHEDULED.value, _("scheduled")),
    (Stage.FOUND.value, _("found")),
    (Stage.AGREED.value, _("agreed")),
    (Stage.MENDED.value, _("mended")),
    (Stage.PROVEN.value, _("proven")),
    (Stage.RETURNED.value, _("returned")),
    (Stage.GIVEN_UP.value, _("given up")),
    (Stage.WITHDRAWN.value, _("withdrawn")),
]

HOW_RETURNED_CHOICES = [
    (HowReturned.MENDED.value, _("mended")),
    (HowReturned.SPARE.value, _("moved to a spare wire")),
    (HowReturned.NEW_WIRE.value, _("new wire")),
    (HowReturned.LINKED.value, _("controller linked again")),
    (HowReturned.DOUBLED.value, _("doubled with a neighbour")),
    (HowReturned.SURFACE.value, _("surface wire")),
]

CLOSED_STAGES = [stage.value for stage in Stage if stage in CLOSED]


class FaultQuerySet(models.QuerySet["Fault"]):
    """Reads over faults."""

    def open(self) -> Self:
        """Keep faults with a station that is not yet returned, given up or withdrawn."""
        return self.exclude(stage__in=CLOSED_STAGES)


class Fault(Referenced):
    """One case of trouble on one or more stations of a property."""

    property = models.ForeignKey(
        Property, on_delete=models.PROTECT, related_name="+", verbose_name=_("property")
    )
    key = models.CharField(_("fault"), max_length=60, blank=True)
    reported_on = models.DateField(_("reported"))
    symptom = models.CharField(
        _("symptom"), max_length=20, choices=Symptom, default=Symptom.NOT_KNOWN
    )
    # Which other one it comes on with, where the symptom says that, and somebody saw which.
    runs_with = models.ForeignKey(
        Station,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("comes on with"),
    )
    # The least advanced stage of its stations, kept by the services.
    stage = models.CharField(
        _("stage"), max_length=12, choices=STAGE_CHOICES, default=Stage.REPORTED.value
    )
    summary = models.TextField(_("summary"), blank=True)
    caller = models.CharField(_("caller"), max_length=120, blank=True)
    # By which day the client was told that someone comes.
    promised_on = models.DateField(_("promised by"), null=True, blank=True)
    # On that very day, between which times somebody begins there; both or neither.
    promised_from = models.TimeField(_("promised from"), null=True, blank=True)
    promised_until = models.TimeField(_("promised until"), null=True, blank=True)
    opens_by_hand = models.CharField(
        _("valve opens by hand"), max_length=12, choices=Answer, blank=True
    )
    others_run = models.CharField(
        _("others on the same main or common run"), max_length=12, choices=Answer, blank=True
    )
    cause_side = models.CharField(
        _("side of the cause"), max_length=16, choices=CauseSide, blank=True
    )
    cause_outside = models.CharField(_("cause outside the wire"), max_length=200, blank=True)
    # By which the client finds its own order on the bill.
    order_number = models.CharField(_("the client's order number"), max_length=60, blank=True)
    # As agreed with the client, where we were too late or too dear: part of what the fault cost.
    penalty = models.DecimalField(
        _("paid to the client"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    closed_on = models.DateField(_("closed"), null=True, blank=True)
    history = History()

    # What only who sees prices reads in its history.
    for_few: ClassVar[tuple[str, ...]] = ("penalty",)

    objects = FaultQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["property", "stage"], name="fault_by_property_and_stage"),
            models.Index(fields=["reported_on"], name="fault_by_day_reported"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["property", "key"],
                name="fault_key_once_per_property",
                condition=~Q(key=""),
            ),
            models.CheckConstraint(
                name="fault_runs_with_only_by_its_symptom",
                condition=Q(runs_with__isnull=True) | Q(symptom=Symptom.RUNS_WITH.value),
            ),
            models.CheckConstraint(
                name="fault_penalty_not_below_0",
                condition=Q(penalty__isnull=True) | Q(penalty__gte=0),
            ),
            models.CheckConstraint(
                name="fault_promised_after_reported",
                condition=Q(promised_on__isnull=True) | Q(promised_on__gte=models.F("reported_on")),
            ),
            models.CheckConstraint(
                name="fault_promised_hours_of_a_promised_day",
                condition=Q(promised_from__isnull=True, promised_until__isnull=True)
                | Q(promised_on__isnull=False, promised_until__gt=models.F("promised_from")),
            ),
            models.CheckConstraint(
                name="fault_closed_after_reported",
                condition=Q(closed_on__isnull=True) | Q(closed_on__gte=models.F("reported_on")),
            ),
            models.CheckConstraint(
                name="fault_closed_day_only_when_closed",
                condition=Q(closed_on__isnull=True) | Q(stage__in=CLOSED_STAGES),
            ),
        ]

    def __str__(self) -> str:
        return self.key or self.ref

    def symptom_words(self) -> str:
        """Return the symptom, and which other station it is about, where that is known."""
        words = str(self.get_symptom_display())
        return f"{words} ({self.runs_with})" if self.runs_with else words

    def promised_hours(self) -> str:
        """Return between which times somebody was promised to begin; empty where none were."""
        since, until = self.promised_from, self.promised_until
        return f"{since:%H:%M}–{until:%H:%M}" if since and until else ""

    def wastes_water(self) -> bool:
        """Whether a station of it waters, cannot be stopped, and nobody has mended it yet."""
        return self.symptom == Symptom.STAYS_ON and self.stage in UNMENDED_STAGES

    def is_outside_the_wire(self) -> bool:
        """Whether the cause lies with valve, water or anything but the wire."""
        return self.cause_side in OUTSIDE


class FaultStation(models.Model):
    """One station of a fault: it has a stage of its own, and a way in which it came back."""

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="stations")
    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="+")
    stage = models.CharField(
        _("stage"), max_length=12, choices=STAGE_CHOICES, default=Stage.REPORTED.value
    )
    how_returned = models.CharField(
        _("how returned"), max_length=28, choices=HOW_RETURNED_CHOICES, blank=True
    )
    accepted_by_client_on = models.DateField(_("accepted by the client on"), null=True, blank=True)
    # On which day central's operator was asked to enable the station again.
    enable_asked_on = models.DateField(_("asked to enable it on"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["fault", "station"], name="fault_names_a_station_once"),
            models.CheckConstraint(
                name="fault_station_how_returned_only_when_returned",
                condition=Q(how_returned="") | Q(stage=Stage.RETURNED.value),
            ),
        ]


class StageMove(models.Model):
    """One move of one station of a fault. Rows are added and never changed."""

    fault_station = models.ForeignKey(FaultStation, on_delete=models.CASCADE, related_name="moves")
    from_stage = models.CharField(max_length=12, choices=STAGE_CHOICES, blank=True)
    to_stage = models.CharField(max_length=12, choices=STAGE_CHOICES)
    on = models.DateField(_("on"), null=True, blank=True)
    moved_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    why = models.CharField(_("why"), max_length=200, blank=True)

    class Meta:
        indexes = [
            models.Index(fields=["fault_station", "moved_at"], name="stage_move_in_order"),
        ]
        constraints = [
            models.CheckConstraint(
                name="stage_move_changes_the_stage", condition=~Q(from_stage=models.F("to_stage"))
            ),
        ]
