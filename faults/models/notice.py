"""Notices: the request to have underground utilities marked, its rule, and who has answered."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from faults.models.fault import Fault
from faults.models.job import Job
from sites.models import Property
from sites.models.base import History, Referenced


class ClosedDays(Referenced):
    """A set of days on which a one-call centre does not count."""

    name = models.CharField(_("name"), max_length=60, unique=True)
    country = models.CharField(_("country"), max_length=2, blank=True)
    subdivision = models.CharField(_("state or region"), max_length=8, blank=True)
    weekend = models.CharField(
        _("weekend"), max_length=7, default="56", help_text=_("0 = Monday to 6 = Sunday")
    )
    history = History()

    def __str__(self) -> str:
        return self.name


class ClosedDay(models.Model):
    """One day of a set; `is_closed` is ticked by the user who asked the centre."""

    of = models.ForeignKey(ClosedDays, on_delete=models.CASCADE, related_name="days")
    on = models.DateField(_("day"))
    name = models.CharField(_("name"), max_length=120)
    is_closed = models.BooleanField(_("closed"), default=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["of", "on"], name="closed_day_once_per_set"),
        ]


class WaitUnit(models.TextChoices):
    """The three clocks."""

    WORKING_DAY = "working day", _("working days")
    HOUR = "hour", _("hours outside closed days")
    CALENDAR_DAY = "calendar day", _("calendar days")


class LifeFrom(models.TextChoices):
    """From when a ticket's life is counted."""

    NOTICE = "notice", _("the day of notice")
    START = "start", _("the start of work")


class NoticeRule(Referenced):
    """A region's rule as data: a default for planning, never the law. Unconfirmed, it blocks."""

    region = models.CharField(_("region"), max_length=60, unique=True)
    source_url = models.CharField(_("source"), max_length=300, blank=True)
    source_date = models.DateField(_("source read on"), null=True, blank=True)
    confirmed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    confirmed_on = models.DateField(_("confirmed on"), null=True, blank=True)
    wait_n = models.PositiveSmallIntegerField(_("wait"))
    wait_unit = models.CharField(_("counted in"), max_length=12, choices=WaitUnit)
    count_notice_day = models.BooleanField(_("the day of notice counts"), default=False)
    closed_day_starts_next = models.BooleanField(
        _("a notice on a closed day counts as given on the next working day"), default=True
    )
    day_start = models.TimeField(_("the centre's day starts"))
    day_end = models.TimeField(_("the centre's day ends"))
    closed_days = models.ForeignKey(
        ClosedDays, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    max_ahead_n = models.PositiveSmallIntegerField(_("at most ahead"), null=True, blank=True)
    max_ahead_unit = models.CharField(
        _("counted in"), max_length=12, choices=WaitUnit, default=WaitUnit.CALENDAR_DAY
    )
    life_n = models.PositiveSmallIntegerField(_("a ticket holds"), null=True, blank=True)
    life_unit = models.CharField(
        _("counted in"), max_length=12, choices=WaitUnit, default=WaitUnit.CALENDAR_DAY
    )
    life_from = models.CharField(
        _("counted from"), max_length=8, choices=LifeFrom, default=LifeFrom.START
    )
    # How many of the ticket's days before its last one to ask for a new one.
    renew_before_n = models.PositiveSmallIntegerField(_("renew before the end"), default=0)
    # Some hour clocks say by the clock when a notice of a Saturday clears.
    saturday_clears_at = models.TimeField(
        _("a notice on a Saturday clears on the second working day at"), null=True, blank=True
    )
    tolerance_in = models.FloatField(_("hand tools within, in"), null=True, blank=True)
    needs_positive_response = models.BooleanField(
        _("every operator must have answered"), default=True
    )
    text_note = models.TextField(_("note"), blank=True)
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="notice_rule_confirmed_with_its_day",
                condition=Q(confirmed_by__isnull=True) | Q(confirmed_on__isnull=False),
            ),
            models.CheckConstraint(
                name="notice_rule_day_ends_after_it_starts",
                condition=Q(day_end__gt=F("day_start")),
            ),
            models.CheckConstraint(
                name="notice_rule_waits_for_something", condition=Q(wait_n__gt=0)
            ),
        ]

    def __str__(self) -> str:
        return self.region


class Notice(Referenced):
    """One ticket. Its own printed days, where typed in, override all that is computed."""

    property = models.ForeignKey(
        Property, on_delete=models.PROTECT, related_name="+", verbose_name=_("property")
    )
    fault = models.ForeignKey(
        Fault, on_delete=models.PROTECT, null=True, blank=True, related_name="notices"
    )
    rule = models.ForeignKey(
        NoticeRule, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    ticket = models.CharField(_("ticket number"), max_length=40)
    given_at = models.DateTimeField(_("given"))
    area = models.CharField(_("where the dig is"), max_length=200, blank=True)
    proposed_start_on = models.DateField(_("proposed start"))
    printed_start_on = models.DateField(_("printed: work may start"), null=True, blank=True)
    printed_expiry_on = models.DateField(_("printed: runs out"), null=True, blank=True)
    cancelled_on = models.DateField(_("cancelled"), null=True, blank=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["property", "ticket"], name="notice_ticket_once_per_property"
            ),
            models.CheckConstraint(
                name="notice_printed_expiry_after_start",
                condition=Q(printed_start_on__isnull=True)
                | Q(printed_expiry_on__isnull=True)
                | Q(printed_expiry_on__gte=F("printed_start_on")),
            ),
        ]

    def __str__(self) -> str:
        return self.ticket


class OperatorState(models.TextChoices):
    """What one operator has said."""

    WAITING = "waiting", _("no answer yet")
    MARKED = "marked", _("marked")
    NOTHING_HERE = "nothing here", _("nothing here")
    NEEDS_TIME = "needs time", _("needs more time")


class OperatorAnswer(models.Model):
    """Who must answer a notice, and what was answered."""

    notice = models.ForeignKey(Notice, on_delete=models.CASCADE, related_name="operators")
    operator = models.CharField(_("operator"), max_length=80)
    state = models.CharField(
        _("answer"), max_length=12, choices=OperatorState, default=OperatorState.WAITING
    )
    answered_on = models.DateField(_("answered"), null=True, blank=True)
    notes = models.CharField(_("notes"), max_length=200, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["notice", "operator"], name="notice_names_an_operator_once"
            ),
        ]


class DigOverride(models.Model):
    """The owner's reasoned word that one job may dig although a gate says no. It is kept."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="overrides")
    reason = models.TextField(_("why"))
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    at = models.DateTimeField()
    taken_back_on = models.DateField(_("taken back"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(name="dig_override_gives_a_reason", condition=~Q(reason="")),
        ]
