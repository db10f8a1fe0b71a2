"""Programs that are told what happened, and all that was sent or is to be sent to them."""

from uuid import uuid4

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from reports.models.issued import Report
from sites.models import Client, Property, Station
from sites.models.base import History, Referenced


class Happened(models.TextChoices):
    """What a program may be told of; a test is sent by hand alone."""

    OFF_CENTRAL = "off_central", _("a station went off central control")
    RETURNED = "returned", _("a station is off central control no more")
    REPORT_ISSUED = "report_issued", _("a report was issued")
    TEST = "test", _("a test")


class WhyOff(models.TextChoices):
    """Why a program is told nothing."""

    BY_HAND = "by hand", _("switched off")
    GONE = "gone", _("switched off: it answered that it wants nothing any more (410)")


class Outcome(models.TextChoices):
    """What came of a try to send."""

    ACCEPTED = "accepted", _("accepted")
    STATUS = "status", _("it answered with an error")
    REDIRECT = "redirect", _("it sent us to another address, which is not followed")
    GONE = "gone", _("it wants nothing any more")
    TIMEOUT = "timeout", _("no answer in time")
    NO_CONNECTION = "no connection", _("no connection")
    NO_HTTP = "no http", _("what it answered is no HTTP")
    UNKNOWN_NAME = "unknown name", _("its name is not known")
    NOT_PUBLIC = "not public", _("its address is not a public one")
    NO_TLS = "no tls", _("its address does not begin with https://")
    CERTIFICATE = "certificate", _("its certificate is not trusted")
    NO_SECRET = "no secret", _("its secret cannot be read any more: make a new one")
    NO_RIGHT = "no right", _("who set it up does not see this any more")


class Receiver(Referenced):
    """The address of a program, and what it is told of: never more than its user sees.

    `kinds` holds values of `Happened`, with a space between them. The secret is sealed, so that
    the database alone signs nothing; it is left out of the history. After a new one the secret
    before it signs beside it until `before_until`.
    """

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(_("which program"), max_length=60)
    address = models.CharField(_("address"), max_length=500)
    kinds = models.CharField(_("what it is told of"), max_length=80)
    client = models.ForeignKey(
        Client, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    property = models.ForeignKey(
        Property, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    sealed_secret = models.TextField()
    sealed_before = models.TextField(blank=True)
    before_until = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField()
    off_at = models.DateTimeField(null=True, blank=True)
    why_off = models.CharField(max_length=8, choices=WhyOff.choices, blank=True)
    history = History(excluded_fields=["sealed_secret", "sealed_before"])

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="receiver_limited_to_a_client_or_a_property_not_both",
                condition=Q(client__isnull=True) | Q(property__isnull=True),
            ),
            models.CheckConstraint(
                name="receiver_secret_before_signs_until_a_time",
                condition=Q(before_until__isnull=True, sealed_before="")
                | (Q(before_until__isnull=False) & ~Q(sealed_before="")),
            ),
            models.CheckConstraint(
                name="receiver_switched_off_with_a_reason",
                condition=Q(off_at__isnull=True, why_off="")
                | (Q(off_at__isnull=False) & ~Q(why_off="")),
            ),
        )

    def __str__(self) -> str:
        return self.name

    def kind_set(self) -> frozenset[str]:
        """What it is told of, as a set."""
        return frozenset(self.kinds.split())

    def kind_labels(self) -> list[str]:
        """What it is told of in words, in the order of `Happened`."""
        return [str(kind.label) for kind in Happened if kind.value in self.kind_set()]


class Delivery(models.Model):
    """One thing that one program is told: written with the fact, sent afterwards.

    `key` and `body` are the same however often it is sent. The columns of the claim are those of
    `OutgoingMail`.
    """

    key = models.UUIDField(unique=True, default=uuid4, editable=False)
    receiver = models.ForeignKey(Receiver, on_delete=models.CASCADE, related_name="deliveries")
    kind = models.CharField(max_length=16, choices=Happened.choices)
    # What it is about; nothing for a test.
    station = models.ForeignKey(Station, on_delete=models.CASCADE, null=True, related_name="+")
    report = models.ForeignKey(Report, on_delete=models.PROTECT, null=True, related_name="+")
    body = models.TextField()
    made_at = models.DateTimeField()
    next_try_at = models.DateTimeField()
    claimed_until = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    tried_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    given_up_at = models.DateTimeField(null=True, blank=True)
    outcome = models.CharField(max_length=16, choices=Outcome.choices, blank=True)
    status = models.PositiveSmallIntegerField(null=True, blank=True)
    detail = models.CharField(max_length=200, blank=True)

    class Meta:
        indexes = (
            models.Index(
                fields=["next_try_at"],
                name="delivery_to_send",
                condition=Q(sent_at__isnull=True, given_up_at__isnull=True),
            ),
            models.Index(fields=["receiver", "-made_at"], name="delivery_by_receiver"),
        )
        constraints = (
            models.CheckConstraint(
                name="delivery_accepted_or_given_up_not_both",
                condition=Q(sent_at__isnull=True) | Q(given_up_at__isnull=True),
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind}: {self.key}"
