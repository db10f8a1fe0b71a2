"""Quotes of a fault: versions, options, lines, private links, and what was answered."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from faults.models.asked import Asked
from faults.models.evidence import FaultPhoto
from faults.models.fault import Fault
from faults.models.price import CHARGE_CHOICES
from faults.prices.engines.pricing import amount_of, sum_of
from faults.quotes.engines.quoting import OptionKind, Total, total_of
from sites.models.base import History, Referenced

OPTION_CHOICES = [
    (OptionKind.SEARCH.value, _("search, up to a limit")),
    (OptionKind.WE_DIG.value, _("we dig and mend")),
    (OptionKind.YOU_DIG.value, _("you dig, we stand by and mend")),
    (OptionKind.MACHINE.value, _("a machine digs, we mend")),
    (OptionKind.OTHER_WIRE.value, _("new wire or a spare one, no dig at the fault")),
    (OptionKind.TIMER.value, _("leave it on a timer")),
]


class QuotePurpose(models.TextChoices):
    """What is quoted."""

    SEARCH = "search", _("the search")
    DIG = "dig", _("what was found")


class Quote(Referenced):
    """One version of a quote. It is never changed: another depth makes another version."""

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="quotes")
    version = models.PositiveSmallIntegerField(_("version"))
    purpose = models.CharField(_("for"), max_length=8, choices=QuotePurpose)
    made_on = models.DateField(_("made on"))
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    valid_until = models.DateField(_("valid until"))
    currency = models.CharField(_("currency"), max_length=3)
    tax_percent = models.DecimalField(
        _("tax, percent"), max_digits=6, decimal_places=3, null=True, blank=True
    )
    found = models.TextField(_("what was found"), blank=True)
    # What the client sees; nothing else of the property is shown.
    photos = models.ManyToManyField(FaultPhoto, related_name="+", blank=True)
    # The depth that was priced; another one found since asks for another version.
    depth_in = models.FloatField(_("depth, in"), null=True, blank=True)
    # What was filled in, to make the next version from it.
    facts = models.JSONField(default=dict)
    # What the figures rest on: names of sentences with their figures.
    assumptions = models.JSONField(default=list)
    withdrawn_on = models.DateField(_("withdrawn"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["fault", "version"], name="quote_version_once_per_fault"
            ),
            models.CheckConstraint(
                name="quote_valid_on_its_own_day", condition=Q(valid_until__gte=F("made_on"))
            ),
            models.CheckConstraint(name="quote_names_its_currency", condition=~Q(currency="")),
        ]

    def __str__(self) -> str:
        return f"{self.fault}-{self.version}"


class QuoteOption(models.Model):
    """One of the things that the client can choose."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="options")
    kind = models.CharField(_("option"), max_length=12, choices=OPTION_CHOICES)
    hours = models.DecimalField(_("man-hours"), max_digits=12, decimal_places=6)
    # On a timer: what a month costs in water; empty = not known.
    month_cost = models.DecimalField(
        _("cost of a month"), max_digits=12, decimal_places=2, null=True, blank=True
    )
    month_is_least = models.BooleanField(default=False)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["quote", "kind"], name="quote_option_offered_once"),
            models.CheckConstraint(
                name="quote_option_hours_not_negative", condition=Q(hours__gte=0)
            ),
        ]

    @property
    def total(self) -> Total:
        """Net, tax and both."""
        net = sum_of([line.amount for line in self.lines.all()])
        percent = self.quote.tax_percent
        return total_of(net, None if percent is None else Decimal(percent))


class QuoteLine(models.Model):
    """One line of an option, with the price of its day."""

    option = models.ForeignKey(QuoteOption, on_delete=models.CASCADE, related_name="lines")
    charge = models.CharField(_("what is charged"), max_length=10, choices=CHARGE_CHOICES)
    name = models.CharField(_("material"), max_length=80, blank=True)
    quantity = models.DecimalField(_("quantity"), max_digits=12, decimal_places=6)
    unit = models.CharField(_("unit"), max_length=12)
    price = models.DecimalField(_("price per unit"), max_digits=10, decimal_places=4)
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(name="quote_line_quantity_above_0", condition=Q(quantity__gt=0)),
            models.CheckConstraint(name="quote_line_price_not_negative", condition=Q(price__gte=0)),
        ]

    @property
    def amount(self) -> Decimal:
        """Money of the line, rounded once."""
        return amount_of(Decimal(self.quantity), Decimal(self.price))


class QuoteLink(models.Model):
    """A private address at which a quote is read and answered. Only the secret's hash is kept."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="links")
    secret_hash = models.CharField(max_length=64, unique=True)
    sent_to = models.CharField(_("sent to"), max_length=120)
    made_at = models.DateTimeField(_("made"))
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    expires_at = models.DateTimeField(_("ends"))
    revoked_at = models.DateTimeField(_("revoked"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["quote"],
                condition=Q(revoked_at__isnull=True),
                name="quote_link_one_in_force",
            ),
            models.CheckConstraint(
                name="quote_link_ends_after_it_was_made",
                condition=Q(expires_at__gt=F("made_at")),
            ),
        ]


class AnswerKind(models.TextChoices):
    """What a client said to a quote."""

    YES = "yes", _("yes")
    NO = "no", _("no")
    QUESTION = "question", _("a question")


DECISIONS = (AnswerKind.YES.value, AnswerKind.NO.value)


class QuoteAnswer(models.Model):
    """One answer to a quote. A yes or no stands until the office opens the quote again."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="answers")
    kind = models.CharField(_("answer"), max_length=8, choices=AnswerKind)
    option = models.ForeignKey(
        QuoteOption, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    up_to_hours = models.DecimalField(
        _("up to hours"), max_digits=6, decimal_places=2, null=True, blank=True
    )
    up_to_amount = models.DecimalField(
        _("up to money"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    name = models.CharField(_("name"), max_length=120)
    words = models.CharField(_("in their words"), max_length=500, blank=True)
    also_down = models.CharField(_("what else does not run"), max_length=300, blank=True)
    at = models.DateTimeField(_("at"))
    # Of a quote that was sent: from which address, and which of the client's users where one was
    # signed in. On the telephone: who wrote it down.
    link = models.ForeignKey(
        QuoteLink, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    address = models.GenericIPAddressField(_("address"), null=True, blank=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    asked = models.ForeignKey(
        Asked, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    reopened_on = models.DateField(_("opened again"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["quote"],
                condition=Q(kind__in=DECISIONS, reopened_on__isnull=True),
                name="quote_answer_decides_once",
            ),
            models.CheckConstraint(
                name="quote_answer_yes_names_its_option",
                condition=Q(kind=AnswerKind.YES.value, option__isnull=False)
                | ~Q(kind=AnswerKind.YES.value) & Q(option__isnull=True),
            ),
            models.CheckConstraint(name="quote_answer_names_who_gave_it", condition=~Q(name="")),
            models.CheckConstraint(
                name="quote_answer_limits_above_0",
                condition=(Q(up_to_hours__isnull=True) | Q(up_to_hours__gt=0))
                & (Q(up_to_amount__isnull=True) | Q(up_to_amount__gt=0)),
            ),
        ]
