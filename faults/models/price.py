"""Price lists: what is charged from a day on, of the company, of a client, at a property."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from faults.prices.engines.pricing import Charge, Price
from sites.models import Client, Property
from sites.models.base import DatedQuerySet, History, ends_after_start

CHARGE_CHOICES = [
    (Charge.TRACING.value, _("tracing")),
    (Charge.DIGGING.value, _("digging by hand")),
    (Charge.MACHINE.value, _("machine with operator")),
    (Charge.HELPER.value, _("helper")),
    (Charge.STANDBY.value, _("standing by while others dig")),
    (Charge.OVERTIME.value, _("overtime")),
    (Charge.MINIMUM.value, _("minimum of a visit")),
    (Charge.TRIP.value, _("trip")),
    (Charge.MATERIAL.value, _("material")),
]
CURRENCY = RegexValidator(r"^[A-Z]{3}\Z", _("Three capital letters, such as USD."))


class PriceList(models.Model):
    """What is charged over [from_on, to_on): without client and property, by the company."""

    client = models.ForeignKey(
        Client, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    property = models.ForeignKey(
        Property, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    from_on = models.DateField(_("from"))
    to_on = models.DateField(_("to"), null=True, blank=True)
    currency = models.CharField(_("currency"), max_length=3, validators=[CURRENCY])
    # A plain rate. Empty: not known here, so a list farther away may name one.
    tax_percent = models.DecimalField(
        _("tax, percent"), max_digits=6, decimal_places=3, null=True, blank=True
    )
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    history = History()

    objects = DatedQuerySet.as_manager()

    class Meta:
        constraints = [
            ends_after_start("price_list_ends_after_it_starts"),
            models.CheckConstraint(
                name="price_list_of_a_client_or_a_property_not_both",
                condition=Q(client__isnull=True) | Q(property__isnull=True),
            ),
            models.CheckConstraint(
                name="price_list_tax_is_a_percentage",
                condition=Q(tax_percent__isnull=True) | Q(tax_percent__range=(0, 100)),
            ),
            models.CheckConstraint(name="price_list_names_its_currency", condition=~Q(currency="")),
            models.UniqueConstraint(
                Coalesce("client", 0),
                Coalesce("property", 0),
                condition=Q(to_on__isnull=True),
                name="price_list_open_once_per_scope",
            ),
        ]

    def __str__(self) -> str:
        return str(self.property or self.client or _("the company"))


class PriceItem(models.Model):
    """One price of a list. A material has a name; other charges stand once in a list."""

    list = models.ForeignKey(PriceList, on_delete=models.CASCADE, related_name="items")
    charge = models.CharField(_("what is charged"), max_length=10, choices=CHARGE_CHOICES)
    name = models.CharField(_("material"), max_length=80, blank=True)
    # "h", "lump", or a material's own unit.
    unit = models.CharField(_("per"), max_length=12)
    price = models.DecimalField(_("price"), max_digits=10, decimal_places=4)
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(name="price_item_not_negative", condition=Q(price__gte=0)),
            models.CheckConstraint(
                name="price_item_named_where_material",
                condition=Q(charge=Charge.MATERIAL.value) & ~Q(name="")
                | ~Q(charge=Charge.MATERIAL.value) & Q(name=""),
            ),
            models.UniqueConstraint(
                fields=["list", "charge", "name"], name="price_item_stands_once_per_list"
            ),
        ]

    @property
    def as_price(self) -> Price:
        """The price for the engine."""
        return Price(Charge(self.charge), Decimal(self.price), self.unit, self.name)
