"""What pages count over whole properties, kept; decisions, goals, reports, programs told."""

from typing import Any, Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from reports.models.hooks import Delivery, Happened, Outcome, Receiver, WhyOff
from reports.models.issued import (
    LANGUAGES,
    Audience,
    Draft,
    Paper,
    Report,
    ReportChange,
    ReportFile,
    ReportKind,
    ReportSeen,
    ReportSeries,
    Rhythm,
)
from sites.models import Leg
from sites.models.base import History, Referenced

__all__ = [
    "LANGUAGES",
    "Audience",
    "Choice",
    "Decision",
    "Delivery",
    "Draft",
    "Goal",
    "Happened",
    "Outcome",
    "Paper",
    "PropertySummary",
    "Receiver",
    "RenewalCosts",
    "Report",
    "ReportChange",
    "ReportFile",
    "ReportKind",
    "ReportSeen",
    "ReportSeries",
    "Rhythm",
    "WhyOff",
]


class SummaryQuerySet(models.QuerySet["PropertySummary"]):
    """Reads over summaries."""

    def current(self) -> Self:
        """Keep those that nothing has touched since they were made."""
        return self.filter(made_of=F("touched"))


class PropertySummary(models.Model):
    """Derived figures of one property on one subject.

    Whatever they follow from raises `touched` in its own transaction. Figures are current while
    `made_of`, the value of `touched` that they were made of, is the same.
    """

    property = models.ForeignKey("sites.Property", on_delete=models.CASCADE, related_name="+")
    subject = models.CharField(max_length=20)
    touched = models.PositiveBigIntegerField(default=0)
    made_of = models.PositiveBigIntegerField(null=True)
    made_at = models.DateTimeField(null=True)
    figures: Any = models.JSONField(default=dict)
    # Long lists of numbers, which JSON would make slow to read.
    columns = models.BinaryField(default=b"")

    objects = SummaryQuerySet.as_manager()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["property", "subject"], name="summary_once_a_property_and_subject"
            ),
        )

    def __str__(self) -> str:
        return f"{self.subject} of {self.property_id}"


class Choice(models.TextChoices):
    """What was decided on a leg that keeps failing."""

    RENEW = "renew", _("renew it")
    NOT_NOW = "not now", _("not now: mend it as it breaks")
    GUARD = "guard", _("a guard against rodents")
    DEEPER = "deeper", _("lay it deeper")
    CONDUIT = "conduit", _("put it in conduit")
    ROOT_BARRIER = "root barrier", _("a root barrier")


class Decision(Referenced):
    """What was decided on a leg, by whom, why, and until when; the newest that stands holds.

    `shape` and `years_behind` are what was known of its faults a year on that day: later years
    are held against them. Money is in the currency of the property. None = not known then.
    """

    leg = models.ForeignKey(Leg, on_delete=models.PROTECT, related_name="+")
    choice = models.CharField(_("decided"), max_length=16, choices=Choice)
    why = models.CharField(_("why"), max_length=300)
    decided_on = models.DateField(_("decided on"))
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    look_again_on = models.DateField(_("look again on"), null=True, blank=True)
    shape = models.FloatField(null=True, editable=False)
    years_behind = models.FloatField(null=True, editable=False)
    fault_cost = models.FloatField(_("cost of one fault"), null=True, blank=True)
    renewal_cost = models.FloatField(_("cost of the work"), null=True, blank=True)
    chance_pays = models.FloatField(null=True, editable=False)
    taken_back_on = models.DateField(_("taken back on"), null=True, blank=True)
    why_taken_back = models.CharField(_("why taken back"), max_length=300, blank=True)
    history = History()

    class Meta:
        indexes = (models.Index(fields=["leg", "-decided_on"], name="decision_by_leg"),)
        constraints = (
            models.CheckConstraint(
                name="decision_looked_at_again_later",
                condition=Q(look_again_on__isnull=True) | Q(look_again_on__gt=F("decided_on")),
            ),
            models.CheckConstraint(
                name="decision_taken_back_with_its_reason",
                condition=Q(taken_back_on__isnull=True, why_taken_back="")
                | (Q(taken_back_on__isnull=False) & ~Q(why_taken_back="")),
            ),
            models.CheckConstraint(
                name="decision_costs_not_below_0",
                condition=(Q(fault_cost__isnull=True) | Q(fault_cost__gt=0))
                & (Q(renewal_cost__isnull=True) | Q(renewal_cost__gte=0)),
            ),
        )

    def __str__(self) -> str:
        return f"{self.leg}: {self.get_choice_display()}"


class RenewalCosts(Referenced):
    """What renewing a leg costs at a property; without one, at all that have none of their own.

    In the currency of the property. `per_foot` is of a trench; `per_foot_paved` below paving or a
    road, None = the same. `per_foot_ploughed` and `per_foot_pulled` are of laying by plough and of
    pulling through conduit, None = not done, or not known what it costs.
    """

    property = models.ForeignKey(
        "sites.Property", on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    per_foot = models.DecimalField(_("renewal, per foot"), max_digits=10, decimal_places=2)
    per_foot_paved = models.DecimalField(
        _("per foot below paving or a road"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    per_foot_ploughed = models.DecimalField(
        _("per foot laid by plough"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    per_foot_pulled = models.DecimalField(
        _("per foot pulled through conduit"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    fixed = models.DecimalField(_("once for each property"), max_digits=10, decimal_places=2)
    kept_on = models.DateField(_("kept on"))
    kept_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    history = History()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="renewal_costs_not_below_0",
                condition=Q(per_foot__gte=0, fixed__gte=0)
                & (Q(per_foot_paved__isnull=True) | Q(per_foot_paved__gte=0))
                & (Q(per_foot_ploughed__isnull=True) | Q(per_foot_ploughed__gte=0))
                & (Q(per_foot_pulled__isnull=True) | Q(per_foot_pulled__gte=0)),
            ),
            # Those of all properties count as some of a property with key 0.
            models.UniqueConstraint(
                Coalesce("property", 0), name="renewal_costs_one_at_a_property"
            ),
        )

    def __str__(self) -> str:
        return f"{self.property or '*'}: {self.per_foot}"


class Goal(Referenced):
    """At most this share of stations off central by a day; without a property, of all of them."""

    property = models.ForeignKey(
        "sites.Property", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    most_percent = models.FloatField(_("at most, percent"))
    by_on = models.DateField(_("by"))
    why = models.CharField(_("why"), max_length=300, blank=True)
    set_on = models.DateField(_("set on"))
    set_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    taken_back_on = models.DateField(_("taken back on"), null=True, blank=True)
    why_taken_back = models.CharField(_("why taken back"), max_length=300, blank=True)
    history = History()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="goal_percent_from_0_to_below_100",
                condition=Q(most_percent__gte=0, most_percent__lt=100),
            ),
            models.CheckConstraint(
                name="goal_day_after_it_is_set", condition=Q(by_on__gt=F("set_on"))
            ),
            models.CheckConstraint(
                name="goal_taken_back_with_its_reason",
                condition=Q(taken_back_on__isnull=True, why_taken_back="")
                | (Q(taken_back_on__isnull=False) & ~Q(why_taken_back="")),
            ),
            # That of all properties counts as one of a property with key 0.
            models.UniqueConstraint(
                Coalesce("property", 0),
                name="goal_one_stands_at_a_property",
                condition=Q(taken_back_on__isnull=True),
            ),
        )

    def __str__(self) -> str:
        return f"{self.property or '*'}: {self.most_percent:g} % {self.by_on}"
