"""Batches of lines that were given to the books, each with what it gave."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from faults.models.fault import Fault
from faults.models.job import JobLine, LineBasis, LineKind
from sites.models.base import History, Referenced


class BookBatch(Referenced):
    """Lines that were given to the books on one day. Taken back, it stays and counts no more."""

    given_on = models.DateField(_("given to the books on"))
    given_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    taken_back_on = models.DateField(_("taken back"), null=True, blank=True)
    why_taken_back = models.CharField(_("why taken back"), max_length=200, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="book_batch_taken_back_with_a_reason",
                condition=Q(taken_back_on__isnull=True, why_taken_back="")
                | (Q(taken_back_on__isnull=False) & ~Q(why_taken_back="")),
            ),
        ]

    def __str__(self) -> str:
        return gettext("Batch %s") % self.pk


class BatchLine(models.Model):
    """One line of a job in a batch, with all that the books were given of it."""

    batch = models.ForeignKey(BookBatch, on_delete=models.PROTECT, related_name="entries")
    line = models.ForeignKey(JobLine, on_delete=models.PROTECT, related_name="given")
    # That of its batch, kept here so that the database can hold one line to one batch.
    is_taken_back = models.BooleanField(default=False)
    on = models.DateField(_("on"))
    client = models.CharField(_("client"), max_length=200)
    property = models.CharField(_("property"), max_length=200)
    fault = models.CharField(_("fault"), max_length=60, blank=True)
    stations = models.TextField(_("stations"), blank=True)
    job = models.CharField(_("job"), max_length=16)
    order_number = models.CharField(_("the client's order number"), max_length=60, blank=True)
    approver = models.CharField(_("who said yes"), max_length=120, blank=True)
    kind = models.CharField(_("kind"), max_length=8, choices=LineKind)
    basis = models.CharField(_("who pays"), max_length=8, choices=LineBasis)
    what = models.CharField(_("what"), max_length=200)
    quantity = models.DecimalField(_("quantity"), max_digits=10, decimal_places=4)
    unit = models.CharField(_("unit"), max_length=12)
    unit_price = models.DecimalField(
        _("price per unit"), max_digits=10, decimal_places=4, null=True, blank=True
    )
    # 0 of warranty and contract work: its hours are spent and nobody is charged.
    charged = models.DecimalField(_("charged"), max_digits=12, decimal_places=2)
    currency = models.CharField(_("currency"), max_length=3, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["line"],
                condition=Q(is_taken_back=False),
                name="batch_line_in_one_batch_that_stands",
            ),
            models.UniqueConstraint(fields=["batch", "line"], name="batch_line_once_per_batch"),
            models.CheckConstraint(
                name="batch_line_charges_not_below_0", condition=Q(charged__gte=0)
            ),
        ]


class DamageClaim(Referenced):
    """What a third party owes for damage; its cost is that of the fault's lines for damage."""

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="damage_claims")
    liable_party = models.CharField(_("liable party"), max_length=120)
    claim_number = models.CharField(_("claim number"), max_length=60, blank=True)
    statement = models.TextField(_("statement"), blank=True)
    made_on = models.DateField(_("claimed on"))
    paid_on = models.DateField(_("paid on"), null=True, blank=True)
    dropped_on = models.DateField(_("dropped on"), null=True, blank=True)
    why_dropped = models.CharField(_("why dropped"), max_length=200, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["fault"],
                condition=Q(dropped_on__isnull=True),
                name="damage_claim_one_that_stands_per_fault",
            ),
            models.CheckConstraint(
                name="damage_claim_names_who_is_liable", condition=~Q(liable_party="")
            ),
            models.CheckConstraint(
                name="damage_claim_dropped_with_a_reason",
                condition=Q(dropped_on__isnull=True, why_dropped="")
                | (Q(dropped_on__isnull=False) & ~Q(why_dropped="")),
            ),
            models.CheckConstraint(
                name="damage_claim_paid_or_dropped",
                condition=Q(paid_on__isnull=True) | Q(dropped_on__isnull=True),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.liable_party}, {self.fault}"
