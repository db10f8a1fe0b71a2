"""What falls due: rules as data, follow-ups, and how people learn of them."""

from datetime import date
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from faults.models.fault import Fault
from faults.models.job import Job
from faults.models.notice import Notice
from sites.models import Controller, Device, Property, Station, Stopgap
from sites.models.base import History, Referenced


class FollowUpKind(models.TextChoices):
    """Why something falls due. The last one is raised by hand only."""

    BATTERY = "battery", _("change a battery set")
    SPELL_LONG = "spell too long", _("off central for longer than agreed")
    RETEST_FIRST = "first re-test", _("test again after mending")
    RETEST_SECOND = "second re-test", _("test a second time after mending")
    SETTLE = "settle", _("look at the filled hole and the turf")
    SOAK = "soak", _("soak the soil before a dig")
    NOTICE_CLEAR = "notice clear", _("digging may start")
    NOTICE_RUNS_OUT = "notice runs out", _("a notice runs out")
    CHASE_CLIENT = "chase the client", _("ask the client again")
    CHECK_UP = "check-up", _("yearly wire check-up")
    DISABLE_IN_CENTRAL = "disable in central", _("disable the station in central's schedule")
    PROMISE_SLIPS = "promise slips", _("a promise slips")
    STAYS_ON = "stays on", _("stop the water of a station that stays on")
    VISIT_SLIPS = "visit slips", _("a promised visit slips")
    CENTRAL_DIFFERS = "central differs", _("central and the register differ")
    BY_HAND = "by hand", _("noted by hand")


class FollowUpRule(models.Model):
    """One company's choice for one kind: on or off, and after or before how many days."""

    kind = models.CharField(_("kind"), max_length=20, choices=FollowUpKind, unique=True)
    is_on = models.BooleanField(_("on"), default=True)
    days = models.PositiveIntegerField(_("days"))
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="follow_up_rule_is_not_by_hand", condition=~Q(kind=FollowUpKind.BY_HAND)
            ),
        ]

    def __str__(self) -> str:
        return self.get_kind_display()


class FollowUpState(models.TextChoices):
    """How a follow-up stands. "Lapsed": what raised it is gone, so no action is due."""

    OPEN = "open", _("open")
    DONE = "done", _("done")
    LAPSED = "lapsed", _("no longer needed")


class FollowUpQuerySet(models.QuerySet["FollowUp"]):
    """Reads over follow-ups."""

    def open(self) -> Self:
        """Filter to those that still have to be done."""
        return self.filter(state=FollowUpState.OPEN)

    def due(self, *, today: date) -> Self:
        """Keep open ones whose day has come."""
        return self.open().filter(due_on__lte=today)


class FollowUp(Referenced):
    """Something to do on a day. `cause` names what raised it, so that a rule raises it once."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="+")
    kind = models.CharField(_("kind"), max_length=20, choices=FollowUpKind)
    cause = models.CharField(max_length=80, blank=True, editable=False)
    what = models.CharField(_("what"), max_length=200, blank=True)
    due_on = models.DateField(_("due"))
    station = models.ForeignKey(
        Station, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    controller = models.ForeignKey(
        Controller, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    device = models.ForeignKey(
        Device, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    stopgap = models.ForeignKey(
        Stopgap, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    fault = models.ForeignKey(
        Fault, on_delete=models.CASCADE, null=True, blank=True, related_name="follow_ups"
    )
    job = models.ForeignKey(
        Job, on_delete=models.CASCADE, null=True, blank=True, related_name="follow_ups"
    )
    notice = models.ForeignKey(
        Notice, on_delete=models.CASCADE, null=True, blank=True, related_name="follow_ups"
    )
    handed_to = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    state = models.CharField(
        _("state"), max_length=8, choices=FollowUpState, default=FollowUpState.OPEN
    )
    done_on = models.DateField(_("done on"), null=True, blank=True)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    note = models.CharField(_("note"), max_length=200, blank=True)
    # The day by the rule itself; a day that a person moved is theirs, and stays.
    ruled_on = models.DateField(null=True, blank=True, editable=False)
    raised_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    sequence = models.PositiveIntegerField(default=0, editable=False)
    history = History()

    objects = FollowUpQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["state", "due_on"], name="follow_up_by_state_and_day"),
            models.Index(fields=["property", "state"], name="follow_up_by_property"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "cause"], name="follow_up_raised_once", condition=~Q(cause="")
            ),
            models.CheckConstraint(
                name="follow_up_done_with_its_day",
                condition=~Q(state=FollowUpState.DONE) | Q(done_on__isnull=False),
            ),
            models.CheckConstraint(
                name="follow_up_by_hand_says_what",
                condition=~Q(kind=FollowUpKind.BY_HAND) | ~Q(what=""),
            ),
        ]

    def __str__(self) -> str:
        return self.what or self.get_kind_display()


class CalendarLink(models.Model):
    """A secret address under which one user's calendar reads jobs and follow-ups.

    Only a hash of the secret is kept: who reads the database cannot read calendars.
    """

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    secret_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_read_at = models.DateTimeField(null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["user"],
                name="calendar_link_one_in_force_per_user",
                condition=Q(revoked_at__isnull=True),
            ),
        ]


class DigestChoice(models.Model):
    """Whether a user wants the daily mail, and at which hour in the user's own zone."""

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+"
    )
    is_wanted = models.BooleanField(_("send me what is due every day"), default=True)
    at_hour = models.PositiveSmallIntegerField(_("at which hour"), default=6)
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(name="digest_hour_of_a_day", condition=Q(at_hour__lte=23)),
        ]
