"""Reports as issued: numbered, kept unchangeable with their files and the data behind them."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from faults.models import Fault, Round
from sites.models import Client, Property, Units
from sites.models.base import History, Referenced


class ReportKind(models.TextChoices):
    """What a report is about."""

    PROPERTY = "property", _("a property over a period")
    CLIENT = "client", _("all properties of a client over a period")
    OWNER = "owner", _("the owner's quarter")
    PROOF = "proof", _("proof of the work on a fault")
    DAMAGE = "damage", _("evidence of damage by others")
    ROUND = "round", _("what was done on a round")


class Paper(models.TextChoices):
    """On what paper it is set."""

    LETTER = "letter", _("Letter")
    A4 = "a4", _("A4")


class Audience(models.TextChoices):
    """Who reads it."""

    CLIENT = "client", _("the client")
    US = "us", _("ourselves")


LANGUAGES = [("en", _("English")), ("es", _("Spanish"))]

# One kind of report is about one kind of thing; of a round one tells what it was at a property,
# at those of a client, or, for ourselves, everywhere.
_ABOUT_ONE = Q(round__isnull=True) & (
    Q(
        kind=ReportKind.PROPERTY,
        property__isnull=False,
        client__isnull=True,
        fault__isnull=True,
    )
    | Q(kind=ReportKind.CLIENT, client__isnull=False, property__isnull=True, fault__isnull=True)
    | Q(kind=ReportKind.OWNER, client__isnull=True, property__isnull=True, fault__isnull=True)
    | Q(
        kind__in=[ReportKind.PROOF, ReportKind.DAMAGE],
        fault__isnull=False,
        property__isnull=False,
        client__isnull=True,
    )
) | (
    Q(kind=ReportKind.ROUND, round__isnull=False, fault__isnull=True)
    & (Q(property__isnull=True) | Q(client__isnull=True))
    & (Q(property__isnull=False) | Q(client__isnull=False) | ~Q(audience=Audience.CLIENT))
)


class _Asked(Referenced):
    """What a report was asked for: about what, in which words, for whom."""

    kind = models.CharField(_("report"), max_length=10, choices=ReportKind)
    property = models.ForeignKey(
        Property, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    client = models.ForeignKey(
        Client, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    fault = models.ForeignKey(
        Fault, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    round = models.ForeignKey(
        Round, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    language = models.CharField(_("language"), max_length=8, choices=LANGUAGES)
    units = models.CharField(_("units"), max_length=8, choices=Units)
    paper = models.CharField(_("paper"), max_length=8, choices=Paper)
    audience = models.CharField(_("for whom"), max_length=8, choices=Audience)
    shows_prices = models.BooleanField(_("with money"), default=False)

    class Meta:
        abstract = True


class _Period(models.Model):
    """The first and the last day of what a report says."""

    from_on = models.DateField(_("from"))
    until_on = models.DateField(_("until"))

    class Meta:
        abstract = True


class Draft(_Asked, _Period):
    """A report that was put together and is not issued yet: it may be thrown away."""

    title = models.CharField(max_length=200)
    # The document as `sites.documents` writes it, and how often each property was touched by then.
    document: Any = models.JSONField()
    state: Any = models.JSONField(default=dict)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    # On whose desk it lies; the version that it would stand beside; the rule that made it.
    desk = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    again_of = models.ForeignKey(
        "reports.Report", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    series = models.ForeignKey(
        "reports.ReportSeries", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        constraints = (
            models.CheckConstraint(name="draft_is_about_one_thing", condition=_ABOUT_ONE),
            models.CheckConstraint(
                name="draft_ends_after_it_starts", condition=Q(until_on__gte=F("from_on"))
            ),
            models.UniqueConstraint(
                fields=["series", "from_on"],
                name="draft_once_a_series_and_period",
                condition=Q(series__isnull=False),
            ),
        )

    def __str__(self) -> str:
        return self.title


class Report(_Asked, _Period):
    """A report as issued. The database refuses to change or delete it.

    `made_at` is when its data was read, `state` how often each property had been touched by then,
    `data_sha256` the hash of `document` as canonical JSON.
    """

    number = models.PositiveIntegerField()
    version = models.PositiveSmallIntegerField(default=1)
    title = models.CharField(max_length=200)
    document: Any = models.JSONField()
    data_sha256 = models.CharField(max_length=64)
    state: Any = models.JSONField(default=dict)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    series = models.ForeignKey(
        "reports.ReportSeries", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        indexes = (
            models.Index(fields=["property", "-issued_at"], name="report_by_property"),
            models.Index(fields=["client", "-issued_at"], name="report_by_client"),
        )
        constraints = (
            models.UniqueConstraint(fields=["number", "version"], name="report_numbered_once"),
            models.CheckConstraint(name="report_is_about_one_thing", condition=_ABOUT_ONE),
            models.CheckConstraint(
                name="report_ends_after_it_starts", condition=Q(until_on__gte=F("from_on"))
            ),
        )

    def __str__(self) -> str:
        return f"R-{self.number:05d}" + (f"/{self.version}" if self.version > 1 else "")


class ReportFile(models.Model):
    """A file of a report, held in the database, which refuses to change or delete it.

    Photos are copies: hiding or turning one later leaves what was handed out.
    """

    report = models.ForeignKey(Report, on_delete=models.PROTECT, related_name="files")
    name = models.CharField(max_length=40)
    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()
    content = models.BinaryField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["report", "name"], name="report_file_named_once"),
        )

    def __str__(self) -> str:
        return f"{self.report_id}: {self.name}"


class ReportChange(models.Model):
    """What a report would say otherwise today of its own period: facts were corrected since.

    `changes` is a list of [section, what, as issued, now], in the language of the report; empty
    where nothing differs. `compared_of` = how often the properties of a report on many had been
    touched when it was compared last.
    """

    report = models.OneToOneField(Report, on_delete=models.PROTECT, related_name="change")
    first_seen_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(null=True)
    compared_at = models.DateTimeField()
    compared_of = models.BigIntegerField(null=True)
    changes: Any = models.JSONField(default=list)

    def __str__(self) -> str:
        return f"{self.report_id}: {len(self.changes)}"


class ReportSeen(models.Model):
    """Who opened a report, when for the first time."""

    report = models.ForeignKey(Report, on_delete=models.PROTECT, related_name="seen")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    first_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["report", "user"], name="report_seen_first_once"),
        )

    def __str__(self) -> str:
        return f"{self.report_id}: {self.user_id}"


class Rhythm(models.TextChoices):
    """How often a series is due."""

    MONTHLY = "monthly", _("each month")
    QUARTERLY = "quarterly", _("each quarter")


class ReportSeries(_Asked):
    """A report that is made by itself after each period, laid on a desk, and mailed when issued."""

    rhythm = models.CharField(_("how often"), max_length=10, choices=Rhythm)
    desk = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        related_name="+",
        verbose_name=_("whose desk it goes to"),
    )
    mail_to = models.CharField(_("mailed to"), max_length=500, blank=True)
    # The first day of the period that is made next.
    next_from_on = models.DateField(_("first period"))
    ended_on = models.DateField(_("ended on"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = (
            models.CheckConstraint(name="series_is_about_one_thing", condition=_ABOUT_ONE),
        )

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.get_rhythm_display()}"
