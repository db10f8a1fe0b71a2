"""All prices of a list on one page."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from faults.models import CHARGE_CHOICES, PriceList
from faults.prices.engines.pricing import HOUR, LUMP, PLAIN_CHARGES, WHOLE, Charge, Price
from faults.prices.services.lists import PriceFacts
from sites.kernel.forms.fields import DayField

PER_CHOICES = [(HOUR, _("hour")), (LUMP, _("all of it"))]
CHARGE_WORDS = dict(CHARGE_CHOICES)
# Rows for materials that are offered beside those already there.
BLANK_ROWS = 4
# Common practice; nothing depends on it but what stands in the form first.
USUAL_UNIT = "each"


@dataclass(frozen=True)
class ChargeRow:
    """One row of the table: a word or the field of a name, and the other fields."""

    label: object
    price: BoundField
    per: BoundField | None
    name: BoundField | None = None


class PricesForm(forms.Form):
    """Currency, tax, a price for each charge, and the materials."""

    currency = forms.CharField(
        label=_("Currency"), min_length=3, max_length=3, help_text=_("Three letters, such as USD.")
    )
    tax_percent = forms.DecimalField(
        label=_("Tax, percent"),
        required=False,
        min_value=0,
        max_value=100,
        max_digits=6,
        decimal_places=3,
        help_text=_("A plain rate on the whole. Empty: not known, and no tax is added."),
    )

    def __init__(self, *args: Any, known: PriceList | None, **kwargs: Any) -> None:
        items = [item.as_price for item in known.items.all()] if known else []
        self.materials = sorted((p for p in items if p.charge is Charge.MATERIAL), key=_by_name)
        self.rows = len(self.materials) + BLANK_ROWS
        initial = _initial(known, [p for p in items if p.name == ""], self.materials)
        super().__init__(*args, **{"initial": initial | kwargs.pop("initial", {}), **kwargs})
        for charge in PLAIN_CHARGES:
            self.fields[charge.value] = _money(capfirst(CHARGE_WORDS[charge.value]))
            if charge not in WHOLE:
                self.fields[f"{charge.value}_per"] = forms.ChoiceField(
                    label=_("per"), choices=PER_CHOICES, required=False
                )
        for row in range(self.rows):
            self.fields[f"name_{row}"] = forms.CharField(
                label=_("Material"), max_length=80, required=False
            )
            self.fields[f"unit_{row}"] = forms.CharField(
                label=_("per"), max_length=12, required=False
            )
            self.fields[f"price_{row}"] = _money(_("Price"))

    def clean_currency(self) -> str:
        """Write it in capitals."""
        return str(self.cleaned_data["currency"]).upper()

    def clean(self) -> dict[str, Any]:
        """A material has a name and a price."""
        data: dict[str, Any] = super().clean() or {}
        for row in range(self.rows):
            name, price = data.get(f"name_{row}", ""), data.get(f"price_{row}")
            if name and price is None and f"price_{row}" not in self.errors:
                self.add_error(f"price_{row}", _("What does one cost?"))
            if price is not None and not name:
                self.add_error(f"name_{row}", _("Which material is this price for?"))
        return data

    def facts(self) -> PriceFacts:
        """Return what the list says."""
        data = self.cleaned_data
        return PriceFacts(data["currency"], data["tax_percent"], [*self._plain(), *self._named()])

    def _plain(self) -> Iterator[Price]:
        for charge in PLAIN_CHARGES:
            price: Decimal | None = self.cleaned_data[charge.value]
            if price is not None:
                unit = LUMP if charge in WHOLE else self.cleaned_data[f"{charge.value}_per"]
                yield Price(charge, price, unit or HOUR)

    def _named(self) -> Iterator[Price]:
        for row in range(self.rows):
            name = " ".join(self.cleaned_data[f"name_{row}"].split())
            if name:
                unit = self.cleaned_data[f"unit_{row}"].strip() or USUAL_UNIT
                yield Price(Charge.MATERIAL, self.cleaned_data[f"price_{row}"], unit, name)

    def charge_rows(self) -> list[ChargeRow]:
        """The rows of what our people and machines cost."""
        return [
            ChargeRow(
                CHARGE_WORDS[charge.value],
                self[charge.value],
                None if charge in WHOLE else self[f"{charge.value}_per"],
            )
            for charge in PLAIN_CHARGES
        ]

    def material_rows(self) -> list[ChargeRow]:
        """The rows of materials, with some that are empty."""
        return [
            ChargeRow("", self[f"price_{row}"], self[f"unit_{row}"], self[f"name_{row}"])
            for row in range(self.rows)
        ]

    def frame(self) -> list[BoundField]:
        """The fields that stand above the prices."""
        names = ("on", "currency", "tax_percent", "why")
        return [self[name] for name in names if name in self.fields]


class ChangePricesForm(PricesForm):
    """The same, from a day on."""

    on = DayField(label=_("From which day?"))


class CorrectPricesForm(PricesForm):
    """The same, with what was wrong."""

    why = forms.CharField(label=_("What was wrong?"), max_length=150)


def _money(label: object) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,  # type: ignore[arg-type]
        required=False,
        min_value=0,
        max_digits=10,
        decimal_places=4,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )


def _by_name(price: Price) -> str:
    return price.name


def _initial(
    known: PriceList | None, plain: list[Price], materials: list[Price]
) -> dict[str, object]:
    found: dict[str, object] = {}
    if known is not None:
        tax = known.tax_percent
        found |= {"currency": known.currency, "tax_percent": None if tax is None else _plain(tax)}
    for price in plain:
        found |= {price.charge.value: _plain(price.price), f"{price.charge.value}_per": price.unit}
    for row, price in enumerate(materials):
        found |= {
            f"name_{row}": price.name,
            f"unit_{row}": price.unit,
            f"price_{row}": _plain(price.price),
        }
    return found


def _plain(value: Decimal) -> str:
    return f"{value.normalize():f}"
